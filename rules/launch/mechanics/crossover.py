"""From old valving to new: the clicks that give the old force back at a chosen piston speed."""

from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np

from rules.launch.mechanics.damper import Valving, forces_at
from rules.launch.mechanics.valve import Curve

# Piston speeds that stand for the two ends of the curve [m/s]; 2 and 10 inches per second.
LOW_SPEED_M_S = 0.0508
HIGH_SPEED_M_S = 0.254
# How far past the fastest measured point a curve is still trusted; common practice, no source.
TRUSTED_PAST = 1.5


@dataclass(frozen=True)
class Match:
    """The answer at one piston speed.

    speed: piston speed [m/s].
    wanted: the old valving's force there [N].
    setting: the whole count on the new valving that comes nearest, None where not reachable.
    exact: the count, between whole ones, that would give the force itself.
    force: what the new valving gives at `setting`, or at its nearest end where not reachable [N].
    measured_to: the fastest point measured [m/s] where `speed` lies too far past it for an answer:
        there is no setting then, and both forces are only the straight beyond that point.
    """

    speed: float
    wanted: float
    setting: float | None
    exact: float | None
    force: float
    measured_to: float | None = None

    @property
    def reachable(self) -> bool:
        """Whether the new valving can give the old force at all."""
        return self.setting is not None

    @property
    def off(self) -> float:
        """How far the force at that setting is from the old one, as a share of it [-]."""
        return self.force / self.wanted - 1.0


@dataclass(frozen=True)
class Crossover:
    """Both answers; where they differ, no single setting gives the old curve back."""

    low: Match
    high: Match

    @property
    def agrees(self) -> bool:
        """Whether one setting answers for both."""
        return self.low.reachable and self.low.setting == self.high.setting


@dataclass(frozen=True)
class EveryCount:
    """A valving with the whole counts between its measured settings, which a hand can set too."""

    measured: Valving

    @property
    def settings(self) -> tuple[float, ...]:
        """Every whole count from the lowest measured setting to the highest, and those."""
        ends = self.measured.settings
        whole = (float(count) for count in range(ceil(min(ends)), floor(max(ends)) + 1))
        return tuple(sorted({*ends, *whole}))

    def curve(self, setting: float) -> Curve:
        """Return the curve at a setting, between measured ones by equal factors.

        Raises:
            ValueError: a setting outside the measured ones.
        """
        return self.measured.curve(setting)


def match_at(old: Curve, new: Valving, speed: float) -> Match:
    """Return the setting of `new` that gives `old`'s force at one piston speed [m/s].

    Between settings the force is taken to change by equal factors, so the exact count is linear
    in the logarithm of force. The nearest whole setting is nearest in that sense.

    Raises:
        ValueError: a speed at which the old valving gives no force.
    """
    wanted = float(old.force(speed)) if speed > 0.0 else 0.0
    if not (np.isfinite(wanted) and wanted > 0.0):
        raise ValueError(f"no force of the old valving at {speed:g} m/s, wanted a speed with one")
    settings = np.array(new.settings)
    forces = np.maximum(forces_at(new, speed), 1e-9)
    distance = np.abs(np.log(forces / wanted))
    nearest = int(np.argmin(distance))
    if not forces.min() * (1 - 1e-9) <= wanted <= forces.max() * (1 + 1e-9):
        return Match(speed, wanted, None, None, float(forces[nearest]))
    return Match(
        speed,
        wanted,
        float(settings[nearest]),
        _exact(settings, np.log(forces), float(np.log(wanted)), nearest),
        float(forces[nearest]),
    )


def crossover(
    old: Curve,
    new: Valving,
    low: float = LOW_SPEED_M_S,
    high: float = HIGH_SPEED_M_S,
    fastest: float = np.inf,
) -> Crossover:
    """Return the answers at a low and a high piston speed [m/s].

    fastest: the fastest point that was measured of both valvings [m/s].

    Raises:
        ValueError: a speed at which the old valving gives no force.
    """
    return Crossover(
        _within(match_at(old, new, low), fastest), _within(match_at(old, new, high), fastest)
    )


def _within(match: Match, fastest: float) -> Match:
    """Withhold an answer too far past the fastest point that was measured."""
    if match.speed <= TRUSTED_PAST * fastest * (1.0 + 1e-9):
        return match
    return replace(match, setting=None, exact=None, measured_to=fastest)


def _exact(
    settings: np.ndarray[tuple[int], np.dtype[np.float64]],
    forces: np.ndarray[tuple[int], np.dtype[np.float64]],
    wanted: float,
    nearest: int,
) -> float:
    """Return the crossing of `wanted` nearest to the nearest setting, linear between settings."""
    crossings = []
    for place in range(len(settings) - 1):
        here, there = forces[place], forces[place + 1]
        if min(here, there) - 1e-9 <= wanted <= max(here, there) + 1e-9:
            share = 0.0 if here == there else (wanted - here) / (there - here)
            crossings.append(settings[place] + share * (settings[place + 1] - settings[place]))
    if not crossings:
        return float(settings[nearest])
    return float(min(crossings, key=lambda one: abs(one - settings[nearest])))
