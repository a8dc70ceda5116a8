"""The crew's own turn since the last judged pass is the first suspect of a new fault.

The advice is to put back exactly that, before any lever is touched, unless a gate forbids it.
Common practice, no source.
"""

from typing import Any

import pytest

from tests.support.crew import Crew

SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}
PRESSURE = "rear tyre pressure"


def good() -> Crew:
    """Return a crew with one good pass."""
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    return crew


@pytest.mark.parametrize("road", ["verdict", "override"])
@pytest.mark.parametrize(
    ("adjuster", "now", "was"),
    [("left rear rebound", 5, 9), (PRESSURE, 15, 13), ("launch rpm", 4400, 4200)],
)
def test_its_own_turn_is_put_back_whole(road: str, adjuster: str, now: float, was: float) -> None:
    crew = good()
    crew.do("already turned", adjuster=adjuster, now=f"{now}")
    before = dict(crew.off)
    if road == "verdict":
        crew.say("ran")
        crew.tell(verdict="other", symptoms=["spins-at-hit"], **SPINS)
    else:
        crew.do("override", reason="no-time")
        crew.tell(symptoms=["spins-at-hit"], **SPINS)
    advice = crew.advice
    assert advice.kind == "put back"
    turns = {turn.adjuster: (turn.before, turn.after) for turn in advice.turns}
    assert turns[adjuster] == (now, was)
    assert turns.keys() == before.keys()
    assert "pass 1" in advice.cause
    crew.make()
    assert crew.off == {}
    assert crew.advice.turns == ()
    crew.say("ok")
    assert crew.prompt.id == "symptoms"


def test_a_fault_that_was_there_before_is_treated_as_ever() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    crew.say("leave")
    crew.do("already turned", adjuster="left rear rebound", now="5")
    crew.say("ran")
    crew.tell(verdict="same", symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind == "turn"


def test_a_turn_that_a_judged_pass_has_shown_is_no_suspect() -> None:
    crew = good()
    crew.do("already turned", adjuster="left rear rebound", now="5")
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind != "put back"


def test_a_turn_that_an_unjudged_pass_had_stays_suspect() -> None:
    crew = good()
    crew.do("already turned", adjuster="left rear rebound", now="5")
    crew.say("ran")
    crew.tell(what_else=["burnout"], symptoms=["spins-at-hit"], **SPINS)
    crew.say("control", "ran")
    crew.tell(verdict="other", symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind == "put back"


def test_the_way_back_to_a_danger_is_never_advised() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("leave")
    crew.do("already turned", adjuster="launch rpm", now="4000")
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["bogs"], rpm_drop="deep", usual_stand="low")
    assert crew.advice.kind != "put back"


def test_an_own_turn_on_an_advised_one_is_put_back_and_leaves_that_one_to_run() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    change = crew.make()
    crew.do("already turned", adjuster="left rear rebound", now="5")
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind == "put back"
    assert {turn.after for turn in crew.advice.turns} == {9}
    crew.make()
    assert crew.advice.kind == "control"
    assert crew.state.open_change is not None
    assert crew.state.open_change.id == change.id


def test_a_pressure_named_beside_the_pass_and_counted_goes_back_whole() -> None:
    crew = good()
    crew.tell(symptoms=["spins-at-hit"], what_else=["tyre-pressure"], **SPINS)
    assert crew.advice.kind == "control"
    crew.say("control")
    assert crew.prompt.id == f"recount:{PRESSURE}"
    crew.say("15")
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind == "put back"
    assert [(turn.before, turn.after) for turn in crew.advice.turns] == [(15, 13)]
    crew.make()
    assert crew.off == {}
    assert crew.advice.turns == ()
