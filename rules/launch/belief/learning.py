"""The cloud after every pass of a log: reweighted, drawn anew by weight, and moved.

Tempered sequential Monte Carlo (Chopin, 2002; Del Moral and others, 2006; from memory): a pass is
taken in as far as half of the cars still count, the likely ones are kept, and each is moved with
a launch of its own on every pass so far, so that the cloud neither empties nor repeats itself.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rules.car.model import Car
from rules.launch.belief.faults import Launched, indices, launched
from rules.launch.belief.likelihood import log_likelihood
from rules.launch.belief.particles import (
    MOST_PASSES,
    cars_of,
    drawn,
    layout,
    meetings_of,
    nearby,
)
from rules.launch.cloud.resampling import by_weight, effective
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

FIRST = 384
KEPT = 112
STEP_S = 0.004
_ROUNDS = 5
_HALF = 0.5
MOVE = 0.65
_SOME = 0.12


@dataclass(frozen=True)
class BelievedCars:
    """The cloud after the passes seen so far, all its cars equally likely.

    z: a row a car, see `particles`.
    loglik: the logarithm of how likely the passes before the last, and the last, are, (n, 2).
    """

    z: Array
    loglik: Array


@lru_cache(maxsize=24)
def learnt(car: Car, passes: tuple[Seen, ...], seed: int) -> BelievedCars:
    """Return what is believed of a car after its passes, the oldest first.

    The same car, passes and seed give the same cloud; only the latest `MOST_PASSES` count.
    """
    passes = passes[-MOST_PASSES:]
    if not passes:
        z = drawn(car, FIRST, np.random.default_rng([seed, 0]))
        return BelievedCars(z, np.zeros((FIRST, 0)))
    before = learnt(car, passes[:-1], seed)
    rng = np.random.default_rng([seed, len(passes)])
    z, past = before.z, before.loglik.sum(axis=1)
    last = _log_likelihoods(car, z, passes, only_last=True)[:, -1]
    taken, rounds = 0.0, 0
    while taken < 1.0:
        rounds += 1
        step = 1.0 - taken if rounds >= _ROUNDS else _step(last, 1.0 - taken)
        rows = by_weight(np.exp(step * (last - last.max())), KEPT)
        taken += step
        z, past, last = z[rows], past[rows], last[rows]
        tried = nearby(z, MOVE, _SOME, rng)
        new = _log_likelihoods(car, tried, passes)
        gain = new[:, :-1].sum(axis=1) + taken * new[:, -1] - past - taken * last
        better = np.log(rng.random(len(z))) < gain
        z = np.where(better[:, None], tried, z)
        past = np.where(better, new[:, :-1].sum(axis=1), past)
        last = np.where(better, new[:, -1], last)
    return BelievedCars(z, np.stack([past, last], axis=1))


def _log_likelihoods(
    car: Car, z: Array, passes: tuple[Seen, ...], only_last: bool = False
) -> Array:
    """Return the logarithm of how likely each pass is on each car, (cars, passes)."""
    first = max(0, len(passes) - 2) if only_last else 0
    meetings, crew = meetings_of(passes), layout(car).crew(z)
    batch = [
        one
        for number in range(first, len(passes))
        for one in cars_of(
            car, dict(passes[number].settings), z, meetings[number], number, passes[number].apart
        )
    ]
    every = launched(launch_many(batch, step_s=STEP_S), batch)
    found = np.zeros((len(z), len(passes)))
    index: Array | None = None
    for place, number in enumerate(range(first, len(passes))):
        run: Launched = every.pick(slice(place * len(z), (place + 1) * len(z)))
        compares = number > 0 and _compares(passes[number - 1], passes[number])
        before, index = index if compares else None, indices(run)
        seen = passes[number]
        found[:, number] = seen.weight * log_likelihood(run, index, crew, seen, before)
    return found


def _compares(before: Seen, after: Seen) -> bool:
    """Tell whether a verdict on a pass can be about what changed since the one before."""
    return before.meeting == after.meeting and before.settings != after.settings


def _step(last: Array, most: float) -> float:
    """Return how much of a pass is taken in: as much as leaves half of the cars in effect."""
    low, high = 0.0, most
    if _stand_for(most * last) >= _HALF * len(last):
        return most
    for _ in range(30):
        middle = (low + high) / 2.0
        low, high = (
            (middle, high) if _stand_for(middle * last) >= _HALF * len(last) else (low, middle)
        )
    return max(low, 1e-3 * most)


def _stand_for(logs: Array) -> float:
    """Return how many cars stand for the cloud, by the logarithms of their weights."""
    return effective(np.exp(logs - logs.max()))
