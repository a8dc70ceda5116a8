"""What a change of the rear tyres' pressure does: to their vertical rate, and to their grip.

Common practice, no source, and far apart from tyre to tyre. The rate goes about in proportion to
the gauge pressure, a little less because the carcass carries too; from memory, the usual tyre
formula has 0.7 of a car tyre's rate follow its pressure. Each tyre has a window: grip is greatest
at some pressure and falls both ways. Where the crew's own pressure stands in it, nobody knows:

  (1) ln(grip(p) / grip(today)) = -k (l (l - 2 b)), l = ln(p / today), b = ln(best / today)

On paper the best is where the file leans, see `leaning`. How far a standing car sinks is left as
it is.
"""

from math import isfinite, log

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import Adjuster, adjusters
from rules.car.model import Car

Array = NDArray[np.float64]

# Share of the rate that follows the pressure, and one standard deviation of its logarithm.
RATE_POWER, RATE_SPREAD = 0.85, 0.3
# One standard deviation of where the best pressure lies, as a logarithm: a fifth up or down.
BEST_SPREAD = 0.2
# A fifth away from the best costs 4 % of the grip, or half or twice of that: a judgement.
GRIP_LOST = 0.04 / 0.2**2
GRIP_LOST_SPREAD = 0.7
HALF_WAY = 0.5
# A bias slick bites more with less until it wrinkles, so that its best is rather below today's, in
# `BEST_SPREAD`; of a radial too low hurts as well. Common practice, no source.
SLICK_LEANS = -0.5
DRAWN = ("pressure.best", "pressure.window")
"""Names of the deviates that a car's window hangs on, by `rules.launch.cloud.ensemble.NAMES`."""


def rate_factor(ratio: float) -> float:
    """Return the vertical rate over today's at a pressure over today's [-]."""
    return float(ratio**RATE_POWER)


def grip_logs(ratio: float, best: Array, window: Array) -> Array:
    """Return ln of the grip over today's at a pressure over today's, one per car: (1).

    best, window: standard normal, where the best pressure lies and how narrow the window is.
    """
    there = log(ratio)
    return np.asarray(-_lost(window) * there * (there - 2.0 * BEST_SPREAD * best))


def lost_today(best: Array, window: Array) -> Array:
    """Return the share of its best grip that a tyre has at today's pressure, one per car: (1).

    best, window: see `grip_logs`. So a tyre that spins speaks for a pressure that is off.
    """
    return np.asarray(np.exp(-_lost(window) * (BEST_SPREAD * best) ** 2))


def _lost(window: Array) -> Array:
    """Return k of (1), one per car."""
    return np.asarray(GRIP_LOST * np.exp(GRIP_LOST_SPREAD * window))


def rear_pressure(car: Car) -> Adjuster | None:
    """Return the lever of the rear tyres' gauge pressure; None where the file has none."""
    return next((one for one in adjusters(car).values() if is_rear_pressure(one)), None)


def is_rear_pressure(one: Adjuster) -> bool:
    """Tell whether a lever is the rear tyres' gauge pressure, as a number above none."""
    is_one = one.part == "tyre pressure" and one.axle == "rear" and not one.positions
    return is_one and one.start > 0.0


def leaning(one: Adjuster) -> float:
    """Return where the best pressure is looked for, in `BEST_SPREAD` from today's.

    Half way to the middle of what the maker's minimum and the file's end leave: a pressure at an
    end of its range is rather off than one in the middle. A bias slick's is rather below today's,
    see `SLICK_LEANS`, whatever the file says of its ends. Common practice, no source.
    """
    leans = SLICK_LEANS if one.tyre == "bias slick" else 0.0
    if not isfinite(one.marks) or one.floor <= 0.0:
        return leans
    return leans + HALF_WAY * log((one.floor + one.high) / 2.0 / one.start) / BEST_SPREAD
