"""From where the knobs and levers stand to what that does to a launch's parameters.

A change is told as a factor or a distance on named parameters, so that the same change can be
made to every car of an ensemble. Curves come from a dyno table, two published points, what
the car file says of a click, or the generic family, in this order of trust.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import Adjuster, adjusters
from rules.car.instant_centre import link_levers
from rules.car.knob_strength import ForceByCount, said_by_the_file
from rules.car.model import Car, Damper, Knob, Points, SpeedRange
from rules.car.valvings import rows_with, valving_on
from rules.launch.cloud.levers import lever_moves
from rules.launch.cloud.link_moves import link_moves
from rules.launch.cloud.on_paper import Known, Paper, Params
from rules.launch.cloud.parameter_shift import ParameterShift
from rules.launch.mechanics.damper import KnobPart, TwoPoints, between, generic_range, scaled
from rules.launch.mechanics.dyno import DynoTable, TableCurve, from_rest, read_dyno_csv
from rules.launch.mechanics.valve import Curve, Valve

Array = NDArray[np.float64]

PARTS: dict[SpeedRange, KnobPart] = {
    "low": KnobPart.BLEED,
    "high": KnobPart.HIGH_SPEED,
    "all": KnobPart.WHOLE,
    "unknown": KnobPart.WHOLE,
}
GENERIC = Valve(5e5, 800.0, 3500.0)
STROKES = {"comp": "compression", "reb": "rebound"}
# What a click does, one standard deviation of its logarithm's share: (curve known, curve guessed).
CLICK_SPREAD = (0.10, 0.35)


@dataclass(frozen=True)
class Moves:
    """What a whole set of settings does against where the car file starts them."""

    moves: tuple[ParameterShift, ...]
    not_modelled: tuple[str, ...]


class _Curve(Protocol):
    def at(self, setting: float) -> Valve:
        """Return the valve at a count of marks."""
        ...

    def holds(self, setting: float) -> bool:
        """Tell whether the curve is known at a count of marks."""
        ...


@dataclass(frozen=True)
class _Dyno:
    table: DynoTable
    per_unit: int

    def at(self, setting: float) -> Valve:
        return self.table.fit(self._measured(setting)).valve

    def curve(self, setting: float) -> TableCurve:
        return self.table.curve(self._measured(setting))

    def holds(self, setting: float) -> bool:
        ends = self.table.settings
        return ends[0] - 1e-9 <= setting / self.per_unit <= ends[-1] + 1e-9

    def _measured(self, setting: float) -> float:
        ends = self.table.settings
        return min(max(setting / self.per_unit, ends[0]), ends[-1])


@dataclass(frozen=True)
class _Range:
    soft: Valve
    firm: Valve
    marks: int
    from_hard: bool

    def at(self, setting: float) -> Valve:
        share = setting / self.marks
        return between(self.soft, self.firm, 1.0 - share if self.from_hard else share)

    def holds(self, setting: float) -> bool:
        return 0.0 <= setting <= self.marks


@dataclass(frozen=True)
class _SaidStrength:
    """A knob of which the car file says how strongly it acts: around the middle of its range."""

    forces: ForceByCount
    middle: float
    marks: int
    per_unit: int

    def at(self, setting: float) -> Valve:
        factor = self.forces.at(setting / self.per_unit) / self.forces.at(self.middle)
        return scaled(GENERIC, KnobPart.WHOLE, factor)

    def holds(self, setting: float) -> bool:
        return 0.0 <= setting <= self.marks


@dataclass(frozen=True)
class _KnobCurve:
    id: str
    start: float
    curve: _Curve
    measured: bool


def put_curves(paper: Paper, car: Car) -> None:
    """Put the curves that the file gives in place of the generic ones."""
    for end in ("front", "rear"):
        for stroke in STROKES:
            valves, known = [], Known.GUESSED
            for corner in (f"left {end}", f"right {end}"):
                knobs = _knobs(car, corner, stroke)
                base = next((one for one in knobs if one.measured), None)
                if base is not None:
                    # A published curve is of that kind of damper, a dyno table of this very one.
                    known = Known.MEASURED if isinstance(base.curve, _Dyno) else known
                    valves.append(base.curve.at(base.start).at_wheel(paper.ratios[end]))
            if not valves:
                continue
            paper.params["damper"][end][stroke] = _mean(valves).parameters()
            table = _table(car, end, stroke, paper.ratios[end])
            if table is not None:
                paper.params["damper"][end][stroke]["table"] = table
            for part in ("kb", "F0", "chs"):
                paper.known[f"damper.{end}.{stroke}.{part}"] = known


def moves(car: Car, settings: Mapping[str, float]) -> Moves:
    """Return what `settings` do to the parameters, against the starts of the car file."""
    found: list[ParameterShift] = []
    silent: list[str] = []
    for end in ("front", "rear"):
        for stroke in STROKES:
            found += _damper_moves(car, settings, end, stroke)
    for one in adjusters(car).values():
        value = settings.get(one.id, one.start)
        if one.part == "knob":
            silent += [] if _is_measured_at(car, one, value, settings) else [one.id]
            continue
        if value == one.start:
            continue
        effect = lever_moves(car, one, value)
        if effect is None:
            silent.append(one.id)
        found += effect or []
    linked = link_moves(car, settings)
    if linked is None:
        silent += [one.id for one in link_levers(car)]
    found += linked or []
    return Moves(tuple(found), tuple(silent))


def is_modelled(
    car: Car,
    one: Adjuster,
    value: float | None = None,
    settings: Mapping[str, float] = MappingProxyType({}),
) -> bool:
    """Tell whether the launch has what an adjuster moves, by going to `value` where one is given.

    A valving is modelled where a dyno table is known of it and of the one the file starts with,
    a knob as far as the dyno tables of the valving in `settings` go.
    """
    if one.part == "knob":
        return _is_measured_at(car, one, one.start if value is None else value, settings)
    return lever_moves(car, one, one.start if value is None else value) is not None


def _is_measured_at(car: Car, one: Adjuster, value: float, settings: Mapping[str, float]) -> bool:
    """Tell whether every dyno table of a knob reaches to a setting; one without has no end."""
    corner, valving = " ".join(one.id.split(" ", 2)[:2]), valving_on(car, settings, one.axle)
    fitted = (knob for stroke in STROKES for knob in _knobs(car, corner, stroke, valving))
    return all(knob.curve.holds(value) for knob in fitted if knob.id == one.id)


def _table(car: Car, end: str, stroke: str, ratio: float) -> dict[str, Array] | None:
    """Return the dyno table of an axle's stroke at the wheel; None where no side has one.

    A side without a curve of its own stands as the other does.
    """
    sides = (_knobs(car, f"{side} {end}", stroke) for side in ("left", "right"))
    measured = [next(one for one in knobs if one.measured) for knobs in sides if _curved(knobs)]
    tables = [one.curve.table for one in measured if isinstance(one.curve, _Dyno)]
    if not tables:
        return None
    speed = _rows(tables)
    force = sum(_force(one, one.start, speed) for one in measured) * 2.0 / len(measured)
    return {"speed": speed / ratio, "force": np.asarray(force) * ratio}


def _curved(knobs: Iterable[_KnobCurve]) -> bool:
    return any(one.measured for one in knobs)


def _rows(tables: Sequence[DynoTable]) -> Array:
    """Return every piston speed at which any of the tables was measured [m/s]."""
    return np.unique(np.concatenate([one.speeds for one in tables]))


def _force(knob: _KnobCurve, setting: float, speed: Array) -> Array:
    """Return the damper's force [N] at piston speeds [m/s], with a knob at a setting."""
    curve = knob.curve
    return (curve.curve(setting) if isinstance(curve, _Dyno) else curve.at(setting)).force(speed)


