"""What looks back only as far as it must finds what a walk over the whole log finds."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st

from rules import growing_sequence
from rules.advice.earlier_passes import (
    MOST,
    _as_taken,
    _sighting,
    _speaks,
    passes_taught,
    passes_that_speak,
    seen_on,
    teaches,
    teaching,
)
from rules.growing_sequence import GrowingSequence
from rules.launch.belief.ahead import latest
from rules.launch.pass_conditions import NOT_NOTED, PassConditions
from rules.launch.proposed_change import Seen
from rules.log.changes import Change
from rules.log.engine import breathing_of
from rules.log.events.advice import AdviceSettled, LearntAfresh
from rules.log.events.event import Body
from rules.log.events.meeting import MeetingOpened
from rules.log.events.passes import Answered, ConditionsNoted, PassRun
from rules.log.grip import grip_of
from rules.log.state import Run, State
from rules.log.taken_up import _is_covered, _is_off, _may_wait, _taken_up, _uncovered
from rules.log.two_passes import Doubt, doubts
from tests.rules.log.test_clicks import MOVES, OFFSET_CAR, take
from tests.support.crew import Crew
from tests.support.sample import examples

PASSES = st.tuples(st.just("pass"), st.integers(0, 5), st.integers(0, 3))


@contextmanager
def short_parts() -> Iterator[None]:
    """Let a log of few passes be one of several parts."""
    with patch.object(growing_sequence, "LENGTH", 3):
        yield


LONG = st.lists(PASSES, min_size=20, max_size=30)


@examples(12, 100)
@given(st.one_of(LONG, st.lists(st.one_of(PASSES, MOVES), max_size=30)))
def test_it_finds_what_a_walk_finds(moves: list[tuple[Any, ...]]) -> None:
    with short_parts():
        crew = Crew(OFFSET_CAR)
        for number, move in enumerate(moves, 1):
            if move[0] == "pass":
                a_pass(crew, move[1], move[2])
            else:
                take(crew, move)
            if number % 3 == 0 or number == len(moves):
                is_what_a_walk_finds(crew.state)


def a_pass(crew: Crew, kind: int, said: int) -> None:
    """Record a pass with what was seen, at this meeting or at another one."""
    number, state = len(crew.state.runs) + 1, crew.state
    run = f"pass {number} {len(crew.log)}"
    change = state.open_change
    waits = change is not None and change.status == "applied"
    if kind == 0:
        crew.record([MeetingOpened(meeting=f"day {number}", name="", session="test")])
    crew.record([PassRun(run=run, change=change.id if waits and change else None)])
    symptom = ("front-carries", "it-is-good", "spins-at-hit", "front-bounces")[said]
    told: list[Body] = [Answered(run=run, prompt="symptoms", value=(symptom,))]
    told += [Answered(run=run, prompt="stand", value=("none", "big")[(kind + said) % 2])]
    told += [Answered(run=run, prompt="what-else", value=("burnout",))] * (kind == 4)
    told += [Answered(run=run, prompt="two-passes", value="before")] * (kind == 5)
    noted = ConditionsNoted(run=run, units="us", lane="left", track_temperature=80.0 + number)
    told += [noted] * (said == 2)
    crew.record([*told, AdviceSettled(run=run, choice="left", done=True)])
    if kind == 2 and said == 3:
        crew.record([LearntAfresh()])


def is_what_a_walk_finds(state: State) -> None:
    every = _taught(state)
    for last in (None, *(run.number for run in state.runs)):
        until = [seen for run, seen in every if last is None or run.number <= last]
        assert teaching(state, last) == latest(until)
        if last is not None:
            assert passes_taught(state, last) == len(until)
        assert passes_that_speak(state, last) == _spoken(state, last)
    assert _uncovered(state) == _walked(state)


def _taught(state: State) -> list[tuple[Run, Seen]]:
    doubted, noted = doubts(state, dict.fromkeys(one.meeting for one in state.runs)), _noted(state)
    return [
        (
            run,
            replace(
                _sighting(state, run), noted=noted[run.id], weight=doubt.weight, apart=doubt.apart
            ),
        )
        for run in state.runs
        if teaches(state, run)
        for doubt in (doubted.get(run.id, Doubt()),)
    ]


def _noted(state: State) -> dict[str, PassConditions]:
    found: dict[str, PassConditions] = {}
    last: dict[str | None, PassConditions] = {}
    for run in state.runs:
        before = replace(last.get(run.meeting, NOT_NOTED), lane=None)
        taken = _as_taken(grip_of(run), breathing_of(state))
        found[run.id] = last[run.meeting] = taken.or_else(before)
    return found


def _spoken(state: State, before: int | None) -> tuple[Seen, ...]:
    found = [
        seen
        for run in reversed(state.runs)
        if (before is None or run.number < before) and _speaks(state, run)
        for seen in (seen_on(run),)
        if seen.facts or seen.measured
    ]
    return tuple(found[:MOST])


def _walked(now: State) -> list[Body]:
    later: list[Change] = []
    for change in reversed(now.changes):
        if _is_covered(now, change) and _is_off(now, change, later):
            return _taken_up(now, change, later)
        assert _may_wait(change) or not _is_covered(now, change)
        later.append(change)
    return []


@given(st.lists(st.integers(0, 9), max_size=30), st.integers(0, 9), st.integers(0, 5))
def test_the_last_ones_of_a_sequence(numbers: list[int], least: int, most: int) -> None:
    with short_parts():
        held = GrowingSequence(numbers)
        odd = [one for one in numbers if one % 2]
        for _ in range(2):  # Asked again, whole parts are known.
            assert held.how_many("is odd", lambda one: one % 2 == 1) == len(odd)
            found = held.last_ones("is odd", lambda one: one % 2 == 1, most)
            assert found == odd[::-1][:most]
            beyond = list(held.last_from("itself", lambda one: one, least))
            assert beyond == [one for one in reversed(numbers) if one >= least]
