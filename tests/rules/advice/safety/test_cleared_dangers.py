"""A good pass clears a danger in grip and air no poorer; what is better, or corrected, wakes it.

Common practice, no source.
"""

from typing import Any

import pytest

from rules.advice.safety.awake_dangers import woken
from rules.advice.safety.dangers import FrontDanger
from tests.support.crew import Crew
from tests.support.dangers import (
    BOGS,
    LAUNCH,
    good_pass,
    over_and_lowered,
    to,
)

HOT: dict[str, Any] = {"lane": "left", "air_temperature": 33, "track_temperature": 55}
COOL: dict[str, Any] = {"lane": "left", "air_temperature": 18, "track_temperature": 26}


def shown(**noted: Any) -> Crew:
    """Return a crew that left the car as it was after a big stand."""
    crew = Crew()
    crew.say(["front-carries"])
    if noted:
        crew.do("conditions", **noted)
    crew.tell(stand="big", bars="none", carry="long")
    crew.say("leave")
    return crew


def lowered(crew: Crew) -> FrontDanger | None:
    """Turn the launch down by hand; return the danger on the way back up."""
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    return woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_the_stand_of_a_good_pass_on_a_danger_is_asked_for() -> None:
    crew = shown()
    crew.say(["it-is-good"], ["nothing"])
    assert crew.prompt.id == "stand"
    crew.say("unknown", "ok")
    assert lowered(crew), "nobody knows how high it went"
    crew = over_and_lowered()
    crew.say(["it-is-good"], ["nothing"])
    assert crew.prompt.id == "advice", "gentler settings are not asked about"


def test_a_good_pass_at_the_same_settings_clears_them() -> None:
    crew = shown()
    good_pass(crew)
    assert not lowered(crew)
    assert woken(crew.state, to(crew, **{LAUNCH: 4300.0})), "never run, in the meeting of a danger"


@pytest.mark.parametrize("symptom", ["spins-at-hit", "bogs"])
def test_a_pass_without_thrust_clears_nothing(symptom: str) -> None:
    crew = shown()
    crew.tell(symptoms=[symptom], stand="none", tyre_hit="under", rear_motion="neither")
    while crew.prompt.id != "advice":
        crew.say("unknown" if crew.prompt.unknown else "all ok")
    crew.say(next(c.id for c in reversed(crew.prompt.choices) if not c.why_not))
    assert lowered(crew)


@pytest.mark.parametrize("mark", ["lifted", "aborted", "spun"])
def test_a_pass_that_was_not_run_through_clears_nothing(mark: str) -> None:
    crew = shown()
    good_pass(crew)
    crew.do("slip", sixty=1.9, marks=(mark,))
    assert lowered(crew)


@pytest.mark.parametrize(
    ("then", "good", "clears"),
    [
        ({}, {}, True),
        (COOL, COOL, True),
        (HOT, COOL, True),
        (COOL, HOT, False),
        (COOL, {}, False),
        ({}, HOT, True),
        ({"lane": "left"}, {"lane": "right"}, False),
    ],
)
def test_a_setting_is_cleared_with_the_grip_and_air_it_ran_in(
    then: dict[str, Any], good: dict[str, Any], clears: bool
) -> None:
    crew = shown(**then)
    good_pass(crew, **good)
    assert bool(lowered(crew)) is not clears


@pytest.mark.parametrize("back", [COOL, {"lane": "right"}])
def test_a_track_that_comes_back_wakes_the_danger(back: dict[str, Any]) -> None:
    crew = shown(**HOT)
    good_pass(crew, **HOT)
    assert not lowered(crew)
    crew.say("ran")
    crew.do("conditions", **back)
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_a_lane_or_air_that_the_crew_says_changed_wakes_the_danger() -> None:
    crew = shown()
    good_pass(crew)
    assert not lowered(crew)
    crew.say("ran", ["lane-or-air"])
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def other_meeting(crew: Crew) -> None:
    crew.do("meeting", name="Another invented meeting")
    crew.say("test")


def test_a_danger_is_remembered_across_meetings() -> None:
    crew = over_and_lowered()
    other_meeting(crew)
    crew.tell(symptoms=["bogs"], **BOGS)
    assert not [turn for turn in crew.advice.turns if turn.adjuster == LAUNCH]
    lost = {one.rule: one.lost for one in crew.advice.alternatives}
    assert "on pass 1 at Invented meeting" in lost["bogs-launch-more"]


def test_a_good_pass_at_another_meeting_clears_until_the_track_is_better() -> None:
    crew = shown(**COOL)
    other_meeting(crew)
    good_pass(crew, **COOL)
    assert not lowered(crew)
    assert not woken(crew.state, to(crew, **{LAUNCH: 4300.0})), "its own settings were run well"
    crew.say("ran")
    crew.do("conditions", **{**COOL, "track_temperature": 18})
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_a_correction_takes_a_danger_back_and_brings_one() -> None:
    crew = over_and_lowered()
    crew.do("correct", run=1, prompt="bars", value="clear")
    crew.do("correct", run=1, prompt="stand", value="small")
    crew.do("correct", run=1, prompt="symptoms", value=["squats-and-drags"])
    assert not woken(crew.state, to(crew, **{LAUNCH: 4200.0}))
    crew.do("correct", run=1, prompt="stand", value="big")
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_an_open_advice_that_a_correction_makes_dangerous_is_given_anew() -> None:
    crew = Crew()
    crew.tell(symptoms=["squats-and-drags"], contact="none", squat_when="hit")
    crew.say("leave")
    crew.do("already turned", adjuster=LAUNCH, now="4100")
    crew.say("ran", ["nothing"], "other")
    crew.tell(symptoms=["bogs"], **BOGS)
    crew.say("inspect", "all ok")
    assert [(t.before, t.after) for t in crew.advice.turns] == [(4100, 4200)]
    crew.do("correct", run=1, prompt="symptoms", value=["front-carries"])
    assert crew.prompt.kind == "tick", "and the list of that pass is owed"
    crew.say("all ok")
    assert crew.prompt.id == "advice"
    assert LAUNCH not in [turn.adjuster for turn in crew.advice.turns]