def curve_of(stroke: Mapping[str, Any]) -> Curve:
    """Return the curve that a launch takes from a stroke's parameters: its table, or its family."""
    if "table" in stroke:
        rows = (np.array(stroke["table"][name]) for name in ("speed", "force"))
        return TableCurve(from_rest(*rows))
    return Valve(stroke["kb"], stroke["F0"], stroke["chs"])


def follow_family(car: dict[str, Any], paper: Params) -> dict[str, Any]:
    """Scale a car's dyno tables as its family's numbers stand to those on paper, row by row."""
    for end, strokes in car["damper"].items():
        for stroke, found in strokes.items():
            if "table" not in found:
                continue
            table, middle = found["table"], paper["damper"][end][stroke]
            own, others = (Valve(one["kb"], one["F0"], one["chs"]) for one in (found, middle))
            speed = np.maximum(table["speed"], 1e-6)
            force = table["force"] * (own.force(speed) / others.force(speed))
            rising = np.maximum.accumulate(force)
            found["table"] = {
                "speed": tuple(table["speed"].tolist()),
                "force": tuple(rising.tolist()),
            }
    return car


def _damper_moves(
    car: Car, settings: Mapping[str, float], end: str, stroke: str
) -> Iterator[ParameterShift]:
    """Yield the factors of a stroke's knobs; left and right count half each."""
    corners = [damper for damper in car.dampers if damper.axle == end]
    share = 1.0 / max(1, len(corners))
    table = _table(car, end, stroke, 1.0)
    at_start, valving = (valving_on(car, one, end) for one in ({}, settings))
    for damper in corners:
        fitted = _knobs(car, damper.corner, stroke, valving)
        for knob, other in zip(_knobs(car, damper.corner, stroke), fitted, strict=True):
            setting = settings.get(knob.id, knob.start)
            if setting == knob.start and valving == at_start:
                continue
            if table is not None and isinstance(knob.curve, _Dyno):
                old = _force(knob, knob.start, table["speed"])
                new = _force(other, setting, table["speed"])
                felt = (old > 0.0) & (new > 0.0)
                yield ParameterShift(
                    name=f"damper.{end}.{stroke}.table.force",
                    lever=f"{end} {knob.id.split(' ', 2)[2]}",
                    factor=np.where(felt, new / np.where(felt, old, 1.0), 1.0) ** share,
                    spread=CLICK_SPREAD[0],
                )
                continue
            before = knob.curve.at(knob.start).parameters()
            after = other.curve.at(setting).parameters()
            for part in before:
                if before[part] > 0.0 and after[part] > 0.0 and before[part] != after[part]:
                    yield ParameterShift(
                        name=f"damper.{end}.{stroke}.{part}",
                        lever=f"{end} {knob.id.split(' ', 2)[2]}",
                        factor=(after[part] / before[part]) ** share,
                        spread=CLICK_SPREAD[not knob.measured],
                    )


