"""A cloud of cars around the one on paper, because no number on paper is exact.

Every number is measured, guessed, or somewhere between; each kind has its spread. Cars are drawn
once, as standard normal deviates, and every setting is tried on the same cars: what differs
between two settings is then the setting, not the draw.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules.launch.cloud.tyre_pressure import DRAWN as PRESSURE
from rules.launch.mechanics.parameters import (
    AXLES,
    BAR_BOUNDS,
    BOUNDS,
    DAMPER_BOUNDS,
    SLIP_BOUNDS,
    STROKES,
)

Array = NDArray[np.float64]

# One standard deviation, (measured, guessed). Common practice with scales, tape and dyno sheets,
# no source. A share of the value, except in ABSOLUTE, which is in metres.
RELATIVE: dict[str, tuple[float, float]] = {
    "ms": (0.005, 0.05),
    "Iyy": (0.05, 0.15),
    "mf": (0.02, 0.15),
    "mr": (0.02, 0.15),
    "kf": (0.02, 0.12),
    "kr": (0.02, 0.12),
    "kbs": (0.10, 0.30),
    "cbs": (0.20, 0.40),
    "kds": (0.10, 0.30),
    "cds": (0.20, 0.40),
    "ktf": (0.05, 0.15),
    "ctf": (0.15, 0.30),
    "ktr": (0.05, 0.15),
    "ctr": (0.15, 0.30),
    "F_launch": (0.01, 0.04),
    "t_ramp": (0.10, 0.30),
    "P": (0.02, 0.08),
    "mu": (0.02, 0.06),
    "e": (0.02, 0.12),
    "CdA": (0.05, 0.20),
    "rho": (0.002, 0.02),
}
ABSOLUTE: dict[str, tuple[float, float]] = {
    "L": (0.002, 0.02),
    "a": (0.005, 0.04),
    "hs": (0.008, 0.04),
    "rf": (0.003, 0.01),
    "rr": (0.003, 0.01),
    "front_droop": (0.003, 0.015),
    "front_bump": (0.003, 0.015),
    "rear_droop": (0.003, 0.015),
    "rear_bump": (0.003, 0.015),
    "d": (0.008, 0.04),
}
DAMPER_SPREAD = (0.05, 0.25)
# A draw further out than this says more about the normal curve than about the car.
FURTHEST_SD = 2.5

DAMPER_NAMES = tuple(
    f"damper.{axle}.{stroke}.{part}"
    for axle in AXLES
    for stroke in STROKES
    for part in DAMPER_BOUNDS
)
CHANGE_STARTS = ("dips.0.start", "dips.1.start")
# What not every car has: drawn apart, so that it moves no draw of what every car has. Bar lengths
# in metres, when a gear change begins in seconds, the rest a share of the value.
BARS: dict[str, tuple[float, float]] = {
    "bar_height": (0.004, 0.025),
    "bar_behind": (0.01, 0.10),
    "bar_rate": (0.15, 0.50),
    "bar_damping": (0.30, 0.50),
}
GEAR_CHANGES: dict[str, tuple[float, float]] = {
    **dict.fromkeys(CHANGE_STARTS, (0.03, 0.12)),
    "dips.loses": (0.12, 0.35),
    "dips.lasts": (0.12, 0.35),
}
SLIP: dict[str, tuple[float, float]] = {
    "slip_mass": (0.20, 0.45),
    "slip_relax": (0.15, 0.35),
    "slip_peak": (0.15, 0.35),
    "slip_slide": (0.04, 0.10),
}
_FIRST = (*RELATIVE, *ABSOLUTE, *DAMPER_NAMES)
_LATER_GROUPS = (tuple(BARS), tuple(GEAR_CHANGES), PRESSURE, tuple(SLIP))
_LATER = tuple(name for group in _LATER_GROUPS for name in group)
NAMES = (*_FIRST, *_LATER)
_IN_METRES = frozenset({*ABSOLUTE, "bar_height", "bar_behind"})
_ALWAYS = frozenset({*RELATIVE, *ABSOLUTE})
_PLAIN_BOUNDS = {name: BOUNDS[name] for name in (*RELATIVE, *ABSOLUTE)} | BAR_BOUNDS | SLIP_BOUNDS
# What moves the pressure's own window is read from the deviates themselves.
_SPREADS: dict[str, tuple[float, float]] = {
    **RELATIVE,
    **ABSOLUTE,
    **dict.fromkeys(DAMPER_NAMES, DAMPER_SPREAD),
    **BARS,
    **GEAR_CHANGES,
    **dict.fromkeys(PRESSURE, (0.0, 0.0)),
    **SLIP,
}


@dataclass(frozen=True)
class Draws:
    """The standard normal deviates of an ensemble, (cars, len(NAMES)); the first car is exact."""

    z: Array

    def cars(
        self,
        params: Mapping[str, Any],
        measured: Collection[str] = (),
        wider: Mapping[str, float] | None = None,
    ) -> list[dict[str, Any]]:
        """Return the cars around `params`: the same deviates whatever the settings are.

        params: the car on paper, by the names of `rules.launch.parameters`.
        measured: names whose number was measured; the rest count as guessed. Damper numbers go
            by ``damper.front.comp.kb`` and so on, or by any leading part, such as ``damper.front``.
        wider: how many times further than a guess a number spreads that nobody has even guessed.
        Shares spread log-normally, lengths normally; both are kept within physical bounds.

        Raises:
            ValueError: a measured name that is no parameter.
        """
        strange = [name for name in measured if not any(_is_part(name, known) for known in _KNOWN)]
        if strange:
            raise ValueError(f"no such parameter: {', '.join(sorted(strange))}")
        guessed = [not any(_is_part(m, name) for m in measured) for name in NAMES]
        wide = np.array([(wider or {}).get(name, 1.0) for name in NAMES])
        spread = np.array(
            [_SPREADS[name][which] for name, which in zip(NAMES, guessed, strict=True)]
        )
        return _Offsets(spread[:, None] * np.ascontiguousarray((self.z * wide).T)).cars(params)


def of_its_own(params: Mapping[str, Any]) -> dict[str, Any]:
    """Return a car's parameters in mappings and lists of their own; what they hold is shared."""
    damper = {
        axle: {
            stroke: {part: dict(one) if part == "table" else one for part, one in valve.items()}
            for stroke, valve in strokes.items()
        }
        for axle, strokes in params["damper"].items()
    }
    return {**params, "damper": damper, "dips": [list(dip) for dip in params["dips"]]}


