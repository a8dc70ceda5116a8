"""The life of a change: every transition walked, every other one refused."""

from itertools import product
from typing import get_args

import pytest

from rules.log.changes import TRANSITIONS, Happening, IllegalTransitionError, Status, advance
from tests.support.crew import Crew

PAIRS = list(product(get_args(Status), get_args(Happening)))


@pytest.mark.parametrize(("status", "happening"), PAIRS)
def test_every_transition_is_walked_or_refused(status: Status, happening: Happening) -> None:
    if (status, happening) in TRANSITIONS:
        assert advance(status, happening) == TRANSITIONS[status, happening]
    else:
        with pytest.raises(IllegalTransitionError, match=status):
            advance(status, happening)


def test_nothing_leads_out_of_withdrawn() -> None:
    assert not [pair for pair in TRANSITIONS if pair[0] == "withdrawn"]


def proposed() -> Crew:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.say("make")
    return crew


def statuses(crew: Crew) -> list[str]:
    return [change.status for change in crew.state.changes]


def test_a_change_lives_from_proposed_to_judged() -> None:
    crew = proposed()
    assert statuses(crew) == ["proposed"]
    crew.say("done")
    assert statuses(crew) == ["part-applied"]
    crew.say("done")
    assert statuses(crew) == ["applied"]
    crew.say("ran")
    assert statuses(crew) == ["run"]
    crew.tell(verdict="better")
    assert statuses(crew) == ["judged"]


def test_not_yet_says_nothing() -> None:
    crew = proposed()
    before = len(crew.log)
    assert crew.say("not-yet").id.startswith("turn:")
    assert len(crew.log) == before


def test_a_change_of_which_nothing_moved_is_withdrawn() -> None:
    crew = proposed()
    crew.say("not done", "cannot reach", "leave")
    assert statuses(crew) == ["withdrawn"]
    assert crew.prompt.id == "advice"
    assert crew.off == {}


def test_a_part_applied_change_blocks_the_pass_until_settled() -> None:
    crew = proposed()
    crew.say("done", "cannot reach", "leave")
    assert statuses(crew) == ["part-applied"]
    assert crew.prompt.id == "settle"
    crew.say("put back")
    assert crew.prompt.id.startswith("turn:")
    crew.tick()
    assert statuses(crew) == ["withdrawn", "applied"]
    assert crew.off == {}


def test_settled_by_trying_again() -> None:
    crew = proposed()
    crew.say("done", "cannot reach", "leave", "try again", "done")
    assert statuses(crew) == ["applied"]


def test_settled_even_where_one_side_reached_less() -> None:
    crew = proposed()
    crew.say("done", "stops early", "10", "all ok", "even out")
    assert crew.prompt.id == "turn:left front high-speed compression"
    crew.say("done")
    assert statuses(crew) == ["applied"]
    assert set(crew.off.values()) == {1}


def test_even_out_is_refused_where_one_side_did_not_move() -> None:
    crew = proposed()
    crew.say("done", "not done")
    even = next(c for c in crew.prompt.choices if c.id == "even out")
    assert even.why_not


def test_even_out_is_refused_where_a_knob_went_the_wrong_way() -> None:
    crew = proposed()
    crew.say("done", "stops early", "8", "all ok")
    even = next(c for c in crew.prompt.choices if c.id == "even out")
    assert even.why_not


def test_a_stopped_knob_can_be_left_unknown() -> None:
    crew = proposed()
    crew.say("done", "stops early", "unknown")
    assert crew.state.settings["right front high-speed compression"] == 9
    assert crew.prompt.id == "inspect:damper-damage"
    crew.say("all ok", "put back")
    crew.tick()
    assert crew.prompt.id == "symptoms"


@pytest.mark.parametrize("settled", ["even out", "put back"])
def test_a_knob_that_stopped_early_is_inspected_before_it_is_settled(settled: str) -> None:
    crew = proposed()
    crew.say("done", "stops early", "10")
    assert crew.prompt.id == "inspect:damper-damage"
    assert crew.say("all ok").id == "settle"
    crew.say(settled)
    crew.tick()
    assert crew.prompt.id in ("ran", "symptoms")


@pytest.mark.parametrize("runs", [0, 1])
def test_put_back_withdraws_an_open_change_without_an_override(runs: int) -> None:
    crew = proposed()
    crew.tick()
    if runs:
        crew.say("ran")
    crew.put_back()
    assert statuses(crew) == ["withdrawn", "applied"]
    assert crew.off == {}
    assert not [e for e in crew.log if e.body.kind == "overridden"]


def test_put_back_of_a_work_order_not_begun_needs_no_turn() -> None:
    crew = proposed()
    assert crew.do("put back to baseline").id == "symptoms"
    assert statuses(crew) == ["withdrawn"]


def test_put_back_that_cannot_be_finished_leaves_the_difference_in_the_book() -> None:
    crew = proposed()
    crew.tick()
    crew.do("put back to baseline", knowing=True)
    crew.say("done", "cannot reach", "leave")
    assert crew.prompt.id == "settle"
    crew.say("leave off")
    assert statuses(crew) == ["withdrawn", "withdrawn"]
    assert list(crew.off.values()) == [3]
    assert crew.prompt.id == "symptoms"


def test_put_back_of_which_nothing_moved_leaves_the_change_open() -> None:
    crew = proposed()
    crew.tick()
    crew.do("put back to baseline", knowing=True)
    crew.say("not done", "not done", "leave off")
    assert statuses(crew) == ["applied", "withdrawn"]
    assert crew.prompt.id == "ran"


def test_a_second_put_back_takes_the_place_of_the_first() -> None:
    crew = proposed()
    crew.tick()
    crew.do("put back to baseline", knowing=True)
    crew.say("done")
    crew.put_back()
    assert statuses(crew) == ["withdrawn", "withdrawn", "applied"]
    assert crew.off == {}


def test_a_verdict_taken_back_opens_the_change_again() -> None:
    crew = proposed()
    crew.tick()
    crew.say("ran", ["nothing"], "better")
    assert statuses(crew) == ["judged"]
    assert crew.back().id == "verdict"
    assert statuses(crew) == ["run"]
    crew.say("worse")
    assert crew.last.verdict == "worse"


def test_a_verdict_corrected_to_dont_know_opens_the_latest_change_again() -> None:
    crew = proposed()
    crew.tick()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    crew.do("correct", run=2, prompt="verdict", value="unknown")
    assert statuses(crew) == ["run"]
    assert crew.last.verdict is None
    assert crew.prompt.id == "ran"


def test_a_correction_that_adds_a_confounder_takes_the_verdict_away() -> None:
    crew = proposed()
    crew.tick()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    crew.do("correct", run=2, prompt="what-else", value=["tyre-pressure"])
    assert statuses(crew) == ["run"]


def test_an_own_turn_on_top_makes_both_mixed() -> None:
    crew = proposed()
    crew.tick()
    crew.do("already turned", adjuster="left rear rebound", now="10")
    assert [c.mixed for c in crew.state.changes] == [True, True]
    assert crew.state.changes[0].set_aside
    assert crew.state.open_change == crew.state.changes[1]
