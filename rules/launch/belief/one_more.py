"""One step ahead: how likely a fault is gone by a way, or by one more after what its pass shows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.likelihood import says

Array = NDArray[np.float64]


@dataclass(frozen=True)
class OneMore:
    """What each way comes to with one more change behind it, (m,).

    gone: how likely the fault is gone by then.  if_same, if_worse: the place of the way that
    follows best where the pass looks the same, or worse.
    """

    gone: Array
    if_same: list[int]
    if_worse: list[int]


def one_more(gone: Array, moved: Array, share: Array) -> OneMore:
    """Return what each way comes to, with the best one that follows.

    The second way is chosen by whether the first pass looked better, the same or worse, among the
    same ways, counted from where the car stands today; so a way is worth also what it would teach.

    gone: how likely it is gone after each way on each car, (m, n).
    moved: the fault's index by each way, (m, n).  share: what each car counts, (n,), in all 1.
    Formula: sum g_a + sum over words of max over b of sum (1 - g_a) p(word | a) g_b, the two-stage
    value of perfect recall (Raiffa and Schlaifer, 1961; from memory).
    """
    by_then = np.empty(len(gone))
    best = np.empty((len(gone), 3), dtype=int)
    for way, (now, by) in enumerate(zip(gone, moved, strict=True)):
        left = share * (1.0 - now)
        later = np.stack([gone @ (left * word) for word in says(by)])
        best[way] = later.argmax(axis=1)
        by_then[way] = share @ now + later.max(axis=1).sum()
    return OneMore(by_then, best[:, 1].tolist(), best[:, 2].tolist())