class _Offsets:
    """How far every number of every car lies off: in metres, or as the logarithm of a factor."""

    def __init__(self, off: Array) -> None:
        """Take the offsets, (len(NAMES), cars)."""
        self._off = dict(zip(NAMES, off, strict=True))
        self._factor = dict(zip(NAMES, np.exp(off), strict=True))

    def cars(self, params: Mapping[str, Any]) -> list[dict[str, Any]]:
        """Return the cars around `params`; nothing of one is shared with another that may move."""
        plain = {
            name: self._column(name, params[name], bounds)
            for name, bounds in _PLAIN_BOUNDS.items()
            if name in _ALWAYS or name in params
        }
        plain["a"] = [min(a, 0.95 * base) for a, base in zip(plain["a"], plain["L"], strict=True)]
        valves = [
            (axle, stroke, self._valves(f"damper.{axle}.{stroke}", params["damper"][axle][stroke]))
            for axle in AXLES
            for stroke in STROKES
        ]
        dips = self._gear_changes(params["dips"])
        cars = []
        for number, values in enumerate(zip(*plain.values(), strict=True)):
            car = dict(params)
            car.update(zip(plain, values, strict=True))
            car["damper"] = {axle: {**strokes} for axle, strokes in params["damper"].items()}
            for axle, stroke, each in valves:
                car["damper"][axle][stroke] = each[number]
            car["dips"] = dips[number]
            cars.append(car)
        return cars

    def _column(self, name: str, middle: float, bounds: tuple[float, float]) -> list[float]:
        in_metres = name in _IN_METRES
        spread = middle + self._off[name] if in_metres else middle * self._factor[name]
        column: list[float] = np.clip(spread, *bounds).tolist()
        return column

    def _valves(self, path: str, middle: Mapping[str, Any]) -> list[dict[str, Any]]:
        columns = [
            self._column(f"{path}.{part}", middle[part], bounds)
            for part, bounds in DAMPER_BOUNDS.items()
        ]
        valves = [
            {**middle, **dict(zip(DAMPER_BOUNDS, row, strict=True))}
            for row in zip(*columns, strict=True)
        ]
        if "table" in middle:
            for one in valves:
                one["table"] = {**middle["table"]}
        return valves

    def _gear_changes(self, dips: Sequence[Sequence[float]]) -> list[list[list[float]]]:
        """Spread when each change begins by itself, how much and how long all alike."""
        starts = [self._off[name].tolist() for name in CHANGE_STARTS]
        shares = (self._factor[name].tolist() for name in ("dips.loses", "dips.lasts"))
        return [
            [
                [max(0.0, at + off[min(number, 1)]), min(1.0, lost * loses), long * lasts]
                for number, (at, lost, long) in enumerate(dips)
            ]
            for *off, loses, lasts in zip(*starts, *shares, strict=True)
        ]


