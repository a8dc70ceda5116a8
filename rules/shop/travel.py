"""A damper's lengths in the car: travel there is, shaft that is left at either end. SI throughout.

Arithmetic of lengths; limits are common practice, no source.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

from rules.shop.findings import Finding, unknown
from rules.shop.ratio import MeasuredRatio
from rules.units import INCH_M, Quantity
from rules.wording import both, both_range

TAPE_GIVE_M = 0.002
SHAFT_TO_SPARE_M = INCH_M / 4


@dataclass(frozen=True)
class Lengths:
    """One damper's length, eye to eye [m]; None where it was not measured.

    shortest, longest: the damper by itself, fully closed and fully open.
    full_bump: in the car, the suspension metal-solid, bump rubber out of the way.
    full_droop: in the car, hanging on limiter or stop.
    """

    ride: float
    full_bump: float | None = None
    full_droop: float | None = None
    shortest: float | None = None
    longest: float | None = None

    def __post_init__(self) -> None:
        named = [
            ("shortest", self.shortest), ("at full bump", self.full_bump),
            ("at ride height", self.ride), ("at full droop", self.full_droop),
            ("longest", self.longest),
        ]  # fmt: skip
        known = [(name, value) for name, value in named if value is not None]
        for name, value in known:
            if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
                found = both(value, Quantity.LENGTH)
                raise ValueError(f"damper length {name}: found {found}, wanted a length above 0")
        for (less, low), (more, high) in pairwise(known):
            if low > high or (low == high and "at ride height" in (less, more)):
                raise ValueError(
                    f"damper length {less}: found {both(low, Quantity.LENGTH)}, "
                    f"wanted less than {more}, {both(high, Quantity.LENGTH)}"
                )

    @property
    def bump(self) -> float | None:
        """Shaft travel from ride height to full bump [m]."""
        return None if self.full_bump is None else self.ride - self.full_bump

    @property
    def droop(self) -> float | None:
        """Shaft travel from ride height to full droop [m]."""
        return None if self.full_droop is None else self.full_droop - self.ride

    @property
    def shaft_left(self) -> float | None:
        """Shaft still out at full bump [m]; 0: the damper itself is the stop."""
        if self.full_bump is None or self.shortest is None:
            return None
        return self.full_bump - self.shortest

    @property
    def shaft_left_in_droop(self) -> float | None:
        """Travel that the damper still has at full droop [m]; 0: it is the droop stop."""
        if self.full_droop is None or self.longest is None:
            return None
        return self.longest - self.full_droop


def at_wheel(lengths: Lengths, ratio: MeasuredRatio) -> tuple[float | None, float | None]:
    """Return bump and droop travel at the wheel from ride height, None where not measured [m].

    ratio: the damper's own.
    """
    bump = None if lengths.bump is None else ratio.wheel_travel(lengths.bump)
    droop = None if lengths.droop is None else -ratio.wheel_travel(-lengths.droop)
    return bump, droop


def travel_findings(
    corner: str, lengths: Lengths, ratio: MeasuredRatio | None
) -> tuple[Finding, ...]:
    """Return a damper's findings, always in the same order. ratio: the damper's own."""
    bump, droop = (None, None) if ratio is None else at_wheel(lengths, ratio)
    return (
        _wheel_travel(corner, "bump", lengths.bump, bump),
        _wheel_travel(corner, "droop", lengths.droop, droop),
        _split(corner, lengths),
        _shaft_left(corner, lengths.shaft_left),
        _top_out(corner, lengths.shaft_left_in_droop),
    )


def _wheel_travel(corner: str, way: str, shaft: float | None, wheel: float | None) -> Finding:
    name = f"{corner} {way} travel"
    if shaft is None:
        return unknown(name, f"the damper's length at full {way}", Quantity.LENGTH)
    if wheel is None:
        return unknown(name, "the damper's motion ratio", Quantity.LENGTH)
    says = f"{both(wheel, Quantity.LENGTH)} at the wheel, {both(shaft, Quantity.LENGTH)} of shaft."
    return Finding(name, wheel, Quantity.LENGTH, "ok", says)


def _split(corner: str, lengths: Lengths) -> Finding:
    """Return the bump share of the travel; never failed, because cars differ in what is right."""
    name = f"{corner} bump share"
    bump, droop = lengths.bump, lengths.droop
    if bump is None or droop is None:
        return unknown(name, "the damper's length at full bump and at full droop")
    travel, share = bump + droop, bump / (bump + droop)
    low = max(0.0, share - TAPE_GIVE_M / travel)
    high = min(1.0, share + TAPE_GIVE_M / travel)
    says = (
        f"{100 * low:.0f} to {100 * high:.0f} % of the travel is bump, by a tape good to "
        f"{both(TAPE_GIVE_M, Quantity.LENGTH)}. There is no right share: the car decides."
    )
    return Finding(name, share, None, "ok", says)


def _shaft_left(corner: str, left: float | None) -> Finding:
    name = f"{corner} shaft left at full bump"
    if left is None:
        wants = "the damper's shortest length and its length at full bump"
        return unknown(name, wants, Quantity.LENGTH)
    if left <= 0.0:
        says = "STOP: the damper bottoms before the suspension does; it is not made to be the stop."
        return Finding(name, left, Quantity.LENGTH, "stop", says)
    says = f"{both(left, Quantity.LENGTH)} of shaft left at full bump."
    if left < SHAFT_TO_SPARE_M:
        says += f" Crews want {both(SHAFT_TO_SPARE_M, Quantity.LENGTH)}: bump rubber or mount."
        return Finding(name, left, Quantity.LENGTH, "look", says)
    return Finding(name, left, Quantity.LENGTH, "ok", says)


def _top_out(corner: str, left: float | None) -> Finding:
    name = f"{corner} shaft left at full droop"
    if left is None:
        wants = "the damper's longest length and its length at full droop"
        return unknown(name, wants, Quantity.LENGTH)
    if left <= TAPE_GIVE_M:
        says = (
            "The damper is the droop stop: it tops out metal on metal unless a limiter is fitted."
        )
        return Finding(name, left, Quantity.LENGTH, "look", says)
    says = f"{both_range(left - TAPE_GIVE_M, left + TAPE_GIVE_M, Quantity.LENGTH)} "
    return Finding(name, left, Quantity.LENGTH, "ok", says + "to go when the limiter holds.")
