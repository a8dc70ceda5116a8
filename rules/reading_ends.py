"""A reading at an end of what it reads is a bound and no value: at most there, or at least.

A ring still at the seal says that the shaft never went in past ride height, not that it went in by
nothing. At the stop it could not be pushed further. After a braked pass it stands where the dive
under brakes pushed it, if that went deeper than the landing: the landing used at most that much.
"""

from collections.abc import Mapping
from math import inf
from typing import Literal

from rules import events as ev
from rules.car import Car

End = Literal["", "at most", "at least", "tells nothing"]
BRAKED = "braked"
_AXLES = {"front ring": "front", "rear ring": "rear"}


def end_of(what: str, value: float, give: float, there: float | None, braked: bool = False) -> End:
    """Return what kind of bound a measurement is, "" where it is a value [SI].

    there: travel from ride height to the stop, of a ring, None where nobody knows it.
    braked: the ring was read after hard braking.
    """
    if what == "scrape":
        return "at least"
    if what not in _AXLES:
        return "at most" if what == "lift" and value - give <= 0.0 else ""
    at_stop = there is not None and value + give >= there
    if braked and what == "front ring":
        return "tells nothing" if at_stop else "at most"
    if at_stop:
        return "at least"
    return "at most" if value - give <= 0.0 else ""


def bounds(
    what: str, value: float, give: float, there: float | None, braked: bool = False
) -> tuple[float, float]:
    """Return the least and the most that a measurement lets be true [SI]; infinite where open."""
    end = end_of(what, value, give, there, braked)
    low = -inf if end in ("at most", "tells nothing") else value - give
    return low, inf if end in ("at least", "tells nothing") else value + give


def comparable(before: ev.Measured, after: ev.Measured, car: Car) -> bool:
    """Tell whether the true difference of two measurements is surely no less than it reads.

    A scrape is at least its reading on every pass, and is compared as it reads.
    """
    if after.what == "scrape":
        return True
    more, less = (before, after) if before.value > after.value else (after, before)
    return end_in(more, car) in ("", "at least") and end_in(less, car) in ("", "at most")


def was_braked(inputs: Mapping[str, float]) -> bool:
    """Tell whether a ring was read after hard braking; one of an older log was not asked about."""
    return inputs.get(BRAKED, 0.0) > 0.0


def end_in(body: ev.Measured, car: Car) -> End:
    """Return what kind of bound a measurement of this car is."""
    there = None
    if body.what in _AXLES:
        there = getattr(car, _AXLES[body.what]).bump_travel_m
    return end_of(body.what, body.value, body.give, there, was_braked(body.inputs))
