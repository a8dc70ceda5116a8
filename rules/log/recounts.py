"""What has to be counted or settled by hand before the next count can be trusted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from rules.asked import PairChoice
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.log.said import parts_changed
from rules.log.state import State

if TYPE_CHECKING:
    from rules.log.events.event import Body


class Split(NamedTuple):
    """A side of a pair that a recount found apart, and where its partner wants it."""

    one: Adjuster
    turn: Turn


@dataclass(frozen=True)
class Recounting:
    """The latest recount of an adjuster: what was believed before, and what it put in doubt.

    `turns` is where the steps of all changes stood after it, as `State.steps_stand` says it: once
    they are others, it cannot be taken back.
    """

    found: float
    before: float
    since: int
    runs: frozenset[str]
    changes: frozenset[str]
    split: Mapping[str, int]
    turns: str


def unsure(state: State) -> Adjuster | None:
    """Return a lever that the crew said was changed before the last pass, not counted since."""
    run = state.runs[-1] if state.runs else None
    if run is None or not run.done or state.car is None:
        return None
    changed = parts_changed(run)
    return next(
        (
            one
            for one in adjusters(state.car).values()
            if one.part in changed and state.known_since.get(one.id, 0) < run.number
        ),
        None,
    )


def split_pair(state: State) -> Split | None:
    """Return a pair that a recount found broken, until the crew has said what becomes of it."""
    fitted = adjusters(state.car) if state.car else {}
    for key, asked_from in state.split.items():
        one = fitted.get(key)
        if one is None or one.partner is None or len(state.runs) < asked_from:
            continue
        offset = one.offset if one.place.startswith("right") else -one.offset
        now, goal = state.settings[key], round(state.settings[one.partner] + offset, 6)
        if now != goal:
            return Split(one, Turn(adjuster=key, before=now, after=goal))
    return None


def pair_bodies(split: Split, choice: PairChoice, new_id: Callable[[], str]) -> list[Body]:
    """Settle a broken pair: put the side right as a work order, keep it, or ask later."""
    from rules.log.events.car import PairSettled
    from rules.log.events.changes import ChangeProposed

    settled = PairSettled.model_validate({"adjuster": split.one.id, "choice": str(choice)})
    if choice is not PairChoice.PUT_RIGHT:
        return [settled]
    title = f"Put right: {split.one.label}"
    proposed = ChangeProposed(change=new_id(), origin="put back", title=title, turns=(split.turn,))
    return [settled, proposed]
