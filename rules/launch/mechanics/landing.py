"""The landing budget and the nose afterwards: travel needed against travel there, and settling."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules.launch.mechanics.valve import Curve

Array = NDArray[np.float64]

SETTLED_WITHIN_M = 0.010
_STEP_M = 0.0002
_FURTHEST_M = 1.0


@dataclass(frozen=True)
class Budget:
    """A landing on the front suspension.

    needs: travel from touchdown to the lowest point [m]; the furthest tried where it never stops.
    has: travel from touchdown to the bump stop [m].
    energy: what spring and damper take up on the way [J].
    """

    needs: float
    has: float
    energy: float

    @property
    def spare(self) -> float:
        """Travel left at the lowest point [m]; negative: the stop is met."""
        return self.has - self.needs


def landing_budget(
    front_mass: float,
    speed: float,
    front_weight: float,
    rate: float,
    compression: Curve,
    from_static: float,
    bump: float,
    thrust_relief: float = 0.0,
) -> Budget:
    """Return the travel a landing needs at today's clicks, by energy: m_eff v dv = -F ds.

    front_mass: `rules.chassis.effective_front_mass` [kg].  speed: at touchdown, downward [m/s].
    front_weight: sprung static front load [N].  rate: wheel rate of the axle [N/m].
    compression: the axle's compression damping at the wheel, see `Valve.at_wheel`.
    from_static: compression at touchdown, negative in droop [m].  bump: travel from static to the
    stop [m].  thrust_relief: what thrust takes off the front, F h / L [N].
    The force slowing the nose is the strut's, W_f + k q + F_d(v), less what pushes it down,
    W_f - F h / L. Second order in steps of 0.2 mm; a thousandth of the speed counts as
    stopped. The tyre's own deflection is left out, and the rear is taken as standing still.
    Against whole launches that land, from droop, short of the stop: within 6 mm and 13 % of the
    travel from 0.1 m of lift on; 12 mm off on a hop of 0.07 m. Told the stop right on 23 of 24.

    Raises:
        ValueError: a mass or rate not above 0.
    """
    for name, value in (("front mass", front_mass), ("wheel rate", rate)):
        if not (np.isfinite(value) and value > 0.0):
            raise ValueError(f"{name}: found {value}, wanted a number above 0")
    fall = front_weight - thrust_relief
    travel, energy, kinetic = 0.0, 0.0, 0.5 * front_mass * max(speed, 0.0) ** 2

    def strut(at: float, left: float) -> float:
        damping = float(compression.force(sqrt(2.0 * max(left, 0.0) / front_mass)))
        return max(0.0, front_weight + rate * (from_static + at)) + damping

    still = 1e-6 * kinetic
    while kinetic > still and travel < _FURTHEST_M:
        force = strut(travel, kinetic)
        if kinetic <= (force - fall) * _STEP_M:
            last = kinetic / (force - fall)
            return Budget(travel + last, bump - from_static, energy + force * last)
        halfway = kinetic - (force - fall) * _STEP_M / 2.0
        force = strut(travel + _STEP_M / 2.0, halfway)
        kinetic -= (force - fall) * _STEP_M
        travel += _STEP_M
        energy += force * _STEP_M
    return Budget(travel, bump - from_static, energy)


def nose_at_rest(
    thrust: ArrayLike,
    cg_height: float,
    wheelbase: float,
    rate: float,
    tyre_rate: float,
    droop: float,
    droop_rate: float,
) -> Array:
    """Return how far above static the nose would sit at rest under each thrust [m].

    thrust [N]; cg_height, wheelbase [m]; rate, tyre_rate: of the front axle [N/m]; droop: travel
    to the droop stop [m]; droop_rate: of that stop [N/m].
    Formula: the front loses F h / L (`rules.chassis.load_transfer`), which the wheel rate and the
    tyre give back as rise: F h / L (1 / k + 1 / k_t); past the droop stop k and the stop share it.
    Small angles, the axle on the ground.
    """
    lost = np.asarray(thrust, dtype=np.float64) * cg_height / wheelbase
    free = np.minimum(lost / rate, droop)
    beyond = np.maximum(lost - rate * droop, 0.0) / (rate + droop_rate)
    return np.asarray(free + beyond + lost / tyre_rate)


@dataclass(frozen=True)
class Settled:
    """When [s] and where [m] the nose has come to rest; None where it has not by the end."""

    time: float | None
    distance: float | None


def settled(time: Array, x: Array, nose: Array, rest: ArrayLike, since: float = 0.0) -> Settled:
    """Return when the nose came within 10 mm of where it would sit at rest, and stayed there.

    time [s], x: distance [m], nose: its rise above static [m], (m,) each, of one run.
    rest: where it would sit under the same thrust [m], see `nose_at_rest`.
    since: not before this, the touchdown for one [s].

    Raises:
        ValueError: traces of different lengths.
    """
    if not len(time) == len(x) == len(nose):
        raise ValueError("found traces of different lengths")
    off = np.abs(nose - np.asarray(rest)) > SETTLED_WITHIN_M
    outside = np.nonzero(off | (time < since))[0]
    first = int(outside[-1]) + 1 if len(outside) else 0
    if first >= len(time):
        return Settled(None, None)
    return Settled(float(time[first]), float(x[first]))
