"""A virtual car whose true numbers nobody knows: drawn by a number, with one to three faults.

It is one of the cars that a car file leaves open, as `rules.launch.cloud` draws them: its truth
differs from the file by the usual errors of scales, tape and dyno sheets, and its levers act more
or less than the book says.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, isfinite

import numpy as np

from rules.car.adjusters import Settings, starts
from rules.car.model import Car
from rules.launch.cloud.car_cloud import StandingCars, deviates, standing_cars
from rules.launch.cloud.on_paper import Params
from rules.practice.all_knowing import road
from rules.practice.outcome import outcomes
from rules.practice.turns import alike

LARGEST_SEED = 999_999
MOST_FAULTS = MOST_CHANGES = 3
_AT_ONCE, _MOST_DRAWS = 32, 4
# So far over its line is the worst fault at least, so that the scatter of a pass does not hide it.
_PLAIN = 1.2
_MISSET_COUNTS = (0, 1, 1, 2)
# How far a knob stands from where it was found good, as a share of its range; a judgement.
_MISSET = (0.15, 0.35)
_MISSET_PARTS = frozenset({"knob", "tyre pressure"})
# What a practice day is about, so that all of them come up; where none is drawn, what there is.
_THEMES = (
    "front-drops-hard",
    "front-carries",
    "front-bounces",
    "nose-stays-high",
    "squats-and-drags",
    "rear-tops-out",
    "spins-at-hit",
    "unloads-after-hit",
)
# How thrust and grip scatter from pass to pass, one standard deviation of a logarithm: as of an
# ordinary car on a prepared track; common practice, no source.
_THRUST_SCATTER, _GRIP_SCATTER = 0.005, 0.007


class NoPracticeCarError(ValueError):
    """No car drawn around a car file makes a practice day."""


@dataclass(frozen=True, eq=False)
class HiddenCar:
    """The truth of a practice day.

    seed: what it was drawn by.  starts: where its levers stand on the first pass.
    truth: the one true car, by the levers of the file it was drawn from.
    may_have_bars: whether wheelie bars may be fitted, by that file.
    """

    seed: int
    starts: Settings
    truth: StandingCars
    may_have_bars: bool

    def at(self, settings: Settings) -> Params:
        """Return the car at these settings, in the day's middling air."""
        return self.truth.at(settings).cars[0]

    def on_pass(self, settings: Settings, number: int) -> Params:
        """Return the car at these settings as pass `number` of the day finds it."""
        car = self.at(settings)
        z = np.random.default_rng([self.seed, 2, number]).standard_normal(2)
        thrust, grip = exp(_THRUST_SCATTER * float(z[0])), exp(_GRIP_SCATTER * float(z[1]))
        return {
            **car,
            "F_launch": car["F_launch"] * thrust,
            "P": car["P"] * thrust,
            "mu": car["mu"] * grip,
        }


def hidden_car(file: Car, seed: int) -> HiddenCar:
    """Draw the truth behind a car file: the same seed, the same car.

    One to three things are wrong with it, and no more than three single turns put them right.

    Raises:
        NoPracticeCarError: none of many draws is such a car.
    """
    wrong = misset(file, seed)
    theme = _THEMES[int(np.random.default_rng([seed, 3]).integers(len(_THEMES)))]
    others = []
    for one, faults in _drawn(file, wrong, seed):
        car = HiddenCar(seed, wrong, one, file.may_have_bars)
        if theme not in faults:
            others.append(car)
        elif _curable(file, car):
            return car
    for car in others:
        if _curable(file, car):
            return car
    raise NoPracticeCarError(f"{file.id}: no car drawn around this file makes a practice day")


def _curable(file: Car, car: HiddenCar) -> bool:
    return not road(file, car.at, car.starts, MOST_CHANGES)[-1].outcome.faults


def misset(file: Car, seed: int) -> Settings:
    """Return where the levers stand on the first pass: up to two of them away from the file's."""
    rng = np.random.default_rng([seed, 1])
    groups = [g for g in alike(file) if g[0].part in _MISSET_PARTS and isfinite(g[0].marks)]
    settings = starts(file)
    for place in rng.permutation(len(groups))[: int(rng.choice(_MISSET_COUNTS))]:
        group = groups[place]
        first = group[0]
        steps = max(1, round(first.marks * float(rng.uniform(*_MISSET)))) * int(rng.choice((-1, 1)))
        low, high = first.floor, first.high
        to = min(max(settings[first.id] + steps * first.step, low), high)
        by = to - settings[first.id]
        moved = {each.id: settings[each.id] + by for each in group}
        if all(each.holds(moved[each.id]) for each in group):
            settings |= moved
    return settings


def _drawn(
    file: Car, wrong: Settings, seed: int
) -> Iterator[tuple[StandingCars, Mapping[str, float]]]:
    """Yield cars that stay on their wheels, with the one to three faults of their first pass."""
    for attempt in range(_MOST_DRAWS):
        drawn = deviates(file, _AT_ONCE, seed * _MOST_DRAWS + attempt)
        cloud = standing_cars(file, drawn, slip=True)
        # The first car of a cloud is the one on paper, which is no secret.
        for row, outcome in enumerate(outcomes(cloud.at(wrong).cars, file.may_have_bars)):
            worst = max(outcome.faults.values(), default=0.0)
            if row and not outcome.over and worst >= _PLAIN and len(outcome.faults) <= MOST_FAULTS:
                picked = drawn.pick(np.array([row]))
                yield standing_cars(file, picked, slip=True), outcome.faults
