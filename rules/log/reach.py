"""How a hand gets at a knob: what was found under the car or in the shop, and is remembered.

It stands in the log as answers of a sheet of its own, `REACH`, a round for each meeting, keyed by
the adjuster. Minutes are common practice, no source, and for both sides.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from rules.car.adjusters import Adjuster, Turn, across
from rules.car.hand_words import Access
from rules.log.changes import Change, Step
from rules.log.events.event import Body
from rules.log.events.sheets import SheetAnswered, SheetTakenBack
from rules.log.state import State
from rules.question import UNKNOWN

REACH = "reach"
MINUTES = " minutes"
Where = Literal["track", "shop", "nowhere"]


@dataclass(frozen=True)
class Reach:
    """One way to get at a knob.

    where: it can be done. What only the shop does leaves the knob out of reach until it is done.
    minutes: that it adds to the turn of a pair.  hands: how many it wants.
    """

    id: str
    label: str
    where: Where
    minutes: int = 0
    wheel_off: bool = False
    lift: bool = False
    hands: int = 1

    @property
    def says(self) -> str:
        """What it asks of the crew, in a few words; empty where nothing but an arm."""
        said = ("wheel off" * self.wheel_off, "car on stands" * self.lift)
        return ", ".join(filter(None, (*said, "two hands" * (self.hands > 1))))


WAYS: Mapping[str, Reach] = {
    one.id: one
    for one in (
        Reach("as it is", "In reach as it is, wheel on, car on the ground", "track"),
        Reach("two hands", "With a second hand, a mirror or a light", "track", 5, hands=2),
        Reach("stands", "From under it, on stands, wheel on", "track", 15, lift=True),
        Reach("wheel off", "On stands with the wheel off", "track", 20, wheel_off=True, lift=True),
        Reach("base", "Turn the damper's base", "shop", 45, wheel_off=True, lift=True),
        Reach("body over", "Turn the body over, if its maker allows", "shop", 90, True, True, 2),
        Reach("knob position", "Another knob position that its maker has", "shop", 60, True, True),
        Reach("mount", "A different mount, by qualified people", "shop", 240, True, True, 2),
        Reach("hole", "An access hole in sheet metal, by qualified people", "shop", 120, lift=True),
        Reach("leave", "Leave it for today", "nowhere"),
    )
}
"""Every way by its id, in the order of effort."""
_WAYS_OF: Mapping[Access, frozenset[str]] = {
    "knob": frozenset(WAYS),
    "bolted": frozenset({"as it is", "two hands", "stands", "wheel off", "leave"}),
    "open": frozenset({"leave"}),
}
NEVER_A_HOLE = "Never a hole in a damper, limiter, spring seat, frame or any load-bearing part."


def ways_of(one: Adjuster) -> list[Reach]:
    """Return the ways there are to an adjuster: a damper has more than a bolt on the car."""
    return [way for way in WAYS.values() if way.id in _WAYS_OF[one.hand.access]]


def way_to(state: State, adjuster: str) -> Reach | None:
    """Return the way that was said last, with the minutes that were; None where none was.

    A knob left for a day is asked about again at the next meeting.
    """
    for one in reversed(state.sheets.get(REACH, ())):
        way = WAYS.get(str(one.answers.get(adjuster, "")))
        if way is None or (way.where == "nowhere" and one.number != _round(state)):
            continue
        minutes = one.answers.get(f"{adjuster}{MINUTES}", UNKNOWN)
        return way if isinstance(minutes, str | tuple) else replace(way, minutes=round(minutes))
    return None


def is_out(state: State, adjuster: str) -> bool:
    """Tell whether a knob is out of reach: left for the day, or waiting for the shop."""
    way = way_to(state, adjuster)
    return way is not None and way.where != "track"


def said_bodies(state: State, one: Adjuster, way: str, minutes: float | None = None) -> list[Body]:
    """Return the events that remember how a knob and its twin are reached."""
    number = _round(state)
    bodies: list[Body] = []
    for key in (one.id, *([one.partner] if one.partner else [])):
        bodies.append(SheetAnswered(sheet=REACH, round=number, key=key, value=way))
        if minutes is not None:
            named = f"{key}{MINUTES}"
            bodies.append(SheetAnswered(sheet=REACH, round=number, key=named, value=minutes))
    return bodies


def taken_back(state: State, adjuster: str) -> list[Body]:
    """Return the events that take back what was said of a knob and its twin at this meeting."""
    number = _round(state)
    rounds = [one for one in state.sheets.get(REACH, ()) if one.number == number]
    said = rounds[0].answers if rounds else {}
    return [
        SheetTakenBack(sheet=REACH, round=number, key=key)
        for key in (adjuster, across(adjuster))
        if key in said
    ]


def as_reached(state: State, fitted: Mapping[str, Adjuster]) -> Mapping[str, Adjuster]:
    """Return adjusters with what reaching each takes, where it was said."""
    if not state.sheets.get(REACH):
        return fitted
    return {key: _reached(state, one) for key, one in fitted.items()}


def _reached(state: State, one: Adjuster) -> Adjuster:
    way = way_to(state, one.id)
    if way is None or way.where != "track":
        return one
    return replace(
        one,
        minutes=one.minutes + way.minutes,
        lift_car=one.lift_car or way.lift,
        tools=", ".join(filter(None, (one.tools, way.says))),
    )


def asked_about(state: State, change: Change) -> Step | None:
    """Return the turn of an order that a hand cannot reach and nobody has said more about."""
    return next(
        (
            step
            for step in change.stopped
            if step.is_unreached and not is_out(state, step.turn.adjuster)
        ),
        None,
    )


def refuses(state: State, turns: Iterable[Turn]) -> str:
    """Say that a turn is of a knob out of reach; empty where none is."""
    for turn in turns:
        if is_out(state, turn.adjuster):
            return f"{turn.adjuster} is out of reach: the shop's sheet Fitting has the ways"
    return ""


def _round(state: State) -> int:
    return max(1, len(state.meetings))
