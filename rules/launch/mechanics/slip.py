"""Slip of the rear tyres as a state: how far they wind up, when they let go, how long they spin.

The tread runs at u, the car at v; the drive turns wheels and driveline, of which a mass m_w is
felt at the tread. Slip is s = (u - v) / u once the tyre has rolled a relaxation length L:

  (1) L s' = (u - v) - |u| s
  (2) m_w u' = cap (1 + m_w / M) - Fx, M the whole car: a tyre that holds passes on all of `cap`
  (3) Fx = mu N f(x), x = (s + T (u - v) / L) / s_peak

with a curve that rises to its peak at x = 1 and falls beyond it to the share left in sliding,
its slope nothing at the peak from both sides:

  (4) f(x) = (3 a - a^3) / 2 * (share + (1 - share) 2 b / (1 + b^2)), a = min(x, 1), b = max(x, 1)

odd in x. T damps the winding-up of a standing tyre, a spring between drive and car:

  (5) T = 2 zeta / w, w^2 = 3/2 mu N0 / (s_peak L m_w), N0 the load at rest

Relaxation and the shape of the curve as in
any text on tyre dynamics; this curve is a family of our own, its numbers common practice, no
source. As in `rules.launch.mechanics.motion` places stand at half steps, and so does s; u at
whole ones.
"""

import numpy as np
from numpy.typing import NDArray

from rules.launch.mechanics.aligned import aligned, on_line
from rules.launch.mechanics.parameters import Array, Columns

WIND_UP_DAMPING_RATIO = 0.2
_LATEST, _BEFORE = 0.875, 0.375


def wind_up(cars: Columns) -> Array:
    """Return how fast a tyre winds up and back at rest [rad/s], (n,); 0 where none slips: (5)."""
    of = cars.of
    load = cars.static_load()[1] + of["mr"] * of["g"]
    mass = np.where(of["slip_mass"] > 0.0, of["slip_mass"], np.inf)
    squared = 1.5 * of["mu"] * load / (of["slip_peak"] * of["slip_relax"] * mass)
    return np.asarray(np.sqrt(squared))


class TyreSlip:
    """The slip of a batch of cars under way; a car whose tyres only hold keeps its thrust.

    kept: slip [-], (rows, n); row 0 ends the stretch before.
    """

    def __init__(self, cars: Columns, step_s: float, most: int) -> None:
        """Make room for `most` steps at a time."""
        of, n = cars.of, cars.n
        self._slips = of["slip_mass"] > 0.0
        mass = np.where(self._slips, of["slip_mass"], 1.0)
        every = of["ms"] + of["mf"] + of["mr"]
        self._gain, self._per_mass = on_line(1.0 + mass / every), on_line(1.0 / mass)
        self._per_length = on_line(1.0 / of["slip_relax"])
        damping = 2.0 * WIND_UP_DAMPING_RATIO / np.maximum(wind_up(cars), 1.0)  # (5)
        self._wind_up = on_line(damping / (of["slip_relax"] * step_s))
        self._per_peak, self._mu = on_line(1.0 / of["slip_peak"]), on_line(of["mu"])
        self._left, self._lost = on_line(of["slip_slide"]), on_line(2.0 - 2.0 * of["slip_slide"])
        self.kept = aligned(most + 1, n)
        self._tread, self._pull, self._before = aligned(3, n)
        self._work = aligned(5, n)

    def carry_on(self, last: int) -> None:
        """Begin the next stretch where row `last` ended the one before."""
        self.kept[0] = self.kept[last]

    def stand(self, which: NDArray[np.bool_], last: int) -> None:
        """Stop the tread of the cars marked in `which`."""
        for values in (self._tread, self._pull, self._before, self.kept[last]):
            values[which] = 0.0

    def push(
        self, row: int, v: Array, ahead: Array, load: Array, most: Array, power: Array,
        slowest: Array, fx: Array,
    ) -> None:  # fmt: skip
        """Put one step's thrust into `fx`, in place, where tyres slip; all in step units.

        v, ahead: the car's speed at the whole step before and at this half step; load: on the
        rear tyres; most, power: what the drive gives.
        """
        slip, tread = self.kept[row], self._tread
        half, speed, x, b, f = self._work
        # (1), by the trapezoidal rule over the step that the whole step stands in the middle of.
        np.absolute(tread, half)
        np.multiply(half, self._per_length, half)
        np.multiply(half, 0.5, half)
        np.subtract(1.0, half, x)
        np.add(half, 1.0, half)
        np.multiply(self.kept[row - 1], x, slip)
        np.subtract(tread, v, x)
        np.multiply(x, self._per_length, x)
        np.add(slip, x, slip)
        np.divide(slip, half, slip)
        # The tread's speed half a step on, as the car's own speeds go there.
        np.multiply(self._pull, _LATEST, speed)
        np.multiply(self._before, _BEFORE, x)
        np.subtract(speed, x, speed)
        np.add(speed, tread, speed)
        # (3) and (4)
        np.subtract(speed, ahead, x)
        np.multiply(x, self._wind_up, x)
        np.add(x, slip, x)
        np.multiply(x, self._per_peak, x)
        np.absolute(x, f)
        np.maximum(f, 1.0, out=b)
        np.minimum(f, 1.0, out=f)
        np.copysign(f, x, f)
        np.multiply(f, f, x)
        np.subtract(3.0, x, x)
        np.multiply(x, f, f)
        np.multiply(b, b, x)
        np.add(x, 1.0, x)
        np.divide(b, x, b)
        np.multiply(b, self._lost, b)
        np.add(b, self._left, b)
        np.multiply(f, b, f)
        np.multiply(f, load, f)
        np.multiply(f, self._mu, f)
        np.multiply(f, 0.5, f)
        # (2)
        np.maximum(speed, slowest, out=x)
        np.divide(power, x, x)
        np.minimum(x, most, out=x)
        np.multiply(x, self._gain, x)
        np.subtract(x, f, x)
        self._pull, self._before = self._before, self._pull
        np.multiply(x, self._per_mass, self._pull)
        np.add(tread, self._pull, tread)
        np.copyto(fx, f, where=self._slips)