_KNOWN = (*BOUNDS, *DAMPER_NAMES, *_LATER)


def draw(cars: int, rng: np.random.Generator) -> Draws:
    """Draw an ensemble of `cars` cars, the first of them the car on paper itself.

    Raises:
        ValueError: fewer than two cars.
    """
    if cars < 2:
        raise ValueError(f"found {cars} cars, wanted at least 2")
    z = deviates(cars, rng)
    z[0] = 0.0
    return Draws(z)


def deviates(cars: int, rng: np.random.Generator) -> Array:
    """Return standard normal deviates, (cars, len(NAMES)), none of them far out.

    What not every car has comes from a generator of its own, each kind of it.
    """
    rows = [
        one.standard_normal((cars, len(names)))
        for one, names in zip(
            (rng, *rng.spawn(len(_LATER_GROUPS))), (_FIRST, *_LATER_GROUPS), strict=True
        )
    ]
    return np.clip(np.concatenate(rows, axis=1), -FURTHEST_SD, FURTHEST_SD)


@dataclass(frozen=True)
class Band:
    """Where a number lies in the ensemble: a low, a middle and a high quantile, in its own unit.

    known: share of the cars that have the number at all [-]; the quantiles are of those.
    """

    low: float
    middle: float
    high: float
    known: float


def band(values: ArrayLike, quantiles: tuple[float, float, float] = (0.1, 0.5, 0.9)) -> Band:
    """Return the band of an ensemble's numbers; NaN stands for a car without one."""
    numbers = np.asarray(values, dtype=np.float64)
    there = numbers[np.isfinite(numbers)]
    if not len(there):
        return Band(np.nan, np.nan, np.nan, 0.0)
    low, middle, high = np.quantile(there, quantiles)
    return Band(float(low), float(middle), float(high), len(there) / numbers.size)


@dataclass(frozen=True)
class ChangeBand:
    """What a change does to one number, car by car: the band of the differences.

    rises: share of the cars on which the number rises [-]; near 0 or 1 the sign is sure.
    """

    change: Band
    rises: float


def effect(before: ArrayLike, after: ArrayLike) -> ChangeBand:
    """Return what a change does, from the same cars before and after it.

    Raises:
        ValueError: not the same number of cars.
    """
    first, second = (np.asarray(one, dtype=np.float64) for one in (before, after))
    if first.shape != second.shape:
        raise ValueError(f"found {first.size} and {second.size} cars, wanted the same ones")
    difference = second - first
    there = difference[np.isfinite(difference)]
    rises = float(np.mean(there > 0.0)) if len(there) else float("nan")
    return ChangeBand(band(difference), rises)


def trace_band(
    traces: Array, quantiles: tuple[float, float, float] = (0.1, 0.5, 0.9)
) -> tuple[Array, Array, Array]:
    """Return low, middle and high curve, (m,) each, of traces (cars, m); NaN rows are left out."""
    there = traces[np.isfinite(traces).all(axis=1)]
    if not len(there):
        empty = np.full(traces.shape[1], np.nan)
        return empty, empty, empty
    low, middle, high = np.quantile(there, quantiles, axis=0)
    return low, middle, high


def _is_part(measured: str, name: str) -> bool:
    return name == measured or name.startswith(f"{measured}.")
