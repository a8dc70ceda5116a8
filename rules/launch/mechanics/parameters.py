"""The numbers a launch needs, by name: read, checked within physical bounds, and put in columns.

Names, all SI. Lengths are [m] at static ride height, forces and rates are axle totals at the
wheel (both sides together).

====================================  =====================================================
``ms``, ``Iyy``                       sprung mass [kg] and its pitch inertia [kg m2]
``mf``, ``mr``                        front and rear unsprung mass [kg]
``L``, ``a``                          wheelbase; front axle ahead of the sprung mass's centre [m]
``hs``                                height of the sprung mass's centre [m]
``rf``, ``rr``                        height of the front and rear axle [m]
``kf``, ``kr``                        wheel rate [N/m]
``front_bump``, ``front_droop``, ...  travel to the bump and to the droop stop [m]
``kbs``, ``cbs``, ``kds``, ``cds``    bump and droop stop: rate [N/m], damping [N s/m]
``ktf``, ``ctf``, ``ktr``, ``ctr``    tyres: rate [N/m], damping [N s/m]
``F_launch``, ``t_ramp``              thrust [N] and the time it takes to build [s]
``P``, ``mu``                         power at the tyres [W]; tyre grip, thrust over load [-]
``bar_height``, ``bar_behind``        wheelie bars, where there are any, all four: their wheel
``bar_rate``, ``bar_damping``         above the ground and behind the rear axle [m], rate of both
                                      [N/m], damping of both [N s/m]
``slip_mass``, ``slip_relax``         slip of the rear tyres, where it is told, all four: mass of
``slip_peak``, ``slip_slide``         wheels and drive felt at the tread [kg], relaxation length
                                      [m], slip of the most grip [-], share of it left sliding [-]
``d``, ``e``                          instant centre above and ahead of the rear contact [m]
``ic_turn_rate``, ``ic_slope_rate``   where the rear links are known, both: what a metre of the rear
                                      axle's compression adds to 1 / e [1/m2] and to the slope
                                      (d - rr) / e [1/m]; without them d / e stays as it is
``dips``                              gear changes: rows of (start [s], share lost [-], length [s])
``CdA``, ``rho``, ``g``               drag area [m2], air density [kg/m3], gravity [m/s2]
``t_end``                             length of the run [s]
``damper``                            ``front``/``rear`` -> ``comp``/``reb`` -> ``kb`` [N s2/m2],
                                      ``F0`` [N], ``chs`` [N s/m]; see `rules.launch.damper`.
                                      A stroke with a ``table`` as well, ``speed`` [m/s] and
                                      ``force`` [N] in rows, goes by that instead
====================================  =====================================================
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from rules.launch.mechanics.measured_curve import Table, table_faults, table_of

Array = NDArray[np.float64]

BOUNDS: dict[str, tuple[float, float]] = {
    "ms": (50.0, 20_000.0),
    "Iyy": (5.0, 200_000.0),
    "mf": (5.0, 3_000.0),
    "mr": (5.0, 3_000.0),
    "L": (0.5, 12.0),
    "a": (0.01, 12.0),
    "hs": (0.05, 3.0),
    "rf": (0.05, 1.5),
    "rr": (0.05, 1.5),
    "kf": (500.0, 5e6),
    "kr": (500.0, 5e6),
    "front_droop": (0.0, 1.0),
    "front_bump": (0.0, 1.0),
    "rear_droop": (0.0, 1.0),
    "rear_bump": (0.0, 1.0),
    "kbs": (0.0, 1e7),
    "cbs": (0.0, 1e5),
    "kds": (0.0, 1e7),
    "cds": (0.0, 1e5),
    "ktf": (1e4, 1e7),
    "ctf": (0.0, 1e5),
    "ktr": (1e4, 1e7),
    "ctr": (0.0, 1e5),
    "F_launch": (0.0, 1e6),
    "t_ramp": (0.0, 10.0),
    "P": (0.0, 2e7),
    "mu": (0.0, 10.0),
    "d": (-5.0, 20.0),
    "e": (0.01, 1000.0),
    "CdA": (0.0, 20.0),
    "rho": (0.0, 5.0),
    "g": (0.1, 30.0),
    "t_end": (0.01, 60.0),
}
BAR_BOUNDS: dict[str, tuple[float, float]] = {
    "bar_height": (0.0, 2.0),
    "bar_behind": (0.05, 5.0),
    "bar_rate": (1e3, 1e7),
    "bar_damping": (0.0, 1e5),
}
SLIP_BOUNDS: dict[str, tuple[float, float]] = {
    "slip_mass": (5.0, 2_000.0),
    "slip_relax": (0.03, 2.0),
    "slip_peak": (0.02, 1.0),
    "slip_slide": (0.0, 1.0),
}
LINK_BOUNDS: dict[str, tuple[float, float]] = {
    "ic_turn_rate": (-50.0, 50.0),
    "ic_slope_rate": (-50.0, 50.0),
}
# What stands in the columns of a car without bars, slip or known links: none is ever felt.
_WITHOUT = {
    **dict.fromkeys(LINK_BOUNDS, nan),
    **{"bar_height": 1.0, "bar_behind": 1.0, "bar_rate": 0.0, "bar_damping": 0.0},
    **{"slip_mass": 0.0, "slip_relax": 1.0, "slip_peak": 1.0, "slip_slide": 1.0},
}
DAMPER_BOUNDS: dict[str, tuple[float, float]] = {
    "kb": (1.0, 1e12),
    "F0": (0.0, 1e6),
    "chs": (1.0, 1e8),
}
AXLES = ("front", "rear")
STROKES = ("comp", "reb")
DIP = (("start", 0.0, 60.0), ("share lost", 0.0, 1.0), ("length", 1e-6, 60.0))
MAX_DIPS = 20


class LaunchParameterError(ValueError):
    """Parameters that no car can have. `faults` names every one of them."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(self.faults))


