"""One number of a car: what it is, how well it is known, and over which cars it ranges. SI."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from rules.car import chassis
from rules.launch.cloud.car_cloud import LaunchCars
from rules.launch.cloud.on_paper import Known, Params
from rules.launch.what_if import NumberRange, range_of

Kind = Literal[
    "force", "g", "percent", "mass", "rate", "frequency", "ratio",
    "speed", "energy", "length", "time", "distance",
]  # fmt: skip
Group = Literal["standing", "damping", "landing"]
HowKnown = Literal["measured", "guessed", "unknown"]


@dataclass(frozen=True)
class CarNumber:
    """One number of the car.

    group: what it belongs to; in "damping", the ratio of a stroke at low speed (1: critical).
    at: of a damping ratio, "today", "full soft" or "full hard": every knob of that stroke there;
    of an anti-squat, a position of a link.
    kind: what it measures: force [N], g and ratio [-], percent [%], mass [kg], rate [N/m],
    frequency [Hz], speed [m/s], energy [J], length and distance [m], time [s].
    known: "measured", "guessed", or "unknown": something it hangs on is not in the car file.
    on_paper: of the car as its file has it.  range: over the cars it may be; both None where the
    number cannot be known, or where no car has it.
    measure: keys of the car file that would make it known, or known better; none where no car has
    the number, such as a landing of a front that stays down.
    says: what it means for the car, where that needs saying; "" otherwise.
    """

    name: str
    group: Group
    kind: Kind
    known: HowKnown
    on_paper: float | None
    range: NumberRange | None
    measure: tuple[str, ...] = ()
    says: str = ""
    at: str = ""


@dataclass(frozen=True)
class Closed:
    """A number in closed form: what it cannot be without, and what else it hangs on."""

    name: str
    group: Group
    kind: Kind
    of: Callable[[Params], float]
    needs: tuple[str, ...]
    also: tuple[str, ...] = ()


def sprung_on(car: Params, end: str) -> float:
    """Return the sprung mass that an axle carries standing [kg], moments about the other axle."""
    share: float = car["a"] / car["L"]
    return float(car["ms"] * (1.0 - share if end == "front" else share))


def front_mass(car: Params) -> float:
    """Return the sprung mass's share that lands [kg], `rules.chassis.effective_front_mass`."""
    behind = car["L"] - car["a"]
    return chassis.effective_front_mass(car["ms"], car["Iyy"], behind, car["hs"], car["L"])


def closed(one: Closed, cloud: LaunchCars) -> CarNumber:
    """Return a number in closed form over a cloud of cars."""
    lacking = keys_of(cloud, (n for n in one.needs if cloud.known[n] is Known.UNKNOWN))
    if lacking:
        return CarNumber(one.name, one.group, one.kind, "unknown", None, None, lacking)
    known, measure = how_known(cloud, (*one.needs, *one.also))
    values = np.array([one.of(car) for car in cloud.cars])
    return with_values(CarNumber(one.name, one.group, one.kind, known, None, None, measure), values)


def with_values(one: CarNumber, values: ArrayLike) -> CarNumber:
    """Return a number with its values, (n,), the car on paper first; NaN where a car has none."""
    every = np.asarray(values, dtype=np.float64)
    found = range_of(every)
    if found.known == 0.0:
        return replace(one, measure=())
    return replace(one, on_paper=range_of(every[:1]).middle, range=found)


def how_known(cloud: LaunchCars, names: Iterable[str]) -> tuple[HowKnown, tuple[str, ...]]:
    """Return how well the least known of some parameters is known, and what to measure for it."""
    every = tuple(names)
    worst = max(cloud.known[name] for name in every)
    words: dict[Known, HowKnown] = {
        Known.MEASURED: "measured", Known.GUESSED: "guessed", Known.UNKNOWN: "unknown",
    }  # fmt: skip
    ordered = sorted(every, key=lambda name: -cloud.known[name])
    return words[worst], keys_of(
        cloud, (n for n in ordered if cloud.known[n] is not Known.MEASURED)
    )


def keys_of(cloud: LaunchCars, names: Iterable[str]) -> tuple[str, ...]:
    """Return the keys of the car file that parameters hang on, each once."""
    return tuple(dict.fromkeys(key for name in names if (key := cloud.keys[name])))
