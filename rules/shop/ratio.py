"""Motion ratio and wheel rate from lengths measured at several wheel heights. SI throughout.

Source of the wheel rate with a changing ratio: virtual work, F_wheel = F_spring MR, derived once
more over wheel travel; W. F. and D. L. Milliken, Race Car Vehicle Dynamics, chapter 16, from
memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, sqrt

from rules.car import chassis
from rules.shop.findings import Finding
from rules.straight_line import parabola, straight, t_factor
from rules.units import INCH_M, Quantity
from rules.wording import both

LEAST_HEIGHTS = 5
LIKELY = (0.3, 1.1)


@dataclass(frozen=True)
class MeasuredRatio:
    """Damper or spring travel over wheel travel, as measured; the lean is in it already.

    ratio: over the whole travel; error: its standard error, None for one that was only given.
    at_ride: at ride height.  change: of the ratio over wheel travel into bump [1/m], None unless
    it stands clear of the scatter; change_error [1/m].  local: between neighbouring heights, from
    droop to bump.
    """

    ratio: float
    error: float | None
    at_ride: float
    change: float | None = None
    change_error: float | None = None
    local: tuple[float, ...] = ()

    @property
    def bend(self) -> float:
        """The change of ratio to reckon with [1/m]: 0 where none was seen."""
        return self.change or 0.0

    def wheel_travel(self, shaft: float) -> float:
        """Return the wheel travel [m] for a travel of damper or spring from ride height [m].

        shaft: into bump positive, into droop negative.
        Formula: the root of MR x + dMR/dx x^2 / 2 = shaft that is 0 with it; where a falling ratio
        never gets there, the travel at which it stops moving.
        """
        inside = max(0.0, self.at_ride**2 + 2.0 * self.bend * shaft)
        return 2.0 * shaft / (self.at_ride + sqrt(inside))


def given_ratio(ratio: float) -> MeasuredRatio:
    """Return a ratio that was told as one number, its lean in it.

    Raises:
        ValueError: a ratio not above 0.
    """
    if isinstance(ratio, bool) or not (isfinite(ratio) and ratio > 0.0):
        raise ValueError(f"motion ratio: found {ratio}, wanted a number above 0")
    return MeasuredRatio(ratio, None, ratio)


def measured_ratio(heights: Sequence[tuple[float, float]]) -> MeasuredRatio:
    """Return the motion ratio from (wheel height, length) pairs.

    heights: wheel travel from ride, bump positive [m], and the damper's or spring's length there
    [m]; five or more different heights.
    Formula: minus the slope of length over wheel height, least squares; the change is minus the
    second derivative of a parabola, kept where it is over its 95 % range.

    Raises:
        ValueError: fewer than five heights, the same height twice, a length not above 0, one
            that does not shorten towards bump, or a ratio at ride height not above 0.
    """
    ordered = sorted(heights)
    if len(ordered) < LEAST_HEIGHTS:
        raise ValueError(f"wheel heights: found {len(ordered)}, wanted {LEAST_HEIGHTS} or more")
    for wheel, length in ordered:
        if not isfinite(wheel) or not (isfinite(length) and length > 0.0):
            at, found = both(wheel, Quantity.LENGTH), both(length, Quantity.LENGTH)
            raise ValueError(f"length at {at}: found {found}, wanted a length above 0")
    for (low, longer), (high, shorter) in pairwise(ordered):
        if high == low:
            twice = both(low, Quantity.LENGTH)
            raise ValueError(f"wheel heights: found {twice} twice, wanted each once")
        if shorter >= longer:
            told = " and ".join(
                f"{both(length, Quantity.LENGTH)} at {both(wheel, Quantity.LENGTH)}"
                for length, wheel in ((longer, low), (shorter, high))
            )
            raise ValueError(
                f"lengths: found {told}, wanted a length that shortens as the wheel goes up"
            )
    wheels, lengths = [one for one, _ in ordered], [one for _, one in ordered]
    line, curve = straight(wheels, lengths), parabola(wheels, lengths)
    bend_error = curve.bend_error or 0.0
    bends = abs(curve.bend) > max(t_factor(curve.to_spare) * bend_error, 1e-6)
    at_ride = -curve.slope_at(0.0) if bends else -line.slope
    if at_ride <= 0.0:
        raise ValueError(
            f"motion ratio at ride height by these heights: found {at_ride:.3f}, wanted a number "
            "above 0; measure on both sides of ride height"
        )
    return MeasuredRatio(
        ratio=-line.slope,
        error=line.slope_error,
        at_ride=at_ride,
        change=-curve.bend if bends else None,
        change_error=bend_error,
        local=tuple(
            (longer - shorter) / (high - low)
            for (low, longer), (high, shorter) in pairwise(ordered)
        ),
    )


def wheel_rate_at_ride(
    spring_rate: float, ratio: MeasuredRatio, spring_force: float, springs: int = 2
) -> float:
    """Return the axle's rate at the wheel at ride height [N/m].

    spring_rate: of one spring [N/m].  ratio: the spring's own.  spring_force: in one spring at
    ride height [N].
    Formula: n (K MR^2 + F dMR/dx); a ratio that rises into bump stiffens the wheel.

    Raises:
        ValueError: a rate or ratio not above 0, or a force below 0.
    """
    if not (isfinite(spring_force) and spring_force >= 0.0):
        raise ValueError(f"spring force: found {spring_force}, wanted a number not below 0")
    steady = chassis.wheel_rate(spring_rate, ratio.at_ride, springs)
    return steady + springs * spring_force * ratio.bend


def ratio_finding(name: str, measured: MeasuredRatio) -> Finding:
    """Return a measured ratio in words. name: what it is of, as "left front damper ratio"."""
    low, high = LIKELY
    says = f"{measured.ratio:.3f}"
    if measured.error is None:
        says += ", as given, not measured over the travel."
    elif measured.change is None:
        says += f", standard error {measured.error:.3f}; the same over the travel by this tape."
    else:
        way = "rises" if measured.change > 0.0 else "falls"
        per_inch = abs(measured.change) * INCH_M
        says += (
            f", standard error {measured.error:.3f}; {measured.at_ride:.3f} at ride height, {way} "
            f"by {{{per_inch:.3f} an inch|"
            f"{abs(measured.change) * 0.01:.3f} per 10 mm}} into bump."
        )
    says += " The lean is in it: no angle is taken off."
    odd = not low <= measured.ratio <= high
    if odd:
        says += f" Mostly {low:g} to {high:g} (common practice, no source): measure again."
    return Finding(name, measured.ratio, None, "look" if odd else "ok", says)


def wheel_rate_finding(name: str, rate: float) -> Finding:
    """Return an axle's wheel rate in words; a rate at or under 0 cannot carry the car."""
    if rate <= 0.0:
        says = "The falling ratio takes more than the spring gives: measure the ratio again."
        return Finding(name, rate, Quantity.SPRING_RATE, "look", says)
    says = f"{both(rate, Quantity.SPRING_RATE)} for the axle, both wheels."
    return Finding(name, rate, Quantity.SPRING_RATE, "ok", says)
