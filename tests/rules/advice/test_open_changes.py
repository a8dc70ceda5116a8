"""An open change is never lost, and no advised turn is stacked on one that had no pass.

The sum of what was done to the car equals an untouched advised change: then that change is exactly
as it was. Between two advised turns on the car lies a judged or passed-over pass of the first.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.log.changes import Change
from rules.log.folds.fold import fold
from tests.support.crew import Crew
from tests.support.sample import examples

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
LEFT, RIGHT = (f"{side} front high-speed compression" for side in ("left", "right"))
REAR = "left rear rebound"


def advised() -> Crew:
    """Return a crew with its advice made: both knobs 9 -> 12, and its pass still to come."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    assert crew.prompt.id == "ran"
    return crew


def as_it_was(before: Change, crew: Crew) -> bool:
    """Tell whether a change stands as it did, and the car with it."""
    now = crew.state.change(before.id)
    alike = ("status", "steps", "set_aside", "mixed", "in_doubt", "verdict", "runs", "is_open")
    return crew.state.open_change == now and all(
        getattr(now, key) == getattr(before, key) for key in alike
    )


def test_one_side_turned_and_settled_back_leaves_the_advised_change_as_it_was() -> None:
    crew = advised()
    change = crew.last
    crew.do("already turned", adjuster=REAR, now="11", sides="one")
    crew.say("not done", "put back")
    crew.tick()
    assert as_it_was(change, crew)
    assert crew.prompt.id == "ran"
    crew.say("ran", ["nothing"])
    assert crew.prompt.id == "verdict"


@pytest.mark.parametrize("sides", ["one", "both"])
@pytest.mark.parametrize("road", ["undo", "by hand", "recount", "back"])
def test_whichever_road_put_it_right(road: str, sides: str) -> None:
    crew = advised()
    change = crew.last
    crew.do("already turned", adjuster=REAR, now="11", sides=sides)
    assert not as_it_was(change, crew)
    match road:
        case "undo":
            crew.do("undo last change")
            crew.tick()
        case "by hand":
            crew.do("already turned", adjuster=REAR, now="9", sides=sides)
        case "recount":
            crew.do("recount", adjuster=REAR, found="9")
            if sides == "both":
                crew.do("recount", adjuster="right rear rebound", found="9")
        case "back":
            while crew.state.open_change != change and crew.off != {LEFT: 3, RIGHT: 3}:
                crew.back()
            if crew.state.open_change != change:
                crew.back()
    assert as_it_was(change, crew), crew.state.changes
    assert crew.prompt.id == "ran"


def test_an_order_not_begun_is_open_again_once_the_other_turn_is_put_back() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make")
    order = crew.last
    crew.do("already turned", adjuster=REAR, now="11")
    crew.do("undo last change")
    crew.say("done", "done")
    assert crew.prompt.id == f"turn:{LEFT}"
    assert [step.turn for step in crew.last.steps] == [step.turn for step in order.steps]
    assert (crew.last.rule, crew.last.symptom) == (order.rule, order.symptom)


def test_a_half_made_order_goes_on_once_the_other_turn_is_put_back() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "done")
    change = crew.last
    crew.do("already turned", adjuster=REAR, now="11")
    crew.do("undo last change")
    crew.say("done", "done")
    assert as_it_was(change, crew)
    assert crew.prompt.id == f"turn:{RIGHT}"


def test_a_put_back_goes_on_once_the_other_turn_is_put_back() -> None:
    crew = advised()
    crew.do("put back to baseline")
    crew.say("done")
    crew.do("already turned", adjuster=REAR, now="11")
    crew.do("undo last change")
    crew.say("done", "done")
    assert crew.prompt.id == f"turn:{RIGHT}"
    crew.say("done")
    assert crew.off == {}
    assert crew.state.open_change is None


def test_an_order_that_the_crew_left_is_not_brought_back() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "not done", "not done")
    crew.do("already turned", adjuster=REAR, now="11")
    crew.do("undo last change")
    crew.tick()
    assert crew.state.open_change is None


