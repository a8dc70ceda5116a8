"""One step ahead: how likely a fault is gone by a way, or by one more after what its pass shows."""

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.likelihood import says

Array = NDArray[np.float64]


def gone_by_one_more(gone: Array, moved: Array, share: Array) -> Array:
    """Return how likely the fault is gone after each way or after the best one that follows, (m,).

    The second way is chosen by whether the first pass looked better, the same or worse, among the
    same ways, counted from where the car stands today; so a way is worth also what it would teach.

    gone: how likely it is gone after each way on each car, (m, n).
    moved: the fault's index by each way, (m, n).  share: what each car counts, (n,), in all 1.
    Formula: sum g_a + sum over words of max over b of sum (1 - g_a) p(word | a) g_b, the two-stage
    value of perfect recall (Raiffa and Schlaifer, 1961; from memory).
    """
    found = np.empty(len(gone))
    for way, (now, by) in enumerate(zip(gone, moved, strict=True)):
        left = share * (1.0 - now)
        later = sum(float((gone @ (left * word)).max()) for word in says(by))
        found[way] = float(share @ now) + later
    return found