@lru_cache(maxsize=64)
def _knobs(
    car: Car, corner: str, stroke: str, valving: str | None = None
) -> tuple[_KnobCurve, ...]:
    """Return a stroke's knobs with the valving the file starts with, or another in its place.

    Where no dyno table of the other, or of both, is known, the knob keeps the curve it has.
    """
    damper: Damper | None = next((d for d in car.dampers if d.corner == corner), None)
    word = STROKES[stroke]
    return tuple(
        _knob_curve(car, damper, knob, word, valving)
        for knob in (damper.knobs if damper else ())
        if damper and knob.controls in (word, "both")
    )


def _knob_curve(car: Car, damper: Damper, knob: Knob, word: str, valving: str | None) -> _KnobCurve:
    rows = rows_with(car, damper, knob, word, valving_on(car, {}, damper.axle))
    if rows is not None and valving is not None:
        rows = rows_with(car, damper, knob, word, valving) or rows
    points: Points | None = getattr(knob, f"{word}_points")
    hard = knob.count_from == "full hard"
    curve: _Curve
    if rows is not None:
        curve = _Dyno(read_dyno_csv("\n".join(rows)), knob.per_unit)
    elif points is not None:
        two = TwoPoints(_pairs(points, "soft"), _pairs(points, "firm"), knob.marks, hard).range()
        curve = _Range(two.soft, two.firm, knob.marks, hard)
    elif (said := said_by_the_file(knob, word)) and PARTS[knob.speed] is KnobPart.WHOLE:
        # Of a bleed or of high speed alone a share of the force is no share of a valve's number.
        curve = _SaidStrength(said, knob.marks / knob.per_unit / 2.0, knob.marks, knob.per_unit)
    else:
        middle = generic_range(GENERIC, PARTS[knob.speed], knob.marks, hard)
        curve = _Range(middle.soft, middle.firm, knob.marks, hard)
    start = float(round(knob.start * knob.per_unit))
    measured = rows is not None or points is not None
    return _KnobCurve(f"{damper.corner} {knob.id}", start, curve, measured)


def _pairs(points: Points, end: str) -> tuple[tuple[float, float], tuple[float, float]]:
    low, high = getattr(points, f"{end}_low"), getattr(points, f"{end}_high")
    return (low.speed_m_per_s, low.force_n), (high.speed_m_per_s, high.force_n)


def _mean(valves: Iterable[Valve]) -> Valve:
    every = list(valves)
    n = len(every)
    return Valve(
        sum(one.kb for one in every) / n,
        sum(one.f0 for one in every) / n,
        sum(one.chs for one in every) / n,
    )


def moved(car: dict[str, Any], moves: Iterable[tuple[ParameterShift, float]]) -> dict[str, Any]:
    """Make moves on one car of an ensemble; each comes with the size of its effect there [-]."""
    for move, size in moves:
        *path, last = move.name.split(".")
        place = car
        for step in path:
            place = place[step]
        place[last] = place[last] * move.factor**size + move.add * size
    return car
