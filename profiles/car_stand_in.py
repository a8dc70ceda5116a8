"""A car without its faulty parts, so that faults between fields are told together with them."""

from copy import deepcopy
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from profiles.car_faults import Loc, Raw, at, strict_car
from rules.car.model import Car, Knob
from rules.units import System

_CORE = {"id": "car", "name": "car", "rear_suspension": "other"}
_NEEDED = {
    "dampers": {"corner"},
    "knobs": {
        *("id", "controls", "speed", "clicks", "turns", "marks_per_turn"),
        *("count_from", "start", "pair", "offset"),
    },
    "levers": {"id", "kind", "axle", "positions", "start"},
    "stock": {"kind", "axle", "name", "rate", "compression_dyno", "rebound_dyno"},
}
"""Keys that others are judged by: with one of them lost or misspelt the item says nothing."""


def stand_in(raw: Raw, spoilt: frozenset[Loc], system: System) -> Car | None:
    """Return the car as far as it can be read, or None where too little is left.

    What is taken out takes what leans on it along: twins of lost knobs count as turned alone,
    and guesses about lost values are dropped.

    Raises:
        RecursionError: if it is nested too deep to be looked through.
    """
    pruned = deepcopy(raw)
    lost = {_item_or_key(loc) for loc in spoilt}
    for loc in sorted(lost, key=_deepest_first, reverse=True):
        _take_out(pruned, loc)
    pruned.update(units=system)
    for key, value in _CORE.items():
        pruned.setdefault(key, value)
    if isinstance(pruned.get("guesses"), list):
        names = {".".join(map(str, loc)) for loc in lost}
        pruned["guesses"] = [
            guess
            for guess in pruned["guesses"]
            if guess not in names and guess.partition(".")[0] not in names
        ]
    try:
        car = strict_car(pruned, system)
    except ValidationError:
        return None
    return _release(car, [_identity(raw, loc, spoilt) for loc in lost if _holds_knobs(loc)])


def _item_or_key(loc: Loc) -> Loc:
    """Return the list item that a fault makes useless, or the key alone where it can go."""
    for depth in reversed(range(1, len(loc))):
        needed = _NEEDED.get(str(loc[depth - 1]))
        if needed is None or not isinstance(loc[depth], int):
            continue
        if depth == len(loc) - 1:
            return loc
        useless = get_close_matches(str(loc[depth + 1])[:40], needed, cutoff=0.8)
        return loc[: depth + 1] if useless else loc[: depth + 2]
    return loc


def _deepest_first(loc: Loc) -> list[tuple[int, str]]:
    return [(step, "") if isinstance(step, int) else (-1, step) for step in loc]


def _take_out(raw: Raw, loc: Loc) -> None:
    holder: Any = at(raw, loc[:-1])
    if loc == ("dampers",) and isinstance(raw.get("dampers"), list):
        del raw["dampers"][4:]
    elif isinstance(loc[-1], int) or loc[-1] in holder:
        del holder[loc[-1]]


def _holds_knobs(loc: Loc) -> bool:
    return loc[0] == "dampers" and (isinstance(loc[-1], int) or loc[-1] in ("dampers", "knobs"))


def _identity(raw: Raw, loc: Loc, spoilt: frozenset[Loc]) -> tuple[str | None, str | None]:
    """Return corner and knob of something lost, None for what is unknown or all of them."""
    return _name(raw, (*loc[:2], "corner"), spoilt), _name(raw, (*loc[:4], "id"), spoilt)


def _name(raw: Raw, loc: Loc, spoilt: frozenset[Loc]) -> str | None:
    try:
        # Corners are in small letters, and capitals of an id count as such.
        return None if loc in spoilt else str(at(raw, loc)).lower()
    except (LookupError, TypeError):
        return None


def _release(car: Car, lost: list[tuple[str | None, str | None]]) -> Car:
    """Let knobs stand alone whose twin may be among what was lost."""

    def released(corner: str, knob: Knob) -> Knob:
        side, axle = corner.split()
        other = f"{'right' if side == 'left' else 'left'} {axle}"
        here = any(d.corner == other and any(k.id == knob.id for k in d.knobs) for d in car.dampers)
        may_be_lost = any(c in (other, None) and k in (knob.id, None) for c, k in lost)
        if here or not may_be_lost:
            return knob
        return knob.model_copy(update={"pair": "none", "offset": 0.0})

    dampers = tuple(
        damper.model_copy(update={"knobs": tuple(released(damper.corner, k) for k in damper.knobs)})
        for damper in car.dampers
    )
    return car.model_copy(update={"dampers": dampers})
