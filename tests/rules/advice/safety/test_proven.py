"""At the opening of a meeting the nearest proved setting is offered, differences and dangers named.

Which of two surfaces or tracks is nearer is ordered, not measured: common practice, no source.
"""

from dataclasses import replace

import pytest

from rules.advice.safety.proven import nearest_proven, opening_words, proven_runs
from rules.crew.putting_back import next_step
from rules.log.events.car import CarDescribed
from rules.question import ActionError, Prompt
from tests.support.crew import Crew, invented_car

AIR = {"air_temperature": 28, "humidity": 40, "pressure": 1003, "pressure_kind": "station pressure"}
LIVELY = {"stand": "dangerous", "bars": "hit", "carry": "long"}


def good(crew: Crew, **noted: object) -> int:
    """Run a good pass in what was noted; return its number."""
    crew.do("conditions", run="coming", **noted)
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    return crew.run.number


def turn(crew: Crew, name: str, to: float) -> None:
    crew.do("already turned", adjuster=name, now=str(to))
    assert crew.state.settings[name] == to


def two_settings() -> Crew:
    """A crew with a good pass on a cool track at launch 4200, and one on a hot track at 4000."""
    crew = Crew()
    good(crew, surface="prepared", track_temperature=25, **AIR)
    turn(crew, "launch rpm", 4000)
    crew.do("conditions", run="coming", surface="prepared", track_temperature=50, **AIR)
    crew.say("ran")
    crew.tell(symptoms=["it-is-good"], verdict="same", advice="ok")
    return crew


def opened(crew: Crew, **noted: object) -> str:
    crew.do("meeting", name="Invented second meeting")
    crew.do("session", session="test")
    if noted:
        crew.do("conditions", run="coming", **noted)
    return opening_words(crew.state, crew.book)


def test_nothing_is_offered_where_nothing_is_proved() -> None:
    crew = Crew()
    assert opening_words(crew.state, crew.book) == ""
    assert nearest_proven(crew.state, crew.book, None) is None


def test_a_setting_is_proved_by_its_latest_pass_alone() -> None:
    crew = Crew()
    good(crew, surface="prepared")
    assert [run.number for run in proven_runs(crew.state, crew.book)] == [1]
    crew.tell(symptoms=["front-carries"], **LIVELY)
    run = replace(crew.run, done=True)
    state = replace(crew.state, runs=(*crew.state.runs[:-1], run))
    assert proven_runs(state, crew.book) == []


@pytest.mark.parametrize(("track", "nearest"), [(20, 1), (30, 1), (45, 2), (60, 2)])
def test_of_two_proved_settings_the_one_from_the_nearer_track_is_offered(
    track: float, nearest: int
) -> None:
    crew = two_settings()
    opened(crew, surface="prepared", track_temperature=track, **AIR)
    assert len(proven_runs(crew.state, crew.book)) == 2
    found = nearest_proven(crew.state, crew.book, crew.state.coming)
    assert found is not None
    assert found.run.number == nearest
    assert bool(found.turns) == (nearest == 1)


def test_the_first_question_of_a_meeting_names_where_the_car_stands() -> None:
    crew = Crew()
    good(crew, surface="prepared", track_temperature=25, **AIR)
    said = opened(crew, surface="prepared", track_temperature=40, **AIR)
    assert "It stands as on pass 1 at Invented meeting, which was good." in said
    assert "track then {27 F|15 C} cooler" in said
    assert crew.prompt.notice == said


def test_a_setting_turned_since_is_offered_with_what_it_lets_rise_and_put_back() -> None:
    crew = Crew()
    good(crew, surface="prepared", track_temperature=25, **AIR)
    turn(crew, "launch rpm", 4000)
    said = opened(crew, surface="prepared", track_temperature=25, **AIR)
    assert "Proved and nearest: pass 1 at Invented meeting, 1 setting away" in said
    assert "launch rpm 4000 rpm to 4200 rpm lets the front rise more than now." in said
    crew.do("put back to proven", run=1)
    order = crew.state.work_order
    assert order is not None
    assert order.origin == "put back"
    assert order.undoes == (crew.state.changes[0].id,)
    crew.tick()
    assert crew.state.settings["launch rpm"] == 4200
    assert crew.state.changes[0].status == "withdrawn"


def stood_big_since() -> Crew:
    """A crew whose proved setting is livelier than one that stood big after it."""
    crew = Crew()
    good(crew, surface="cold")
    turn(crew, "launch rpm", 4100)
    crew.do("conditions", run="coming", surface="prepared")
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("leave")
    turn(crew, "launch rpm", 4000)
    opened(crew, surface="prepared")
    return crew


def test_a_way_back_to_a_danger_is_ordered_only_knowing_it() -> None:
    crew = stood_big_since()
    with pytest.raises(ActionError, match="leads back to a danger"):
        crew.do("put back to proven", run=1)
    crew.do("put back to proven", run=1, knowing=True)
    assert crew.state.work_order is not None


def test_the_form_asks_before_it_leads_back_to_a_danger() -> None:
    crew = stood_big_since()
    how_far = next_step(crew.state, crew.book, {})
    assert isinstance(how_far, Prompt)
    assert "proven" in [choice.id for choice in how_far.choices]
    asked = next_step(crew.state, crew.book, {"how far": "proven"})
    assert isinstance(asked, Prompt)
    assert asked.default == "no"
    assert not isinstance(
        next_step(crew.state, crew.book, {"how far": "proven", "knowing": "yes"}), Prompt
    )


@pytest.mark.parametrize("surface", ["new", "unprepared"])
def test_on_a_strange_surface_a_softer_launch_comes_first(surface: str) -> None:
    crew = Crew()
    good(crew, surface="prepared")
    assert opened(crew, surface=surface).startswith("A surface nobody knows: launch gentler first")


def test_an_unprepared_surface_is_not_compared_with_a_prepared_one() -> None:
    crew = Crew()
    good(crew, surface="prepared")
    opened(crew, surface="unprepared")
    assert nearest_proven(crew.state, crew.book, crew.state.coming) is None
    crew.do("conditions", run="coming", surface="cold")
    assert nearest_proven(crew.state, crew.book, crew.state.coming) is not None


def test_another_car_with_other_levers_is_not_offered() -> None:
    crew = Crew()
    good(crew, surface="prepared")
    crew.record([CarDescribed(car=invented_car(levers=()))])
    found = nearest_proven(crew.state, crew.book, None)
    assert found is None or found.turns == ()
