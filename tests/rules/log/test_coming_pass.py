"""Lane, air and track can be noted for the pass that comes: once it is begun, it has them."""

import pytest

from rules.crew import readings
from rules.crew.noting_conditions import next_step
from rules.crew.pass_actions import NoteConditions
from rules.question import Given, Prompt
from tests.support.crew import Crew

AIR = {"air_temperature": 28, "humidity": 40, "pressure": 1003}
READ = {**AIR, "pressure_kind": "station pressure", "track_temperature": 41}


def test_the_first_pass_of_a_day_has_what_was_noted_before_it() -> None:
    crew = Crew()
    crew.do("conditions", run="coming", lane="left", surface="cold", **READ)
    assert crew.state.runs == ()
    assert crew.state.coming is not None
    crew.tell(symptoms=["it-is-good"])
    noted = crew.run.conditions
    assert noted is not None
    assert (noted.lane, noted.surface) == ("left", "cold")
    assert (noted.air_temperature, noted.track_temperature) == (28, 41)
    assert crew.run.lane == "left"
    assert crew.state.coming is None


def test_it_is_not_the_last_passes_air() -> None:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.do("conditions", lane="right", **READ)
    crew.do("conditions", run="coming", lane="left")
    crew.do("conditions", run="coming", track_temperature=30)
    assert crew.run.lane == "right"
    crew.say("ok")
    crew.tell(symptoms=["it-is-good"])
    first, second = crew.state.runs
    assert (first.lane, second.lane) == ("right", "left")
    assert second.conditions is not None
    assert second.conditions.track_temperature == 30
    assert second.conditions.air_temperature is None


def test_a_pass_that_never_ran_gives_it_back_and_a_new_meeting_forgets_it() -> None:
    crew = Crew()
    crew.do("conditions", run="coming", lane="left")
    crew.say(["front-carries"])
    assert crew.run.lane == "left"
    while crew.state.runs:
        crew.back()
    assert crew.state.coming is not None
    assert crew.state.coming.lane == "left"
    crew.do("meeting", name="Another invented one")
    assert crew.state.coming is None


def test_the_bounds_and_doubts_are_those_of_any_pass() -> None:
    crew = Crew()
    with pytest.raises(ValueError, match="wanted"):
        crew.do("conditions", run="coming", humidity=400)
    with pytest.raises(ValueError, match="nothing"):
        crew.do("conditions", run="coming")
    with pytest.raises(ValueError, match="wanted the run 'coming'"):
        crew.do("conditions", lane="left")


def road(crew: Crew, *values: Given) -> NoteConditions:
    """Walk the short chain of questions."""
    filled: dict[str, Given] = {}
    given = list(values)
    while isinstance(step := next_step(crew.state, crew.book, filled), Prompt):
        filled[step.id] = given.pop(0) if given else "unknown"
    assert isinstance(step, NoteConditions)
    return step


def test_before_the_first_pass_the_form_asks_of_the_one_that_comes() -> None:
    crew = Crew()
    assert road(crew, "left", "unprepared", 28.0) == NoteConditions(
        run="coming", lane="left", surface="unprepared", air_temperature=28.0
    )
    assert road(crew, "unknown", "unknown", 28.0).surface == "new"


def test_after_a_pass_it_is_the_third_choice_of_the_first_question() -> None:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    assert readings.lane(crew.run).choices[2].id == "coming"
    assert road(crew, "coming", "right", "prepared").run == "coming"
    assert road(crew, "right", 28.0).run is None