@dataclass(frozen=True)
class Columns:
    """A batch of cars, one column each: what a launch needs, in whole arrays.

    `of` holds each plain parameter as (n,); `damper` holds ``kb``, ``F0`` and ``chs`` by stroke
    as (2, n), front above rear; `dips` is (most dips, 3, n), filled up with dips of nothing.
    `tables` holds the measured curves, by stroke and axle, car by car; None where there is none.
    """

    of: Mapping[str, Array]
    damper: Mapping[str, Mapping[str, Array]]
    dips: Array
    tables: Mapping[tuple[str, str], Sequence[Table | None]]

    @property
    def n(self) -> int:
        """Number of cars."""
        return len(self.of["ms"])

    def axles(self, front: str, rear: str) -> Array:
        """Return two parameters stacked front above rear, (2, n)."""
        return np.array([self.of[front], self.of[rear]])

    def pick(self, cars: NDArray[np.intp]) -> "Columns":
        """Return the columns of some cars only, by their numbers from 0."""
        return Columns(
            of={name: column[cars] for name, column in self.of.items()},
            damper={
                stroke: {part: rows[:, cars] for part, rows in parts.items()}
                for stroke, parts in self.damper.items()
            },
            dips=self.dips[:, :, cars],
            tables={where: [rows[car] for car in cars] for where, rows in self.tables.items()},
        )

    def static_load(self) -> Array:
        """Return the sprung weight on each axle at rest [N], (2, n)."""
        weight = self.of["ms"] * self.of["g"]
        share = self.of["a"] / self.of["L"]
        return np.array([weight * (1.0 - share), weight * share])


def columns(cars: Sequence[Mapping[str, object]]) -> Columns:
    """Put checked cars in columns.

    Raises:
        LaunchParameterError: with every fault of every car; cars are counted from 1.
    """
    faults = [
        f"car {number}: {fault}" if len(cars) > 1 else fault
        for number, car in enumerate(cars, start=1)
        for fault in parameter_faults(car)
    ]
    if not cars:
        faults.append("found no car, wanted at least one")
    if faults:
        raise LaunchParameterError(faults)
    strokes = {
        (stroke, axle): [_branch(_branch(_branch(car, "damper"), axle), stroke) for car in cars]
        for stroke in STROKES
        for axle in AXLES
    }
    return Columns(
        of={name: np.array([_number(car[name]) for car in cars]) for name in BOUNDS}
        | {
            name: np.array([_number(car.get(name, none)) for car in cars])
            for name, none in _WITHOUT.items()
        },
        damper={
            stroke: {
                part: np.array(
                    [[_number(one[part]) for one in strokes[stroke, axle]] for axle in AXLES]
                )
                for part in DAMPER_BOUNDS
            }
            for stroke in STROKES
        },
        dips=_dip_columns(cars),
        tables={where: [table_of(one) for one in each] for where, each in strokes.items()},
    )


