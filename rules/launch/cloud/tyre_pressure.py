"""What a change of the rear tyres' pressure does: to their vertical rate, and to their grip.

Common practice, no source, and far apart from tyre to tyre. The rate goes about in proportion to
the gauge pressure, a little less because the carcass carries too; from memory, the usual tyre
formula has 0.7 of a car tyre's rate follow its pressure. Each tyre has a window: grip is greatest
at some pressure and falls both ways. Where the crew's own pressure stands in it, nobody knows:

  (1) ln(grip(p) / grip(today)) = -k (l (l - 2 b)), l = ln(p / today), b = ln(best / today)

On paper today's pressure is the best. How far a standing car sinks is left as it is.
"""

from math import log

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Share of the rate that follows the pressure, and one standard deviation of its logarithm.
RATE_POWER, RATE_SPREAD = 0.85, 0.3
# One standard deviation of where the best pressure lies, as a logarithm: a fifth up or down.
BEST_SPREAD = 0.2
# A fifth away from the best costs 4 % of the grip, or half or twice of that: a judgement.
GRIP_LOST = 0.04 / 0.2**2
GRIP_LOST_SPREAD = 0.7
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
    lost = GRIP_LOST * np.exp(GRIP_LOST_SPREAD * window)
    return np.asarray(-lost * there * (there - 2.0 * BEST_SPREAD * best))
