"""A knob that no hand reaches: asked once how it can be, remembered, never advised again so."""

import pytest

from rules.asked import Topic
from rules.car.adjusters import adjusters
from rules.log.reach import NEVER_A_HOLE, WAYS, as_reached, is_out, way_to
from tests.support.crew import Crew

LANDING = {"stand": "small", "front_travel": "at-stop"}
KNOB = "left front high-speed compression"


def unreached() -> Crew:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "cannot reach")
    return crew


def test_what_can_be_done_is_offered_in_the_order_of_effort_and_the_hole_is_fenced() -> None:
    prompt = unreached().prompt
    assert prompt.id == f"reach:{KNOB}"
    ids = [choice.id for choice in prompt.choices]
    assert sorted(ids) == sorted(one for one in WAYS if one != "as it is")
    assert ids[:4] == ["two hands", "stands", "wheel off", "leave"]
    assert ids.index("base") < ids.index("body over") < ids.index("knob position")
    assert ids.index("knob position") < ids.index("mount") < ids.index("hole")
    assert NEVER_A_HOLE in prompt.hint


@pytest.mark.parametrize(
    ("way", "words"),
    [("wheel off", "Wheel off, car on stands, 20 min"), ("two hands", "Two hands, 5 min more")],
)
def test_what_can_be_done_here_opens_the_turn_and_the_order_knows_it(way: str, words: str) -> None:
    crew = unreached()
    crew.say(way)
    assert crew.prompt.id == f"turn:{KNOB}"
    assert words in crew.prompt.notice
    crew.tick()
    crew.say("ran")
    crew.tell(verdict="same", **LANDING)
    again = [turn.adjuster for turn in crew.advice.turns]
    if KNOB in again:
        assert crew.advice.minutes == 5 + WAYS[way].minutes
    known = as_reached(crew.state, crew.fitted)[KNOB]
    assert known.lift_car == WAYS[way].lift
    assert WAYS[way].says in known.tools


@pytest.mark.parametrize("way", ["leave", "base", "body over", "knob position", "mount", "hole"])
def test_what_cannot_be_done_here_never_leads_to_the_same_advice(way: str) -> None:
    crew = unreached()
    first = crew.state.changes[-1]
    crew.say(way)
    assert crew.prompt.topic == Topic.ADVICE
    assert not any(turn.adjuster == KNOB for turn in crew.advice.turns)
    crew.say(crew.prompt.default or "ok")
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    assert not any(first.turns(turn.adjuster) for turn in crew.advice.turns)


def test_a_knob_left_for_the_day_is_asked_about_at_the_next_meeting_and_a_job_is_not() -> None:
    for way, after in (("leave", False), ("mount", True)):
        crew = unreached()
        crew.say(way)
        assert is_out(crew.state, KNOB)
        crew.do("meeting", name="Another invented one")
        assert is_out(crew.state, KNOB) is after


def test_a_turn_made_after_all_says_that_it_is_in_reach() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "done", "cannot reach", "leave", "try again", "done")
    way = way_to(crew.state, KNOB)
    assert way is not None
    assert way.where == "track"


def test_nothing_said_changes_nothing() -> None:
    crew = Crew()
    fitted = adjusters(crew.state.described_car)
    assert as_reached(crew.state, fitted) is fitted