def parameter_faults(car: Mapping[str, object]) -> Iterator[str]:
    """Yield what is wrong with a car's parameters, in words, one line per fault."""
    if not isinstance(car, Mapping):
        yield f"found {_say(car)}, wanted the parameters by name"
        return
    known = {*BOUNDS, *BAR_BOUNDS, *SLIP_BOUNDS, *LINK_BOUNDS, "dips", "damper"}
    for name in car:
        if name not in known:
            yield f"{_say(name)}: no such parameter"
    for name, bounds in BOUNDS.items():
        if not _is_within(car.get(name), *bounds):
            yield from _value_faults(name, car, name, bounds)
    for together in (BAR_BOUNDS, SLIP_BOUNDS, LINK_BOUNDS):
        for name, bounds in together.items() if any(name in car for name in together) else ():
            if not _is_within(car.get(name), *bounds):
                yield from _value_faults(name, car, name, bounds)
    yield from _damper_faults(car.get("damper"))
    yield from _dip_faults(car.get("dips"))
    front, base = car.get("a"), car.get("L")
    if _is_number(front) and _is_number(base) and _number(front) >= _number(base):
        yield f"a: found {front} m, wanted less than the wheelbase L ({base} m)"


def _value_faults(
    label: str, where: Mapping[str, object], name: str, bounds: tuple[float, float]
) -> Iterator[str]:
    low, high = bounds
    if name not in where:
        yield f"{label}: missing, wanted a number from {low:g} to {high:g}"
        return
    value = where[name]
    if not _is_number(value) or not low <= _number(value) <= high:
        yield f"{label}: found {_say(value)}, wanted a number from {low:g} to {high:g}"


def _damper_faults(damper: object) -> Iterator[str]:
    yield from _shape_faults("damper", damper, AXLES)
    for axle in AXLES:
        strokes = _branch(damper, axle)
        if isinstance(damper, Mapping) and axle in damper:
            yield from _shape_faults(f"damper.{axle}", damper[axle], STROKES)
        for stroke in STROKES:
            if stroke not in strokes:
                continue
            path = f"damper.{axle}.{stroke}"
            parts = _branch(strokes, stroke)
            for name in parts:
                if name not in (*DAMPER_BOUNDS, "table"):
                    yield f"{path}.{name}: no such parameter"
            for part, bounds in DAMPER_BOUNDS.items():
                if _is_within(parts.get(part), *bounds):
                    continue
                yield from _value_faults(f"{path}.{part}", parts, part, bounds)
            if "table" in parts:
                yield from table_faults(f"{path}.table", parts["table"])


def _shape_faults(path: str, branch: object, names: Sequence[str]) -> Iterator[str]:
    found = branch if isinstance(branch, Mapping) else {}
    for name in found:
        if name not in names:
            yield f"{path}.{name}: no such parameter"
    for name in names:
        if name not in found:
            yield f"{path}.{name}: missing"


def _dip_faults(dips: object) -> Iterator[str]:
    rows = _rows(dips)
    if dips is not None and (rows is None or len(rows) > MAX_DIPS):
        yield f"dips: found {_say(dips)}, wanted up to {MAX_DIPS} rows of start, share lost, length"
        return
    for number, row in enumerate(rows or (), start=1):
        cells = _rows(row)
        if cells is None or len(cells) != len(DIP):
            yield f"dips row {number}: found {_say(row)}, wanted start, share lost, length"
            continue
        for (name, low, high), cell in zip(DIP, cells, strict=True):
            if _is_within(cell, low, high):
                continue
            yield from _value_faults(f"dips row {number} {name}", {name: cell}, name, (low, high))


def _branch(where: object, name: str) -> Mapping[str, object]:
    found = where.get(name) if isinstance(where, Mapping) else None
    return found if isinstance(found, Mapping) else {}


def _rows(rows: object) -> list[object] | None:
    if isinstance(rows, str | bytes) or not isinstance(rows, Sequence | np.ndarray):
        return None
    return None if isinstance(rows, np.ndarray) and not rows.ndim else list(rows)


def _dip_columns(cars: Sequence[Mapping[str, object]]) -> Array:
    rows = [_rows(car.get("dips")) or [] for car in cars]
    dips = np.zeros((max(map(len, rows)), len(DIP), len(cars)))
    dips[:, 2] = 1.0
    for number, of_car in enumerate(rows):
        for place, row in enumerate(of_car):
            dips[place, :, number] = [_number(cell) for cell in _rows(row) or ()]
    return dips


def _is_within(value: object, low: float, high: float) -> bool:
    return type(value) is float and low <= value <= high


def _is_number(value: object) -> bool:
    if type(value) is float:
        return isfinite(value)
    if isinstance(value, bool) or not isinstance(value, int | float | np.integer | np.floating):
        return False
    try:
        return isfinite(float(value))
    except OverflowError:
        return False


def _number(value: object) -> float:
    return float(value)  # type: ignore[arg-type]


def _say(value: object) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "..."
