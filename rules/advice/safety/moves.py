"""Turns as the safety rules see them: which part, where, which way and how far."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from rules.car.adjusters import Adjuster, Turn
from rules.car.steps import lets_front_rise, link_lifts, trade_step


@dataclass(frozen=True)
class Move:
    """One way to set one thing. `steps` counts the trade's first steps.

    `keeps_force` says that a knob follows a valving that is changed with it.
    """

    part: str
    axle: str
    upward: bool
    controls: str = ""
    speed: str = ""
    steps: float = 1.0
    place: str = ""
    one_side: bool = False
    keeps_force: bool = False
    lifts: bool = False

    @property
    def damper(self) -> bool:
        """Whether a damper is set: a knob or its valving."""
        return self.part in ("knob", "valving")

    def sets(self, axle: str, stroke: str, upward: bool | None = None) -> bool:
        """Tell whether it sets a stroke of an axle's dampers, that way where one is named."""
        strokes = (stroke, "both") if self.part == "knob" else (stroke, "")
        return (
            self.damper
            and self.axle == axle
            and self.controls in strokes
            and upward in (None, self.upward)
        )


def takes_clearance(move: Move) -> bool:
    """Tell whether a move leaves the front less travel at a landing; a bleed hardly acts there."""
    softer = not move.upward and move.axle in ("front", "car")
    if move.damper:
        return softer and move.controls != "rebound" and move.speed != "low"
    return softer and move.part in ("ride height", "spring", "preload")


def moves(turns: Iterable[Turn], fitted: Mapping[str, Adjuster]) -> list[Move]:
    """Return turns of adjusters as moves."""
    told = tuple(turns)
    by = {turn.adjuster: turn.after - turn.before for turn in told}
    made = [_move(fitted[turn.adjuster], turn, by) for turn in told if turn.after != turn.before]
    valved = any(move.part == "valving" for move in made)
    if not valved:
        return made
    return [replace(one, keeps_force=True) if one.part == "knob" else one for one in made]


def _move(one: Adjuster, turn: Turn, by: Mapping[str, float]) -> Move:
    distance = turn.after - turn.before
    upward = distance * one.up(True) > 0
    return Move(
        part=one.part,
        axle=one.axle,
        upward=upward,
        controls=one.controls or "",
        speed=one.speed if one.controls else "",
        place=one.place,
        steps=abs(distance) / one.step / trade_step(one),
        one_side=one.partner is not None and by.get(one.partner) != distance,
        lifts=lets_front_rise(one, upward) or link_lifts(one, upward),
    )
