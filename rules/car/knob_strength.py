"""What a knob moves, and how strongly a click of it acts near its ends and where it stands.

A needle that is nearly shut, or a bleed that is nearly open, is not the same knob as in its middle:
a click is told and stepped by the force it changes, as its dyno table has it, or without one as the
car file says of a click next to each end.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import exp, log

from rules.car.adjusters import Adjuster
from rules.car.dyno_tables import DynoRows, DynoTableError, read_rows
from rules.car.model import Car, Curve, Damper, Knob, SpeedRange
from rules.car.valvings import STROKES, rows_with, valving_on
from rules.units import INCH_M

# The piston speed at which a knob matters [m/s]: the settle for a bleed, the body's own for others;
# common practice, no source.
MATTERS_M_S: dict[SpeedRange, float] = {
    "low": 2 * INCH_M, "high": 10 * INCH_M, "all": 10 * INCH_M, "unknown": 10 * INCH_M,
}  # fmt: skip
# A step that can be felt and undone, as a share of the force; common practice, no source.
STEP_SHARE = 0.20
_SPEED_WORDS: dict[SpeedRange, str] = {
    "low": ", low speed: the bleed", "high": ", high speed: the valving", "all": ", at all speeds",
    "unknown": "",
}  # fmt: skip

_CURVE_WORDS: dict[Curve, str] = {
    "needle": "; a needle, most of it in the last third to shut", "even": "; every click alike",
    "unknown": "",
}  # fmt: skip


@dataclass(frozen=True)
class Strength:
    """How strongly one click of a knob acts on one stroke, as a share of the force there [-].

    soft, hard: next to each end, going firmer.  speed: the piston speed it is told for [m/s], None
    where the car file says it of a click and no table does.  click: what a click is called.
    """

    stroke: str
    speed: float | None
    soft: float
    hard: float
    click: str = "a click"

    @property
    def says(self) -> str:
        """Say it in one line."""
        at = ", by the car file"
        if self.speed is not None:
            at = f" at {{{self.speed / INCH_M:.0f} in/s|{self.speed * 1000:.0f} mm/s}}"
        return (
            f"{self.click} near full soft is {self.soft:.0%} of {self.stroke} force{at}, "
            f"near full hard {self.hard:.0%}"
        )


def moves(one: Adjuster) -> str:
    """Say which movement a knob damps, and at which speeds as far as that is known."""
    stroke = {"both": "compression and rebound"}.get(str(one.controls), str(one.controls))
    return f"{stroke}{_SPEED_WORDS[one.speed]}{_CURVE_WORDS[one.curve]}"


def strengths(car: Car, settings: Mapping[str, float], one: Adjuster) -> list[Strength]:
    """Return how strongly a knob acts near its ends, for each stroke whose table is known."""
    found = []
    for stroke, force in _strokes(car, settings, one):
        low, high = force.ends
        soft, hard = (low, high) if one.count_from == "full soft" else (high, low)
        inward = (1.0 if hard > soft else -1.0) / one.per_unit
        first = abs(log(force.at(soft + inward) / force.at(soft)))
        last = abs(log(force.at(hard) / force.at(hard - inward)))
        click = "a click" if one.unit == "clicks" else one.show_steps(1)
        found.append(Strength(stroke, force.speed, exp(first) - 1.0, exp(last) - 1.0, click))
    return found


def step_in_force(
    car: Car, settings: Mapping[str, float], one: Adjuster, *, upward: bool
) -> int | None:
    """Return the fewest marks that change the force by about a fifth from where a knob stands.

    Of a knob that acts on both strokes, by the stroke it acts on most. Half the range at most, one
    at least; None without a table, or where no table holds today's count.
    """
    found: list[int] = []
    for _, force in _strokes(car, settings, one):
        here = settings[one.id] / one.per_unit
        if not force.ends[0] <= here <= force.ends[1]:
            continue
        most = max(1, int(min(one.marks // 2, one.room(settings[one.id], upward))))
        way = one.up(upward) / one.per_unit
        steps = (n for n in range(1, most + 1) if force.apart(here, here + n * way) >= _FELT)
        found.append(next(steps, most))
    return min(found, default=None)


# Felt from three quarters of the step on, so that a step of 15 to 25 % is taken as it comes.
_FELT = log(1.0 + 0.75 * STEP_SHARE)


@dataclass(frozen=True)
class ForceByCount:
    """The force of one stroke at one piston speed by count; between counts by equal factors.

    Without a speed it is by the car file's word, and only how it changes means anything.
    """

    speed: float | None
    forces: tuple[tuple[float, float], ...]

    @property
    def ends(self) -> tuple[float, float]:
        return self.forces[0][0], self.forces[-1][0]

    def at(self, count: float) -> float:
        count = min(max(count, self.ends[0]), self.ends[1])
        for (low, below), (high, above) in pairwise(self.forces):
            if low <= count <= high:
                share = (count - low) / (high - low)
                return exp(log(below) * (1.0 - share) + log(above) * share)
        return self.forces[0][1]

    def apart(self, count: float, other: float) -> float:
        return abs(log(self.at(other) / self.at(count)))


def _strokes(
    car: Car, settings: Mapping[str, float], one: Adjuster
) -> Iterator[tuple[str, ForceByCount]]:
    owner = _owner(car, one)
    if owner is None:
        return
    damper, knob = owner
    valving = valving_on(car, settings, damper.axle)
    for stroke in STROKES:
        if knob.controls not in (stroke, "both"):
            continue
        rows = rows_with(car, damper, knob, stroke, valving)
        force = _force_by_count(rows, MATTERS_M_S[knob.speed]) if rows is not None else None
        force = force or said_by_the_file(knob, stroke)
        if force is not None:
            yield stroke, force


def said_by_the_file(knob: Knob, stroke: str) -> ForceByCount | None:
    """Return how the force changes as the car file says of a click next to each end.

    From one end to the other a click grows by equal factors; None where an end is not said.
    """
    soft, hard = (getattr(knob, f"{stroke}_click_{end}") for end in ("soft", "hard"))
    if soft is None or hard is None or knob.marks < 2:
        return None
    ends = log(1.0 + soft / 100.0), log(1.0 + hard / 100.0)
    forces, force = [(0.0, 1.0)], 0.0
    for click in range(knob.marks):
        share = click / (knob.marks - 1)
        force += _between(*ends, share)
        forces.append(((click + 1) / knob.per_unit, exp(force)))
    if knob.count_from == "full hard":
        most = forces[-1][0]
        forces = [(most - count, value) for count, value in reversed(forces)]
    return ForceByCount(None, tuple(forces))


def _between(low: float, high: float, share: float) -> float:
    if min(low, high) <= 0.0:
        return low + (high - low) * share
    return exp(log(low) * (1.0 - share) + log(high) * share)


def _owner(car: Car, one: Adjuster) -> tuple[Damper, Knob] | None:
    for damper in car.dampers:
        for knob in damper.knobs:
            if f"{damper.corner} {knob.id}" == one.id:
                return damper, knob
    return None


@lru_cache(maxsize=128)
def _force_by_count(rows: tuple[str, ...], speed: float) -> ForceByCount | None:
    """Return the force by count at a speed within what was measured, else at its fastest row."""
    try:
        table = read_rows("\n".join(rows))
    except DynoTableError:
        return None
    at = min(speed, table.speeds[-1])
    forces = sorted((count, _at(table, place, at)) for place, count in enumerate(table.settings))
    if len(forces) < 2 or any(force <= 0.0 for _, force in forces):
        return None
    return ForceByCount(at, tuple(forces))


def _at(table: DynoRows, place: int, speed: float) -> float:
    """Return the force of a setting at a speed, straight between the rows and from rest."""
    rows = zip(table.speeds, table.forces, strict=True)
    points = [(0.0, 0.0), *((speed_of, row[place]) for speed_of, row in rows)]
    for (slow, below), (fast, above) in pairwise(points):
        if fast > slow and slow <= speed <= fast * (1.0 + 1e-12):
            return below + (above - below) * (speed - slow) / (fast - slow)
    return points[-1][1]
