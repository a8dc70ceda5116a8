"""The cars that do what the crew saw: a cloud narrowed by the passes that say something.

Each sighting counts as an error of its own size, normally distributed, so a car weighs
exp(-d^2 / 2) for being off by d in all; the kept cars are drawn from all of them by that weight.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rules.car.model import Car
from rules.launch.cloud.car_cloud import Deviates, deviates, typical_cars
from rules.launch.cloud.measure_first import measure_first
from rules.launch.cloud.resampling import by_weight, effective
from rules.launch.goals import seen_distance
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

POOL = 480
ROUNDS = 3
KEPT = 48
STEP_S = 0.002
# Air, track and tyre have moved since an earlier pass: off there counts half. A judgement.
EARLIER = 0.5
MOST_SETTINGS = 2
FITS = 0.5
LEAST_EFFECTIVE = 5.0
_NEAR = 2


@dataclass(frozen=True)
class AsSeen:
    """The cars that do what was seen, and what was learnt on the way to them.

    kept: their deviates, a likely car more than once.
    passes: how many passes they were chosen by.
    fits: share of them off by less than one misjudged sighting in all, see `seen_distance` [-].
    effective: how many different cars they stand for, (sum w)^2 / sum w^2 (Kish's effective
    sample size, from memory).
    measure_first: keys of the car file, in the order in which they would narrow the answer.
    not_modelled: levers off their start that the launch knows nothing of.
    """

    kept: Deviates
    passes: int
    fits: float
    effective: float
    measure_first: tuple[str, ...]
    not_modelled: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether enough different cars do what was seen for their numbers to mean anything."""
        return self.fits >= FITS and self.effective >= LEAST_EFFECTIVE


@lru_cache(maxsize=4)
def as_seen(car: Car, passes: tuple[Seen, ...], pool: int, seed: int) -> AsSeen:
    """Draw a cloud, then clouds around the cars nearest to what was seen; keep what is likely.

    passes: the latest first, which counts in full.  pool: cars in all; seed: of their draw.
    Several rounds, because what a crew sees may lie far out in what its car file says.
    """
    drawn = every = deviates(car, pool // ROUNDS, seed)
    cloud = typical_cars(car, dict(passes[0].settings), drawn)
    run = launch_many(cloud.cars, step_s=STEP_S)
    first = measure_first(car, cloud, drawn, run.columns["front_lift_max"])
    distance = _with_earlier(car, passes, drawn, seen_distance(run.columns, cloud.cars, passes[0]))
    for number in range(1, ROUNDS):
        nearest = np.argsort(distance, kind="stable")[:KEPT]
        closer = every.around(nearest, pool // ROUNDS, np.random.default_rng([seed, number]))
        cars = typical_cars(car, dict(passes[0].settings), closer).cars
        more = seen_distance(launch_many(cars, step_s=STEP_S).columns, cars, passes[0])
        more = _with_earlier(car, passes, closer, more)
        every, distance = every.and_also(closer), np.concatenate([distance, more])
    weight = np.exp((distance.min() ** 2 - distance**2) / 2.0)
    kept = by_weight(weight, KEPT)
    return AsSeen(
        kept=every.pick(kept),
        passes=1 + sum(len(alike) for alike in _by_settings(passes).values()),
        fits=float(np.mean(distance[kept] < 1.0)),
        effective=effective(weight),
        measure_first=first,
        not_modelled=cloud.not_modelled,
    )


def _with_earlier(car_file: Car, passes: Sequence[Seen], drawn: Deviates, distance: Array) -> Array:
    """Return the distances with those from earlier passes on top; infinite for the further half.

    Only the nearer half by the latest pass is launched again, with each of the settings since.
    """
    by_settings = _by_settings(passes)
    if not by_settings:
        return distance
    near = np.sort(np.argsort(distance, kind="stable")[: len(distance) // _NEAR])
    total = np.full_like(distance, np.inf)
    total[near] = distance[near]
    picked = drawn.pick(near)
    cars = [car for one in by_settings for car in typical_cars(car_file, dict(one), picked).cars]
    run = launch_many(cars, step_s=STEP_S)
    for place, alike in enumerate(by_settings.values()):
        cut = slice(place * len(near), (place + 1) * len(near))
        columns = {name: column[cut] for name, column in run.columns.items()}
        for one in alike:
            off = seen_distance(columns, cars[cut], one)
            total[near] = np.hypot(total[near], EARLIER * off)
    return total


def _by_settings(passes: Sequence[Seen]) -> dict[tuple[tuple[str, float], ...], list[Seen]]:
    """Return the passes after the first by settings, of which there is time for a few."""
    found: dict[tuple[tuple[str, float], ...], list[Seen]] = {}
    for one in passes[1:]:
        if one.settings in found or len(found) < MOST_SETTINGS:
            found.setdefault(one.settings, []).append(one)
    return found
