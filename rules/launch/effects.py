"""A number of the launch before and after, over the cars of a cloud."""

import numpy as np
from numpy.typing import NDArray

from rules.launch.goals import LEAST_CHANGE, MEASURES
from rules.launch.proposed_change import Effect, Range

Array = NDArray[np.float64]

SHOWN = 0.5


def effect_of(name: str, before: Array, after: Array) -> Effect | None:
    """Return an effect, or None where fewer than half of the cars have the number.

    before, after: on the same cars, (n,) [SI]; NaN where a car has none.
    """
    both = np.isfinite(before) & np.isfinite(after)
    if np.mean(both) < SHOWN:
        return None
    least = LEAST_CHANGE[MEASURES[name]]
    change = after[both] - before[both]
    return Effect(
        name=name,
        measure=MEASURES[name],
        before=range_of(before[both]),
        after=range_of(after[both]),
        less=round(float(np.mean(change < -least)), 3),
        more=round(float(np.mean(change > least)), 3),
    )


def range_of(values: Array) -> Range:
    """Return the 10, 50 and 90 % quantiles."""
    low, middle, high = (round(float(one), 5) for one in np.quantile(values, (0.1, 0.5, 0.9)))
    return Range(low=low, middle=middle, high=high)
