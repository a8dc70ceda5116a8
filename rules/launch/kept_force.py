"""The clicks on another valving that give back today's force, as turns of one change with it."""

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.car.counted_end import turned_round
from rules.car.model import Car, Damper, Knob
from rules.car.steps import cut
from rules.car.valvings import STROKES, Rows, rows_with, valving_on
from rules.units import INCH_M

if TYPE_CHECKING:
    from rules.launch.mechanics.crossover import Crossover

Speed = Literal["low speed", "high speed", "rise speed"]
SPEEDS: tuple[Speed, ...] = ("low speed", "high speed", "rise speed")
# What the front shafts do in a launch's rise and on its landing, or more; common practice.
RISE_SPEED_M_S = 20 * INCH_M


def crossing(
    car: Car,
    settings: Mapping[str, float],
    damper: Damper,
    knob: Knob,
    stroke: str,
    new: Rows | None,
    fast: float | None = None,
) -> "Crossover | None":
    """Return the counts on a new valving's table that give a knob's force of today back.

    fast: the faster of the two piston speeds [m/s], where it is not the usual one.
    None where either curve is missing or counted from the other end, or today's count was not
    measured.
    """
    old = rows_with(car, damper, knob, stroke, valving_on(car, settings, damper.axle))
    mark = settings.get(f"{damper.corner} {knob.id}")
    if old is None or new is None or mark is None or turned_round(new, knob):
        return None
    return _crossing(old, new, mark / knob.per_unit, fast)


@lru_cache(maxsize=64)
def _crossing(old: Rows, new: Rows, count: float, fast: float | None) -> "Crossover | None":
    """Return the answers for a count on the old table; each answer that is imagined asks again."""
    # Only a crew that owns a measured valving pays for loading the array library.
    from rules.launch.mechanics.crossover import HIGH_SPEED_M_S, EveryCount, crossover
    from rules.launch.mechanics.dyno import read_dyno_csv

    before, after = (read_dyno_csv("\n".join(rows)) for rows in (old, new))
    try:
        curve = before.curve(count)
        fastest = min(float(before.speeds[-1]), float(after.speeds[-1]))
        every, high = EveryCount(after), fast or HIGH_SPEED_M_S
        return crossover(curve, every, high=high, fastest=fastest)
    except ValueError:
        return None


def kept_counts(
    car: Car, settings: Mapping[str, float], lever: Adjuster, to: float, speed: Speed
) -> dict[str, float]:
    """Return the counts [marks] by knob that keep today's force with a valving lever at `to`.

    A pair moves by the same number, as its first side wants it. A knob is left out where its
    curves are not known, no click gives the force back, compression and rebound of one knob want
    different ones, a side has no room, or it would go near shut, where a click is a step.
    """
    fitted, found = adjusters(car), dict[str, float]()
    name = lever.show(to)
    for damper in car.dampers:
        for knob in damper.knobs:
            key = f"{damper.corner} {knob.id}"
            if damper.axle != lever.axle or key in found or _leads(fitted[key], found):
                continue
            count = _count(car, settings, damper, knob, name, speed)
            if count is not None:
                found |= _both_sides(fitted, settings, key, count)
    return found


def _leads(one: Adjuster, found: Mapping[str, float]) -> bool:
    """Tell whether the other side of the pair was answered already."""
    return one.partner is not None and one.partner in found


def _count(
    car: Car,
    settings: Mapping[str, float],
    damper: Damper,
    knob: Knob,
    name: str,
    speed: Speed,
) -> float | None:
    answers: set[float | None] = set()
    for stroke in STROKES:
        if knob.controls not in (stroke, "both"):
            continue
        new = rows_with(car, damper, knob, stroke, name)
        fast = RISE_SPEED_M_S if speed == "rise speed" else None
        both = crossing(car, settings, damper, knob, stroke, new, fast)
        if both is not None:
            answers.add((both.low if speed == "low speed" else both.high).setting)
    if len(answers) != 1 or (setting := answers.pop()) is None:
        return None
    return round(setting * knob.per_unit, 6)


def _both_sides(
    fitted: Mapping[str, Adjuster], settings: Mapping[str, float], key: str, count: float
) -> dict[str, float]:
    shift = count - settings[key]
    sides = [fitted[key], *(fitted[other] for other in [fitted[key].partner] if other)]
    counts = {one.id: round(settings[one.id] + shift, 6) for one in sides}
    makable = (one.holds(counts[one.id]) and not _near_shut(one, settings, shift) for one in sides)
    return counts if all(makable) else {}


def _near_shut(one: Adjuster, settings: Mapping[str, float], shift: float) -> bool:
    """Tell whether going firmer ends where a click is a step."""
    firmer = shift * one.up(True) > 0
    steps = round(abs(shift))
    return firmer and cut(one, settings[one.id], True, steps) < steps


def as_turns(
    settings: Mapping[str, float], lever: Adjuster, to: float, counts: Mapping[str, float]
) -> tuple[Turn, ...]:
    """Return the turns of a change of valving: the valving first, then what its knobs get."""
    goals = {lever.id: to, **counts}
    return tuple(
        Turn(adjuster=key, before=settings[key], after=goal)
        for key, goal in goals.items()
        if settings[key] != goal
    )


def with_kept_force(
    car: Car, settings: Mapping[str, float], turns: tuple[Turn, ...]
) -> tuple[Turn, ...]:
    """Return a lone turn of a valving with the clicks that keep today's force at low speed."""
    if len(turns) != 1:
        return turns
    lever = adjusters(car)[turns[0].adjuster]
    if lever.part != "valving":
        return turns
    to = turns[0].after
    return as_turns(settings, lever, to, kept_counts(car, settings, lever, to, "low speed"))
