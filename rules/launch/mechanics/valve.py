"""One stroke of a damper as a family of three numbers, and the fit of the family to points.

A bleed orifice stands in parallel with a preloaded blow-off valve. For a force F the piston's
speed is what both let through:

    |v| = sqrt(F / kb) + max(0, (F - F0) / chs)

The bleed is the square law of a sharp-edged orifice, the blow-off a spring-loaded valve that opens
at F0 (Dixon, The Shock Absorber Handbook, from memory; the sum and its inversion are our own).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Protocol, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# Beyond these a part of the family no longer shows in the curve.
_CLOSED_BLEED = 1e12
_SHUT_BLOW_OFF = 1e8
# Up to here [m/s] plain arithmetic gives one number's force as the array library does.
_FASTEST_M_S = 1e6


class Curve(Protocol):
    """Force against speed of one stroke; both positive, and force never falls with speed."""

    def force(self, speed: ArrayLike) -> Array:
        """Return the force [N] at each piston speed [m/s]."""
        ...

    def speed(self, force: ArrayLike) -> Array:
        """Return the piston speed [m/s] at each force [N]."""
        ...


@dataclass(frozen=True)
class Valve:
    """One stroke of one damper, or of an axle's two at the wheel.

    kb: bleed, force over speed squared [N s2/m2].
    f0: force at which the blow-off opens [N].
    chs: slope of the blow-off once open [N s/m].

    Raises:
        ValueError: a number is not finite, kb or chs not positive, or f0 negative.
    """

    kb: float
    f0: float
    chs: float

    def __post_init__(self) -> None:
        for name, value, least in (("kb", self.kb, 0.0), ("chs", self.chs, 0.0)):
            if not (np.isfinite(value) and value > least):
                raise ValueError(f"{name}: found {value}, wanted a number above 0")
        if not (np.isfinite(self.f0) and self.f0 >= 0.0):
            raise ValueError(f"f0: found {self.f0}, wanted a number not below 0")

    def speed(self, force: ArrayLike) -> Array:
        """Return the piston speed [m/s] at each force [N], element by element."""
        f = np.asarray(force, dtype=np.float64)
        return np.sqrt(f / self.kb) + np.maximum(0.0, (f - self.f0) / self.chs)

    def force(self, speed: ArrayLike) -> Array:
        """Return the force [N] at each piston speed [m/s], element by element: `force_of`."""
        if isinstance(speed, float) and 0.0 <= speed < _FASTEST_M_S:
            return np.asarray(self._force_at(float(speed)))
        return force_of(self.kb, self.f0, self.chs, speed)

    def _force_at(self, v: float) -> float:
        """Return the force at one speed not below 0; a landing asks for thousands, one by one."""
        shut = self.kb * v * v
        a, b = 1.0 / self.chs, 1.0 / sqrt(self.kb)
        w = v + self.f0 * a
        return min(shut, (2.0 * w / (b + sqrt(b * b + 4.0 * a * w))) ** 2)

    def damping(self, speed: float) -> float:
        """Return the slope of force over speed [N s/m] at one piston speed [m/s].

        The derivative of the family's speed with respect to force, inverted.
        """
        force = float(self.force(speed))
        if force <= 0.0:
            return 0.0
        per_newton = 0.5 / np.sqrt(self.kb * force) + (force > self.f0) / self.chs
        return float(1.0 / per_newton)

    def at_wheel(self, motion_ratio: float, dampers: int = 2) -> Self:
        """Return the axle's total at the wheel, exactly: F_wheel = n MR F(MR v).

        In the family that is kb n MR^3, F0 n MR and chs n MR^2.

        motion_ratio: damper travel over wheel travel [-], see `effective_motion_ratio`.
        """
        if not motion_ratio > 0.0:
            raise ValueError(f"motion ratio: found {motion_ratio}, wanted a number above 0")
        return replace(
            self,
            kb=self.kb * dampers * motion_ratio**3,
            f0=self.f0 * dampers * motion_ratio,
            chs=self.chs * dampers * motion_ratio**2,
        )

    def parameters(self) -> dict[str, float]:
        """Return the numbers by the names the launch takes them by: kb, F0, chs."""
        return {"kb": self.kb, "F0": self.f0, "chs": self.chs}


def force_of(kb: ArrayLike, f0: ArrayLike, chs: ArrayLike, speed: ArrayLike) -> Array:
    """Return the force [N] of valves, by their numbers, at piston speeds [m/s], element by element.

    Closed form: each branch is a quadratic in sqrt(F), A F + B sqrt(F) = W, with A = 0 while the
    blow-off is shut; the lesser root holds. Written without cancellation.
    """
    bleed, v = (np.asarray(one, dtype=np.float64) for one in (kb, speed))
    shut = bleed * v * v
    a, b = 1.0 / np.asarray(chs, dtype=np.float64), 1.0 / np.sqrt(bleed)
    w = v + np.asarray(f0, dtype=np.float64) * a
    open_ = (2.0 * w / (b + np.sqrt(b * b + 4.0 * a * w))) ** 2
    return np.asarray(np.minimum(shut, open_))


@dataclass(frozen=True)
class ValveFit:
    """A valve fitted to points, and its worst error there as a share of the force [-]."""

    valve: Valve
    worst: float


def effective_motion_ratio(ratio: float, angle_rad: float) -> float:
    """Return damper travel over wheel travel for a damper that leans.

    ratio: travel of the damper's lower mount over wheel travel [-].
    angle_rad: lean of the damper from that mount's path [rad].
    Formula: ratio cos(angle), the part of the mount's travel along the damper (geometry).

    Raises:
        ValueError: ratio not positive, or a lean of 80 degrees or more.
    """
    if not ratio > 0.0 or not abs(angle_rad) < np.radians(80.0):
        raise ValueError(
            f"found motion ratio {ratio} at {np.degrees(angle_rad):.0f} degrees, "
            "wanted a ratio above 0 and a lean under 80 degrees"
        )
    return float(ratio * np.cos(angle_rad))


def fit_two_points(low: tuple[float, float], high: tuple[float, float]) -> Valve:
    """Return the valve through two published points, each (speed [m/s], force [N]).

    Two points cannot fix three numbers: the blow-off is taken to open at the low-speed point,
    which is where makers quote it. Then kb = F_low / v_low^2 and chs follows from the high point.

    Raises:
        ValueError: points that are not two rising ones, or a force that grows faster than the
            square of the speed, which no bleed does.
    """
    (v_low, f_low), (v_high, f_high) = low, high
    if not (0.0 < v_low < v_high < np.inf and 0.0 < f_low < f_high < np.inf):
        raise ValueError(
            f"found {f_low:g} N at {v_low:g} m/s and {f_high:g} N at {v_high:g} m/s, "
            "wanted a low-speed point and a faster, higher one"
        )
    kb = f_low / v_low**2
    through_blow_off = v_high - np.sqrt(f_high / kb)
    if through_blow_off <= 0.0:
        raise ValueError("the force grows faster than the square of the speed between the points")
    return Valve(kb=kb, f0=f_low, chs=float((f_high - f_low) / through_blow_off))


def fit_valve(speeds: Sequence[float] | Array, forces: Sequence[float] | Array) -> ValveFit:
    """Fit the family to points of one stroke, in the least squares of relative speed.

    For a given F0 the speed is linear in 1/sqrt(kb) and 1/chs, so only F0 is searched for: over a
    grid of forces, then by golden section around the best.

    speeds, forces: points with positive speed [m/s] and force [N]; at least one.

    Raises:
        ValueError: no usable point.
    """
    v, f = np.asarray(speeds, dtype=np.float64), np.asarray(forces, dtype=np.float64)
    usable = (v > 0.0) & (f > 0.0) & np.isfinite(v) & np.isfinite(f)
    v, f = v[usable], f[usable]
    if not len(v):
        raise ValueError("found no point with a speed and a force, wanted at least one")
    if len(v) == 1 or np.ptp(f) == 0.0:
        return _rated(Valve(float(np.median(f / v**2)), float(f.max()), _SHUT_BLOW_OFF), v, f)
    grid = np.concatenate([[0.0], np.geomspace(f.min() / 10, f.max(), 80)])
    costs = [_best_for(f0, v, f)[0] for f0 in grid]
    place = int(np.argmin(costs))
    low, high = grid[max(place - 1, 0)], grid[min(place + 1, len(grid) - 1)]
    golden = (np.sqrt(5.0) - 1.0) / 2.0
    for _ in range(60):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if _best_for(left, v, f)[0] <= _best_for(right, v, f)[0]:
            high = right
        else:
            low = left
    f0 = min((grid[place], (low + high) / 2.0), key=lambda one: _best_for(one, v, f)[0])
    _, bleed, slope = _best_for(f0, v, f)
    kb = min(1.0 / max(bleed, 1e-12) ** 2, _CLOSED_BLEED)
    chs = min(1.0 / max(slope, 1e-12), _SHUT_BLOW_OFF)
    return _rated(Valve(float(kb), float(f0), float(chs)), v, f)


def _best_for(f0: float, v: Array, f: Array) -> tuple[float, float, float]:
    """Return cost, 1/sqrt(kb) and 1/chs of the best non-negative fit with this F0."""
    bleed, blow = np.sqrt(f) / v, np.maximum(0.0, f - f0) / v
    aa, ab, bb = bleed @ bleed, bleed @ blow, blow @ blow
    sa, sb = bleed.sum(), blow.sum()
    det = aa * bb - ab * ab
    tries = [(sa / aa, 0.0)]
    if bb > 0.0:
        tries.append((1e-6, max(0.0, (sb - 1e-6 * ab) / bb)))
    if det > 1e-12 * aa * bb:
        both = ((sa * bb - sb * ab) / det, (sb * aa - sa * ab) / det)
        if min(both) >= 0.0:
            tries.append(both)
    return min((float(((x * bleed + y * blow - 1.0) ** 2).sum()), x, y) for x, y in tries)


def _rated(valve: Valve, v: Array, f: Array) -> ValveFit:
    return ValveFit(valve, float(np.max(np.abs(valve.force(v) / f - 1.0))))
