"""A reading at an end of what it reads is a bound and no value: at most there, or at least.

A ring still at the seal says that the shaft never went in past ride height, not that it went in by
nothing. At the stop it could not be pushed further. After a braked pass it stands where the dive
under brakes pushed it, if that went deeper than the landing: the landing used at most that much.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rules.car.model import Car
from rules.passes.reading_ends import _AXLES, BRAKED, End, end_of

if TYPE_CHECKING:
    from rules.log.noted import AsMeasured


def comparable(before: AsMeasured, after: AsMeasured, car: Car) -> bool:
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


def end_in(body: AsMeasured, car: Car) -> End:
    """Return what kind of bound a measurement of this car is."""
    there = None
    if body.what in _AXLES:
        there = getattr(car, _AXLES[body.what]).bump_travel_m
    return end_of(body.what, body.value, body.give, there, was_braked(body.inputs))