def test_what_lay_on_top_of_two_turns_comes_off_one_by_one() -> None:
    crew = advised()
    change = crew.last
    crew.do("already turned", adjuster=REAR, now="11")
    own = crew.last
    crew.do("already turned", adjuster="left rear compression", now="7")
    crew.do("undo last change")
    crew.tick()
    assert as_it_was(own, crew)
    crew.do("undo last change")
    crew.tick()
    assert as_it_was(change, crew)


def test_after_a_pass_with_both_on_the_first_waits_for_a_pass_of_its_own() -> None:
    crew = advised()
    change = crew.last
    crew.do("already turned", adjuster=REAR, now="11")
    crew.say("ran")
    crew.tell(verdict="worse", symptoms=["front-drops-hard"], **LANDING)
    crew.do("undo last change")
    crew.tick()
    assert as_it_was(change, crew)
    assert crew.advice.kind == "control"
    crew.say("control", "ran", ["nothing"])
    assert crew.run.change == change.id
    assert crew.prompt.id == "verdict"


OWN = ["left rear rebound", "left rear compression", "launch rpm", "left front rebound"]


@examples(8, 30)
@given(st.lists(st.tuples(st.sampled_from(OWN), st.booleans()), min_size=1, max_size=4))
def test_any_own_turns_all_made_back_by_hand(turns: list[tuple[str, bool]]) -> None:
    crew = advised()
    change, before = crew.last, dict(crew.state.settings)
    for key, up in turns:
        one = crew.fitted[key]
        now = crew.state.settings[key] + (one.step if up else -one.step)
        crew.do("already turned", adjuster=key, now=f"{now:g}")
    for key in OWN:
        if crew.state.settings[key] != before[key]:
            crew.do("already turned", adjuster=key, now=f"{before[key]:g}")
    assert crew.state.settings == before
    assert as_it_was(change, crew)
    assert fold(crew.log).changes == crew.state.changes


def one_side_never_moved(verdict: str = "same", *, closed: bool) -> Crew:
    """Return a crew that ran its change and then found that one side had never moved."""
    crew = advised()
    crew.say("ran")
    crew.tell(verdict=verdict, symptoms=["front-drops-hard"], **LANDING)
    if closed:
        crew.say("leave")
    crew.do("recount", adjuster=RIGHT, found="9")
    assert crew.prompt.id == f"pair:{RIGHT}"
    crew.say("put right")
    crew.tick()
    assert (crew.state.settings[LEFT], crew.state.settings[RIGHT]) == (12, 12)
    return crew


@pytest.mark.parametrize("verdict", ["same", "better"])
def test_a_completed_change_is_run_before_anything_is_stacked_on_it(verdict: str) -> None:
    crew = one_side_never_moved(verdict, closed=False)
    change = crew.state.changes[0]
    assert crew.prompt.id == "advice"
    assert crew.advice.turns == ()
    assert crew.advice.kind == "control"
    assert (change.status, change.verdict) == ("run", None)
    crew.say("control", "ran")
    assert crew.run.change == change.id
    crew.tell(verdict=verdict, symptoms=["front-drops-hard"], **LANDING)
    judged = crew.state.change(change.id)
    assert (judged.verdict, judged.in_doubt, judged.counts_as_evidence) == (verdict, False, True)
    assert crew.advice.kind == "turn"


def test_a_completed_change_of_a_closed_pass_waits_for_its_pass() -> None:
    crew = one_side_never_moved(closed=True)
    change = crew.state.changes[0]
    assert crew.prompt.id == "ran"
    assert crew.state.open_change == change
    crew.say("ran", ["nothing"])
    assert crew.prompt.id == "verdict"


def test_the_pass_of_a_completed_change_may_be_passed_over_by_name() -> None:
    crew = one_side_never_moved(closed=False)
    crew.do("override", reason="no-time")
    assert crew.advice.kind == "turn"


def test_a_recount_before_the_verdict_is_asked_leaves_the_pass_unjudged() -> None:
    crew = advised()
    crew.say("ran", ["nothing"])
    crew.do("recount", adjuster=RIGHT, found="9")
    crew.say("put right")
    crew.tick()
    assert crew.prompt.id == "symptoms"
    assert "whole and alone" in crew.prompt.notice
