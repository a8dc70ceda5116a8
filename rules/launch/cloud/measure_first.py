"""Which number of the car file to measure first: the one that would narrow the answer most."""

import numpy as np
from numpy.typing import NDArray

from rules.car.model import Car
from rules.launch.cloud.car_cloud import Deviates, LaunchCars
from rules.launch.cloud.ensemble import NAMES
from rules.launch.cloud.on_paper import Known
from rules.launch.proposed_change import missing

Array = NDArray[np.float64]

MOST = 4
_LEAST_SHARE = 0.01


def measure_first(car: Car, cloud: LaunchCars, drawn: Deviates, lift: Array) -> tuple[str, ...]:
    """Return keys of the car file, those without which nothing can be worked out first.

    lift: what each car of the cloud came to [m], NaN for one that overturned or left the model.
    The rest in order of the share of the lift's spread that goes with each: the squared rank
    correlation (Spearman) of each number's draw with the lift, summed over what hangs on one key.
    An overturned car ranks above all others.
    """
    first = missing(car)
    ranks = _ranks(np.where(np.isnan(lift), np.inf, lift))
    shares: dict[str, float] = {}
    for place, name in enumerate(NAMES):
        key = cloud.keys.get(name, "")
        if key and key not in first and cloud.known[name] is not Known.MEASURED:
            together = _together(_ranks(drawn.numbers[:, place]), ranks)
            by_chance = 2.0 / len(ranks)
            shares[key] = shares.get(key, 0.0) + max(0.0, together**2 - by_chance)
    ordered = sorted(shares, key=lambda key: -shares[key])
    return (*first, *(key for key in ordered if shares[key] >= _LEAST_SHARE))[:MOST]


def _together(one: Array, other: Array) -> float:
    """Return the correlation of two rows of ranks; 0 where one of them never differs."""
    if np.ptp(one) == 0.0 or np.ptp(other) == 0.0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1])


def _ranks(values: Array) -> Array:
    """Return the rank of each value, equal ones sharing their mean."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    return np.asarray((last - (count - 1) / 2.0)[place], dtype=np.float64)
