"""The rear axle on its links: how the instant centre moves as the car rises, squats and pitches.

Where the links are known the instant centre C is a point of the body that wanders with travel.
Seen from the axle along the body's own axes it is told by the axle's turn per metre of travel and
the slope of the line to it, because these stay tame where C goes far away. With q the compression
and r the axle's radius:

  (1) turn = 1 / e + turn' q
  (2) slope = (d - r) / e + slope' q

The links push along lines through C alone. Moments about C of the tyre's load N, the thrust F, the
spring's force and the axle's own inertia, a share k = mr / M of the thrust, with z the axle's
height over the ground, s and c the sine and cosine of the pitch, give what the thrust lifts of the
body and puts on the tyre:

  (3) up = F (z turn / c + (1 - k) (s / c + slope)) + N slope s / c

and the axle, which turns about C, goes along the body as it travels, and its load with it:

  (4) moment = (mr g - N) q (slope(0) + slope' q / 2)

(own derivation; level, at static and without k, (3) is the F d / e of any text on vehicle
dynamics). Without known links the ratio d / e is held as it is at static. Left out: the inertia
of the axle's own turning. Against the multibody engine with rods for links the greatest lift is
right to 7 % or 2 mm, the rear's travel to 5 % or 5 mm.
"""

import numpy as np

from rules.launch.mechanics.aligned import aligned, on_line
from rules.launch.mechanics.parameters import Array, Columns


class Links:
    """The instant centres of a batch of cars; a car without known links keeps its ratio.

    moment: on the body, from where the load has gone, in step units, (n,).
    """

    def __init__(self, cars: Columns, top: Array, step_s: float) -> None:
        """Take the rear axles' heights [m] at which their tyres just touch, (n,)."""
        of = cars.of
        self._known = np.isfinite(of["ic_turn_rate"])
        rates = (np.nan_to_num(of[name]) for name in ("ic_turn_rate", "ic_slope_rate"))
        self._turn_rate, self._slope_rate = (on_line(one) for one in rates)
        self._turn, self._slope = on_line(1.0 / of["e"]), on_line((of["d"] - of["rr"]) / of["e"])
        self._half_rate = on_line(self._slope_rate / 2.0)
        self._passed_on = on_line(1.0 - of["mr"] / (of["ms"] + of["mf"] + of["mr"]))
        self._weight, self._top = on_line(of["mr"] * of["g"] * step_s**2), on_line(top)
        self._work, self.moment = aligned(4, cars.n), aligned(cars.n)

    def lift(
        self, q: Array, depth: Array, load: Array, s: Array, c: Array, fx: Array, up: Array
    ) -> None:
        """Put what the thrust `fx` lifts in `up`, in place, where the links are known.

        q: rear compression; depth, load: of the rear tyres; s, c: of pitch.
        """
        turn, slope, lean, part = self._work
        np.multiply(q, self._turn_rate, turn)
        np.add(turn, self._turn, turn)  # (1)
        np.multiply(q, self._slope_rate, slope)
        np.add(slope, self._slope, slope)  # (2)
        np.divide(s, c, lean)
        np.subtract(self._top, depth, part)
        np.multiply(turn, part, turn)
        np.divide(turn, c, turn)
        np.add(lean, slope, part)
        np.multiply(part, self._passed_on, part)
        np.add(turn, part, turn)
        np.multiply(turn, fx, turn)
        np.multiply(slope, lean, part)
        np.multiply(part, load, part)
        np.add(turn, part, turn)
        np.copyto(up, turn, where=self._known)  # (3)
        np.multiply(q, self._half_rate, part)
        np.add(part, self._slope, part)
        np.multiply(part, q, part)
        np.subtract(self._weight, load, turn)
        np.multiply(part, turn, turn)
        np.copyto(self.moment, turn, where=self._known)  # (4)
