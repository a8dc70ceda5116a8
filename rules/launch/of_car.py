"""From a car file and its settings to the cloud of cars it may be.

The same seed draws the same cars whatever the settings are, so what differs between two settings
is the settings. Not modelled: wheel slip as a state, driveline torque reaction, roll.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rules.car import Car
from rules.launch.ensemble import Draws, draw
from rules.launch.knobs import Move, moved, moves, put_curves
from rules.launch.on_paper import Known, Paper, Params, on_paper
from rules.launch.parameters import BOUNDS

SEED = 20_310_504
NEEDED = ("masses.total", "geometry.wheelbase")
# How much further than a guess a number spreads that nobody has even guessed; a judgement.
_WIDER = 1.5
_WIDER_STILL = {"F_launch": 3.5, "kf": 2.0, "kr": 2.0}


@dataclass(frozen=True)
class TooLittleKnown:
    """Why there is no cloud: the keys of the car file that are missing before all others."""

    missing: tuple[str, ...]


@dataclass(frozen=True)
class LaunchCars:
    """The cars that this one may be, at given settings.

    paper: the car as its file has it, at those settings; also the first of `cars`.
    cars: each by the names of `rules.launch.parameters`, ready for `launch_many`.
    known: how well each parameter is known; keys: the car-file key it hangs on most.
    not_modelled: levers off their start that the launch knows nothing of.
    draws: the deviates, one row per car.
    """

    cars: tuple[Params, ...]
    known: Mapping[str, Known]
    keys: Mapping[str, str]
    not_modelled: tuple[str, ...]
    draws: Draws

    @property
    def paper(self) -> Params:
        """The car as its file has it, at these settings."""
        return self.cars[0]


def missing(car: Car) -> tuple[str, ...]:
    """Return which keys are wanted before a launch can be worked out at all."""
    masses = car.masses
    corners = (masses.left_front_kg, masses.right_front_kg, masses.left_rear_kg)
    weighed = masses.total_kg is not None or None not in (*corners, masses.right_rear_kg)
    found = () if weighed else (NEEDED[0],)
    return found if car.geometry.wheelbase_m is not None else (*found, NEEDED[1])


def launch_cars(
    car: Car, settings: Mapping[str, float], count: int, seed: int = SEED
) -> LaunchCars | TooLittleKnown:
    """Return the cloud of cars at these settings, or what must be known before there is one.

    settings: by adjuster id; an absent one stands where the car file starts it.
    count: cars in the cloud, the car on paper among them.

    Raises:
        ValueError: fewer than two cars.
    """
    if lacking := missing(car):
        return TooLittleKnown(lacking)
    return typical_cars(car, settings, count, seed)


def typical_cars(
    car: Car, settings: Mapping[str, float], count: int, seed: int = SEED
) -> LaunchCars:
    """Return the cloud of cars, whatever is not known filled in from a typical car."""
    paper, draws, base = _base(car, count, seed)
    effects = moves(car, settings)
    sizes = _sizes(effects.moves, count, seed)
    cars = []
    for number, one in enumerate(base):
        fresh = _copy(one)
        cars.append(_bounded(moved(fresh, [(m, sizes[m.lever][number]) for m in effects.moves])))
    return LaunchCars(tuple(cars), paper.known, paper.keys, effects.not_modelled, draws)


@lru_cache(maxsize=4)
def _base(car: Car, count: int, seed: int) -> tuple[Paper, Draws, tuple[Params, ...]]:
    """Return the cloud where the car file starts its knobs and levers."""
    paper = on_paper(car)
    put_curves(paper, car)
    # A thrust was measured on another pass: air, track and tyre have moved since.
    measured = [
        name
        for name, known in paper.known.items()
        if known is Known.MEASURED and name != "F_launch"
    ]
    wider = {
        name: _WIDER_STILL.get(name, _WIDER)
        for name, known in paper.known.items()
        if known is Known.UNKNOWN and not name.startswith("damper")
    }
    paper.params = _bounded(paper.params)
    draws = draw(count, np.random.default_rng(seed))
    return paper, draws, tuple(draws.cars(paper.params, measured, wider))


def _sizes(effects: tuple[Move, ...], count: int, seed: int) -> dict[str, list[float]]:
    """Return how large each lever's effect is on each car: about one, the first exactly one."""
    sizes = {}
    for move in effects:
        rng = np.random.default_rng([seed, *move.lever.encode()])
        z = np.clip(rng.standard_normal(count), -2.5, 2.5)
        z[0] = 0.0
        sizes[move.lever] = np.exp(move.spread * z).tolist()
    return sizes


def _copy(car: Params) -> Params:
    dampers = {
        end: {stroke: dict(valve) for stroke, valve in strokes.items()}
        for end, strokes in car["damper"].items()
    }
    return {**car, "damper": dampers}


def _bounded(car: Params) -> Params:
    """Keep the plain numbers within physical bounds, where moves may have carried them out."""
    for name, (low, high) in BOUNDS.items():
        car[name] = min(max(float(car[name]), low), high)
    car["a"] = min(car["a"], 0.95 * car["L"])
    return car
