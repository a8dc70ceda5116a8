"""From a car file and its settings to the cloud of cars it may be.

The same seed draws the same cars whatever the settings are, so what differs between two settings
is the settings. Not modelled: driveline torque reaction, roll; the tyres' slip only where asked.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import adjusters
from rules.car.model import Car
from rules.giving_way import give_way
from rules.launch.cloud.ensemble import FURTHEST_SD, NAMES, Draws, draw, of_its_own
from rules.launch.cloud.ensemble import deviates as number_deviates
from rules.launch.cloud.knobs import follow_family, moved, moves, put_curves
from rules.launch.cloud.on_paper import Known, Paper, Params, on_paper
from rules.launch.cloud.parameter_shift import ParameterShift
from rules.launch.cloud.slip_family import put_slip
from rules.launch.cloud.tyre_pressure import DRAWN, grip_logs, leaning, rear_pressure
from rules.launch.mechanics.parameters import BAR_BOUNDS, BOUNDS
from rules.launch.proposed_change import missing

Array = NDArray[np.float64]

SEED = 20_310_504
# How much further than a guess a number spreads that nobody has even guessed; a judgement.
_WIDER = 1.5
_ANEW = 0.5
_WIDER_STILL = {"F_launch": 3.5, "kf": 2.0, "kr": 2.0}


@dataclass(frozen=True)
class TooLittleKnown:
    """Why there is no cloud: the keys of the car file that are missing before all others."""

    missing: tuple[str, ...]


@dataclass(frozen=True)
class Deviates:
    """What is drawn once and used at every setting, one row per car; the first car is exact.

    numbers: standard normal, a column for each of `rules.launch.cloud.ensemble.NAMES`.
    levers: standard normal, a column for each adjuster of the car, of the size of its effect.
    """

    numbers: Array
    levers: Array

    def pick(self, rows: NDArray[np.intp]) -> "Deviates":
        """Return some of the cars only."""
        return Deviates(self.numbers[rows], self.levers[rows])

    def around(self, rows: NDArray[np.intp], count: int, rng: np.random.Generator) -> "Deviates":
        """Return `count` fresh cars near some of these.

        Each is one of `rows`, taken in turn, with part of its deviates drawn anew, so that
        standard normal ones stay standard normal: sqrt(1 - s^2) z + s z'.
        """
        turn = rows[np.arange(count) % len(rows)]

        def anew(z: Array, fresh: Array) -> Array:
            return np.asarray(np.sqrt(1.0 - _ANEW**2) * z[turn] + _ANEW * fresh)

        numbers = anew(self.numbers, number_deviates(count, rng))
        fresh = rng.standard_normal((count, self.levers.shape[1]))
        return Deviates(numbers, anew(self.levers, np.clip(fresh, -FURTHEST_SD, FURTHEST_SD)))

    def and_also(self, other: "Deviates") -> "Deviates":
        """Return the cars of both, these first."""
        return Deviates(
            np.concatenate([self.numbers, other.numbers]),
            np.concatenate([self.levers, other.levers]),
        )


@dataclass(frozen=True)
class LaunchCars:
    """The cars that this one may be, at given settings.

    cars: each by the names of `rules.launch.parameters`, ready for `launch_many`.
    known: how well each parameter is known; keys: the car-file key it hangs on most.
    not_modelled: levers off their start that the launch knows nothing of.
    """

    cars: tuple[Params, ...]
    known: Mapping[str, Known]
    keys: Mapping[str, str]
    not_modelled: tuple[str, ...]

    @property
    def paper(self) -> Params:
        """The car as its file has it, at these settings: the first of `launch_cars`' cars."""
        return self.cars[0]


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
    return typical_cars(car, settings, deviates(car, count, seed))


