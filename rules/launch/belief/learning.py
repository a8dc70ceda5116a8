"""The cloud after every pass of a log: reweighted, drawn anew by weight, and moved.

Tempered sequential Monte Carlo (Chopin, 2002; Del Moral and others, 2006; from memory): a pass is
taken in as far as half of the cars still count, the likely ones are kept, and each is moved with
a launch of its own on every pass so far, so that the cloud neither empties nor repeats itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rules.car.model import Car
from rules.launch.belief import lane_air_track
from rules.launch.belief.faults import Launched, bars_possible, indices, launched
from rules.launch.belief.likelihood import log_likelihood
from rules.launch.belief.particles import (
    Cars,
    any_cars,
    drawn,
    layout,
    meetings_of,
    nearby,
    untouched,
)
from rules.launch.cloud.on_paper import Params
from rules.launch.cloud.resampling import by_weight, effective
from rules.launch.mechanics.run import Launches, launch_many
from rules.launch.passes_kept import MOST_PASSES
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

FIRST = 768
KEPT = 112
# Coarse steps: a vibration's pace within 3 % (its square over 24; leapfrog), a launch within what
# a crew can see.
STEP_S, RADIANS = 0.004, 0.8
_ROUNDS = 5
_HALF = 0.5
MOVE = 0.65
_SOME = 0.12
_SOME_BESIDE = 0.3
_BESIDE = 1
_FREE = 2


@dataclass(frozen=True)
class BelievedCars:
    """The cloud after the passes seen so far, all its cars equally likely.

    z: a row a car, see `particles`.
    beside: the same of what lane, air and track do, see `lane_air_track`.
    loglik: the logarithm of how likely the passes before the last, and the last, are, (n, 2).
    """

    z: Array
    beside: Array
    loglik: Array


@lru_cache(maxsize=24)
def learnt(car: Car, passes: tuple[Seen, ...], seed: int) -> BelievedCars:
    """Return what is believed of a car after its passes, the oldest first.

    The same car, passes and seed give the same cloud; only the latest `MOST_PASSES` count.
    """
    passes = passes[-MOST_PASSES:]
    if not passes:
        z = drawn(car, FIRST, np.random.default_rng([seed, 0]))
        beside = lane_air_track.drawn(FIRST, np.random.default_rng([seed, 0, _BESIDE]))
        return BelievedCars(z, beside, np.zeros((FIRST, 0)))
    before = learnt(car, passes[:-1], seed)
    rng = np.random.default_rng([seed, len(passes)])
    # Numbers of their own, so that the cars of a log that notes none of it are as they were.
    beside_rng = np.random.default_rng([seed, len(passes), _BESIDE])
    z, beside, past = before.z, before.beside, before.loglik.sum(axis=1)
    last = _log_likelihoods(car, z, beside, passes, only_last=True)[:, -1]
    taken, rounds = 0.0, 0
    while taken < 1.0:
        rounds += 1
        step = 1.0 - taken if rounds >= _ROUNDS else _step(last, 1.0 - taken)
        rows = by_weight(np.exp(step * (last - last.max())), KEPT)
        taken += step
        z, beside, past, last = z[rows], beside[rows], past[rows], last[rows]
        tried = nearby(z, MOVE, _SOME, rng)
        tried_beside = nearby(beside, MOVE, _SOME_BESIDE, beside_rng)
        new = _log_likelihoods(car, tried, tried_beside, passes)
        gain = new[:, :-1].sum(axis=1) + taken * new[:, -1] - past - taken * last
        better = np.log(rng.random(len(z))) < gain
        z = np.where(better[:, None], tried, z)
        beside = np.where(better[:, None], tried_beside, beside)
        past = np.where(better, new[:, :-1].sum(axis=1), past)
        last = np.where(better, new[:, -1], last)
    # What no pass speaks of would repeat the few cars that fit best; drawn anew it stays open.
    free = untouched(car, passes)
    free_beside = lane_air_track.untouched([one.noted for one in passes], meetings_of(passes))
    anew = np.random.default_rng([seed, len(passes), _FREE])
    z[:, free] = any_cars(car, len(z), anew)[:, free]
    beside[:, free_beside] = anew.standard_normal(beside.shape)[:, free_beside]
    return BelievedCars(z, beside, np.stack([past, last], axis=1))


def coarse(cars: Sequence[Params]) -> Launches:
    """Launch cars in coarse steps: a cloud is wider than what they leave out."""
    return launch_many(cars, step_s=STEP_S, radians=RADIANS)


def _log_likelihoods(
    car: Car, z: Array, beside: Array, passes: tuple[Seen, ...], only_last: bool = False
) -> Array:
    """Return the logarithm of how likely each pass is on each car, (cars, passes)."""
    first = max(0, len(passes) - 2) if only_last else 0
    meetings, crew = meetings_of(passes), layout(car).crew(z)
    cars = Cars(car, z)
    began = lane_air_track.first_noted(one.noted for one in passes)
    batch = []
    for number in range(first, len(passes)):
        seen, meeting = passes[number], meetings[number]
        noted = lane_air_track.times(beside, seen.noted, began, meeting)
        batch += cars.on(dict(seen.settings), meeting, number, noted, apart=seen.apart)
    every = launched(coarse(batch), batch, bars_possible(car, passes))
    found = np.zeros((len(z), len(passes)))
    index: Array | None = None
    for place, number in enumerate(range(first, len(passes))):
        run: Launched = every.pick(slice(place * len(z), (place + 1) * len(z)))
        compares = number > 0 and _compares(passes[number - 1], passes[number])
        before, index = index if compares else None, indices(run)
        seen = passes[number]
        found[:, number] = seen.weight * log_likelihood(
            run, index, crew, seen, before, first=number == 0
        )
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
