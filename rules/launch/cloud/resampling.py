"""A cloud drawn anew by the weights of its cars."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def by_weight(weight: Array, count: int) -> NDArray[np.intp]:
    """Return `count` rows in proportion to their weights, evenly spaced (systematic resampling)."""
    edges = np.cumsum(weight) / weight.sum()
    places = (np.arange(count) + 0.5) / count
    return np.minimum(np.searchsorted(edges, places), len(weight) - 1)


def effective(weight: Array) -> float:
    """Return how many cars a set of weights stands for: (sum w)^2 / sum w^2 (Kish, from memory)."""
    return float(weight.sum() ** 2 / (weight**2).sum())
