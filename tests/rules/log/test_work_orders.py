"""A recount or an own turn while a work order is open: the order goes on from what is true."""

from dataclasses import replace
from typing import Any

import pytest

from rules.car.adjusters import Turn
from rules.log.work_orders import _from_found
from tests.support.crew import Crew, invented_car, knob

CARRY: dict[str, Any] = {"stand": "big", "bars": "none", "carry": "long"}
LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
LEFT, RIGHT = (f"{side} front high-speed compression" for side in ("left", "right"))


def ordered() -> Crew:
    """Return a crew with an order open: both knobs 9 -> 12."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make")
    assert [(s.turn.before, s.turn.after) for s in crew.last.steps] == [(9, 12), (9, 12)]
    return crew


def way(crew: Crew) -> list[tuple[float, float]]:
    return [(step.turn.before, step.turn.after) for step in crew.last.steps]


def test_a_recount_before_anything_is_turned_gives_the_advice_again() -> None:
    crew = ordered()
    assert crew.do("recount", adjuster=LEFT, found="2").id == f"pair:{LEFT}"
    assert crew.say("keep").id == "advice"
    assert crew.last.status == "withdrawn"
    assert [(t.before, t.after) for t in crew.advice.turns] == [(2, 5), (9, 12)]
    assert crew.run.in_doubt == (LEFT,)
    crew.make()
    assert crew.state.settings[LEFT] == 5
    crew.do("undo last change", knowing=True)
    crew.tick()
    assert (crew.state.settings[LEFT], crew.state.settings[RIGHT]) == (2, 9)


def test_a_recount_half_way_moves_the_turn_that_is_not_made() -> None:
    crew = ordered()
    crew.say("done")
    assert crew.do("recount", adjuster=RIGHT, found="2").id == f"turn:{RIGHT}"
    assert way(crew) == [(9, 12), (2, 5)]
    crew.say("done", "keep")
    assert crew.prompt.id == "ran"
    assert crew.state.settings[RIGHT] == 5
    crew.do("undo last change", knowing=True)
    crew.tick()
    assert (crew.state.settings[LEFT], crew.state.settings[RIGHT]) == (9, 2)


@pytest.mark.parametrize(("found", "goal"), [("16", 17), ("17", 18), ("18", 18), ("0", 3)])
def test_a_turn_that_is_moved_stays_in_range(found: str, goal: float) -> None:
    crew = ordered()
    crew.say("done")
    crew.do("recount", adjuster=RIGHT, found=found)
    assert way(crew)[1] == (float(found), goal)
    crew.tick()
    assert crew.say("keep").id == "ran"
    assert crew.state.settings[RIGHT] == goal


@pytest.mark.parametrize(
    ("ordered_from", "goal"), [(18.0, 13.0), (9.0, 16.0)], ids=["from shut", "from the middle"]
)
def test_a_side_found_near_shut_opens_as_far_as_the_other_or_by_a_click(
    ordered_from: float, goal: float
) -> None:
    """Four clicks softer from shut are the mechanics' own, and the other side has made them."""
    crew = ordered()
    turn = Turn(adjuster=RIGHT, before=ordered_from, after=ordered_from - 4)
    step = replace(crew.last.steps[1], turn=turn)
    assert _from_found(crew.state, crew.last, step, 17.0).after == goal


def test_a_made_turn_that_is_found_short_is_asked_for_again() -> None:
    crew = ordered()
    crew.say("done")
    assert crew.do("recount", adjuster=LEFT, found="11").id == f"turn:{LEFT}"
    crew.tick()
    assert crew.last.status == "applied"
    assert crew.state.settings[LEFT] == 12


def test_a_stopped_turn_keeps_where_it_began() -> None:
    crew = ordered()
    crew.say("done", "stops early", "10", "all ok")
    crew.do("recount", adjuster=RIGHT, found="11")
    assert way(crew) == [(9, 12), (9, 12)]
    assert crew.prompt.id == f"turn:{RIGHT}"


def test_a_recount_that_finds_the_book_right_changes_no_order() -> None:
    crew = ordered()
    assert crew.do("recount", adjuster=LEFT, found="9").id == f"turn:{LEFT}"
    assert crew.last.status == "proposed"
    crew.do("recount", adjuster="left rear rebound", found="4")
    assert crew.last.status == "proposed"


def test_a_recount_during_a_put_back_keeps_its_goal() -> None:
    crew = ordered()
    crew.tick()
    crew.do("put back to baseline", knowing=True)
    crew.do("recount", adjuster=LEFT, found="10")
    assert way(crew) == [(10, 9), (12, 9)]
    crew.tick()
    assert crew.off == {}


def test_a_recount_that_finds_everything_back_ends_the_put_back() -> None:
    crew = Crew(invented_car(front=[knob("rebound", "rebound", pair="none")]))
    crew.do("already turned", adjuster="left front rebound", now="12")
    crew.do("undo last change", knowing=True)
    crew.do("recount", adjuster="left front rebound", found="9")
    assert [change.status for change in crew.state.changes] == ["withdrawn", "applied"]
    assert crew.off == {}


def test_the_turns_of_the_order_may_be_made_without_it() -> None:
    crew = ordered()
    assert crew.do("already turned", adjuster=LEFT, now="12").id == "ran"
    assert [change.origin for change in crew.state.changes] == ["advice"]
    assert crew.last.status == "applied"


def test_one_side_of_the_order_made_without_it_leaves_the_other() -> None:
    crew = ordered()
    prompt = crew.do("already turned", adjuster=RIGHT, now="12", sides="one")
    assert prompt.id == f"turn:{LEFT}"
    assert crew.last.status == "part-applied"


def test_the_turns_of_the_order_made_by_another_number_are_settled() -> None:
    crew = ordered()
    assert crew.do("already turned", adjuster=LEFT, now="11").id == "settle"
    crew.say("even out")
    assert crew.last.status == "applied"
    assert way(crew) == [(9, 11), (9, 11)]
    assert crew.last.title.endswith("2 clicks firmer")
    assert crew.prompt.id == "ran"


def test_another_turn_takes_the_place_of_an_order_not_begun() -> None:
    crew = ordered()
    assert crew.do("already turned", adjuster="left rear rebound", now="11").id == "ran"
    assert [change.status for change in crew.state.changes] == ["withdrawn", "applied"]
    assert not crew.last.mixed


def test_another_turn_on_a_half_made_order_mixes_both() -> None:
    crew = ordered()
    crew.say("done")
    assert crew.do("already turned", adjuster="left rear rebound", now="11").id == "ran"
    first, second = crew.state.changes
    assert first.set_aside
    assert (first.mixed, second.mixed) == (True, True)
    assert crew.state.open_change == second
    crew.put_back()
    assert crew.off == {}


def test_another_turn_ends_a_put_back_where_it_stands() -> None:
    crew = ordered()
    crew.tick()
    crew.do("put back to baseline", knowing=True)
    crew.say("done")
    assert crew.do("already turned", adjuster="left rear rebound", now="11").id == "ran"
    assert [c.status for c in crew.state.changes] == ["withdrawn", "withdrawn", "applied"]
    assert crew.off[RIGHT] == 3
    crew.put_back()
    assert crew.off == {}


def test_an_override_is_not_needed_for_any_of_it() -> None:
    crew = ordered()
    crew.say("done")
    crew.do("already turned", adjuster="left rear rebound", now="11", sides="one")
    assert crew.prompt.id == "turn:right rear rebound"
    crew.say("done")
    crew.say("ran")
    crew.tell(verdict="better", symptoms=["front-carries"], **CARRY)
    assert not [event for event in crew.log if event.body.kind == "overridden"]
