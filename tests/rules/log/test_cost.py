"""Cost grows with what changed, not with the log: counted in steps, not in time.

A walk over all passes at every event would make ten times the steps on a log ten times as long.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from types import FrameType
from typing import Any

from profiles.snapshot import cooled
from rules.advice.change_evidence import latest_tried
from rules.advice.decision import follow_up
from rules.advice.earlier_passes import passes_that_speak, teaching
from rules.book import shipped
from rules.crew import open_question
from rules.crew.actions import AddNote, act
from rules.crew.open_question import next_step
from rules.growing_sequence import LENGTH
from rules.log.events.car import Recounted
from rules.log.events.event import Body, Event
from rules.log.events.meeting import CallTimeGiven
from rules.log.events.passes import PassRun
from rules.log.folds.fold import apply, fold
from rules.log.state import State
from rules.log.state_after import after
from rules.log.taken_up import with_taken_up
from rules.paper.tables import changes_table, passes_table
from tests.support.big_log import KNOB, big_log
from tests.support.once import once

# As many passes behind the last whole part, and in the last meeting.
FEW, MANY = 66, 66 + 9 * LENGTH
MORE = 1.3
BOOK = shipped()


def steps(run: Callable[[], Any]) -> int:
    """Return how many calls and lines something takes, each turn of a loop being one.

    Of single operations a newer Python tells nothing the first time that it runs a function.
    """
    count = 0

    def trace(_frame: FrameType, what: str, _: Any) -> Any:
        nonlocal count
        count += what in ("call", "line")
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        run()
    finally:
        sys.settrace(before)
    return count


@once
def at(passes: int) -> tuple[State, tuple[Event, ...]]:
    """Return the state of a log, and the events of the pass that comes after."""
    events = list(big_log(passes + 1))
    whole = len(list(big_log(passes)))
    return fold(events[:whole]), tuple(events[whole:])


def one_look(passes: int) -> int:
    """Return how many steps it takes to look at every pass of a log once."""
    state, _ = at(passes)
    return steps(lambda: [run.number for run in state.runs])


def is_no_dearer(cost: Callable[[int], int]) -> None:
    """Check that ten times the log costs the same, and less than a look at each pass more."""
    few, many = cost(FEW), cost(MANY)
    told = f"{few} steps at {FEW} passes, {many} at {MANY}"
    assert many <= MORE * few, told
    assert many - few < one_look(MANY) - one_look(FEW), told


def test_a_look_at_every_pass_is_seen() -> None:
    """However a walk is written, and on every Python: what counts sees each pass of it."""
    walks: list[Callable[[State], Any]] = [
        lambda state: list(state.runs),
        lambda state: sum(run.number for run in state.runs),
        lambda state: [run.id for run in state.runs[:]],
        lambda state: any(filter(lambda run: run.number < 0, reversed(state.runs))),
    ]
    for walk in walks:
        for passes in (FEW, MANY):
            assert steps(partial(walk, at(passes)[0])) >= passes


def test_the_next_pass_costs_the_same_at_any_length() -> None:

    def cost(passes: int) -> int:
        state, events = at(passes)
        return steps(lambda: fold(events, state))

    is_no_dearer(cost)


def test_so_does_each_event_of_it() -> None:
    for number in range(min(len(at(FEW)[1]), len(at(MANY)[1]))):

        def cost(passes: int, number: int = number) -> int:
            state, events = at(passes)
            state = fold(events[:number], state)
            return steps(lambda: apply(state, events[number]))

        is_no_dearer(cost)


def test_so_does_a_body_that_touches_little() -> None:
    bodies: list[Body] = [CallTimeGiven(minutes=20), Recounted(adjuster=KNOB, found=4.0)]
    for body in bodies:

        def cost(passes: int, body: Body = body) -> int:
            state, _ = at(passes)
            after(state, [body])  # What is told of whole parts is told once.
            return steps(lambda: after(state, [body]))

        is_no_dearer(cost)


def test_so_do_the_open_question_and_a_note() -> None:
    """Once they were asked of a log, whose older parts do not change any more."""

    def cost(passes: int) -> int:
        state, _ = at(passes)
        next_step(state, BOOK)
        open_question._asked.clear()
        state = replace(state, events=state.events + 1)
        note = AddNote(text="It grinds")
        return steps(lambda: (act(state, BOOK, note, lambda: "x"), next_step(state, BOOK)))

    is_no_dearer(cost)


def test_so_does_what_the_launch_is_taught_of_the_passes() -> None:

    def cost(passes: int) -> int:
        state, events = at(passes)
        told = fold(events[:8], state)
        looks: list[Callable[[State], Any]] = [teaching, passes_that_speak]
        for look in looks:
            look(told)
        told = replace(told, events=told.events + 1)
        return sum(steps(partial(look, told)) for look in looks)

    is_no_dearer(cost)


def test_so_does_what_comes_with_an_answer() -> None:
    """No change of a season is looked through for one that waits for its pass again."""

    def cost(passes: int) -> int:
        state, _ = at(passes)
        change = state.open_change
        bodies: list[Body] = [PassRun(run="new", change=change.id if change else None)]
        with_taken_up(state, bodies)
        state = replace(state, events=state.events + 1)
        return steps(lambda: with_taken_up(state, bodies))

    is_no_dearer(cost)


def test_what_is_held_of_a_part_long_past_is_what_was_asked_for() -> None:
    """A danger in every part of a log brings no part of it into memory."""
    state = cooled(at(MANY)[0])
    dangers = list(state.runs.where("a danger", lambda run: run.number % 50 == 0))
    assert len(dangers) > len(state.runs.parts)
    assert not any(part.is_held for part in state.runs.parts)
    assert list(state.runs.where("a danger", lambda run: False)) == dangers


def test_the_changes_of_a_meeting_cost_what_there_are_of_them() -> None:
    """However often one of its passes showed a danger: none is looked for in all before it."""

    def cost(passes: int) -> int:
        state = fold(big_log(passes, of_a_meeting=passes))
        change = next(latest_tried(state))
        return steps(lambda: follow_up(state, BOOK, change))

    few, many = cost(FEW), cost(4 * FEW)
    assert many <= MORE * 4 * few, f"{few} steps at {FEW} passes, {many} at {4 * FEW}"


def test_the_tables_cost_what_is_in_them() -> None:
    states = [at(passes)[0] for passes in (FEW, MANY)]
    for table in (passes_table, changes_table):
        few, many = [steps(partial(table, state)) for state in states]
        assert many <= MORE * few * MANY / FEW
