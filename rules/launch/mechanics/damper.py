"""What a damper's knobs do to its curve, from whatever is known, in order of trust.

A dyno table says the curve of each setting (`rules.launch.dyno`); two published points at each
end of the range fix a valve there; else the generic family is scaled. Between known settings the
force changes by equal factors per click, as crews and makers count on ("common practice, no
source"). Knobs act on their own part: bleed on kb, low-speed preload on F0, high-speed on F0 and
chs of the blow-off.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rules.car.dyno_tables import MOST_SETTINGS
from rules.launch.mechanics.valve import Curve, Valve, fit_two_points

# A knob's softest and firmest forces over its middle ones where nothing is known of it: a guess.
GENERIC_RANGE = (0.6, 1.6)


class KnobPart(StrEnum):
    """The part of the curve a knob acts on."""

    BLEED = "bleed"
    PRELOAD = "low-speed preload"
    HIGH_SPEED = "high-speed"
    WHOLE = "whole curve"


_MOVES = {
    KnobPart.BLEED: ("kb",),
    KnobPart.PRELOAD: ("f0",),
    KnobPart.HIGH_SPEED: ("f0", "chs"),
    KnobPart.WHOLE: ("kb", "f0", "chs"),
}


class Valving(Protocol):
    """One stroke of a damper over all its settings."""

    @property
    def settings(self) -> tuple[float, ...]:
        """Every setting there is, as the crew counts them, in order of the count."""
        ...

    def curve(self, setting: float) -> Curve:
        """Return the curve at a setting, also between two of them."""
        ...


@dataclass(frozen=True)
class KnobRange:
    """A stroke's valve at both ends of its knob, in damper units (not at the wheel).

    soft, firm: the valves at the ends.
    clicks: clicks from end to end.
    from_hard: the crew counts from full hard, so that 0 is the firm end.

    Raises:
        ValueError: no click at all, or more than a knob has.
    """

    soft: Valve
    firm: Valve
    clicks: int
    from_hard: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.clicks < MOST_SETTINGS:
            raise ValueError(f"clicks: found {self.clicks}, wanted 1 to {MOST_SETTINGS - 1}")

    @property
    def settings(self) -> tuple[float, ...]:
        """Every click, as counted."""
        return tuple(float(click) for click in range(self.clicks + 1))

    def curve(self, setting: float) -> Valve:
        """Return the valve at a count of clicks; each number changes by equal factors a click.

        Raises:
            ValueError: a setting off the knob.
        """
        if not 0.0 <= setting <= self.clicks:
            raise ValueError(f"found setting {setting:g}, wanted 0 to {self.clicks}")
        share = setting / self.clicks
        return between(self.soft, self.firm, 1.0 - share if self.from_hard else share)


def between(soft: Valve, firm: Valve, share: float) -> Valve:
    """Return the valve a `share` of the way from soft to firm, in the logarithm of each number.

    An F0 of zero at one end has no logarithm: there it moves in a straight line.
    """

    def mix(a: float, b: float) -> float:
        if min(a, b) <= 0.0:
            return a + (b - a) * share
        return float(np.exp(np.log(a) * (1.0 - share) + np.log(b) * share))

    return Valve(mix(soft.kb, firm.kb), mix(soft.f0, firm.f0), mix(soft.chs, firm.chs))


def scaled(valve: Valve, part: KnobPart, factor: float) -> Valve:
    """Return the valve with the numbers that a knob acts on multiplied by `factor` [-].

    Raises:
        ValueError: factor not a positive number.
    """
    if not (np.isfinite(factor) and factor > 0.0):
        raise ValueError(f"factor: found {factor}, wanted a number above 0")
    numbers = {name: getattr(valve, name) * factor for name in _MOVES[part]}
    return Valve(**{"kb": valve.kb, "f0": valve.f0, "chs": valve.chs, **numbers})


def generic_range(middle: Valve, part: KnobPart, clicks: int, from_hard: bool = False) -> KnobRange:
    """Return a knob of which nothing is known but its clicks: a guess around its middle."""
    low, high = GENERIC_RANGE
    return KnobRange(scaled(middle, part, low), scaled(middle, part, high), clicks, from_hard)


@dataclass(frozen=True)
class TwoPoints:
    """Published points of one stroke: a low- and a high-speed one at each end of the knob.

    Each point is (piston speed [m/s], force [N]).
    """

    soft: tuple[tuple[float, float], tuple[float, float]]
    firm: tuple[tuple[float, float], tuple[float, float]]
    clicks: int
    from_hard: bool = False

    def range(self) -> KnobRange:
        """Fit the family at each end.

        Raises:
            ValueError: points that no damper has, saying which end.
        """
        ends = []
        for name, (low, high) in (("soft", self.soft), ("firm", self.firm)):
            try:
                ends.append(fit_two_points(low, high))
            except ValueError as fault:
                raise ValueError(f"{name} end: {fault}") from None
        return KnobRange(ends[0], ends[1], self.clicks, self.from_hard)


def forces_at(valving: Valving, speed: float) -> NDArray[np.float64]:
    """Return the force [N] at one piston speed [m/s] at every setting, (settings,)."""
    settings: Sequence[float] = valving.settings
    return np.array([float(valving.curve(one).force(speed)) for one in settings])