def deviates(car: Car, count: int, seed: int = SEED) -> Deviates:
    """Draw a cloud of `count` cars.

    Raises:
        ValueError: fewer than two cars.
    """
    rng = np.random.default_rng(seed)
    numbers = draw(count, rng).z
    levers = np.clip(rng.standard_normal((count, len(adjusters(car)))), -FURTHEST_SD, FURTHEST_SD)
    levers[0] = 0.0
    return Deviates(numbers, levers)


@dataclass(frozen=True)
class StandingCars:
    """A cloud where the car file starts its levers, drawn once and taken to any settings.

    around: the cars as drawn, which no move may touch.
    """

    car: Car
    drawn: Deviates
    paper: Paper
    around: tuple[Params, ...]

    def at(self, settings: Mapping[str, float]) -> LaunchCars:
        """Return the cars at these settings; an absent adjuster stands where the file has it."""
        effects = moves(self.car, settings)
        sizes = [_sizes(self.car, move, self.drawn) for move in effects.moves]
        touched = [name for name in BOUNDS if any(move.name == name for move in effects.moves)]
        cars = tuple(
            follow_family(_bounded(moved(of_its_own(one), own), touched), self.paper.params)
            for row, one in enumerate(self.around)
            for own in [[(m, s[row]) for m, s in zip(effects.moves, sizes, strict=True)]]
        )
        return LaunchCars(cars, self.paper.known, self.paper.keys, effects.not_modelled)


def standing_cars(car: Car, drawn: Deviates, *, slip: bool = False) -> StandingCars:
    """Return the cloud of cars, whatever is not known filled in from a typical car.

    slip: whether the rear tyres slip, by the family of their kind, or only hold.
    """
    paper = on_paper(car)
    if slip:
        put_slip(paper, car.rear.tyre)
    put_curves(paper, car)
    paper.params = _bounded(paper.params)
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
    around = tuple(Draws(drawn.numbers).cars(paper.params, measured, wider))
    return StandingCars(car, drawn, paper, around)


def typical_cars(
    car: Car, settings: Mapping[str, float], drawn: Deviates, *, slip: bool = False
) -> LaunchCars:
    """Return the cloud at these settings, see `standing_cars`."""
    give_way()
    return standing_cars(car, drawn, slip=slip).at(settings)


def lever_names(car: Car) -> list[str]:
    """Return by what each adjuster's effect goes; the first of those that share it holds it."""
    return [
        one.id if one.part != "knob" else f"{one.axle} {one.name}"
        for one in adjusters(car).values()
    ]


def pressure_window(car: Car, numbers: Array) -> tuple[Array, Array]:
    """Return where each car's best rear pressure lies and how narrow its window is, (n,) each.

    Standard normal numbers, see `tyre_pressure.grip_logs`; the first leaning as the file does.
    """
    best, window = (numbers[:, NAMES.index(name)] for name in DRAWN)
    lever = rear_pressure(car)
    return (best if lever is None else best + leaning(lever)), window


def _sizes(car: Car, move: ParameterShift, drawn: Deviates) -> list[float]:
    """Return how large a lever's effect is on each car: about one.

    Of a pressure it is the whole effect, as a logarithm: it goes either way.
    """
    if move.pressure is not None:
        whole: list[float] = grip_logs(move.pressure, *pressure_window(car, drawn.numbers)).tolist()
        return whole
    names = lever_names(car)
    sizes: list[float] = np.exp(move.spread * drawn.levers[:, names.index(move.lever)]).tolist()
    return sizes


def _bounded(car: Params, names: Iterable[str] = tuple(BOUNDS)) -> Params:
    """Keep plain numbers within physical bounds, where moves may have carried them out."""
    for name in names:
        low, high = BOUNDS[name]
        car[name] = min(max(float(car[name]), low), high)
    if "bar_height" in car:
        car["bar_height"] = min(max(car["bar_height"], 0.0), BAR_BOUNDS["bar_height"][1])
    car["a"] = min(car["a"], 0.95 * car["L"])
    return car
