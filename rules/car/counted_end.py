"""From which end a dyno table counts its knob, and whether that is the end of the car file."""

from functools import lru_cache
from math import log

from rules.car.dyno_tables import DynoRows, DynoTableError, read_rows
from rules.car.model import Car, CountFrom, Knob
from rules.faults import there
from rules.units import Quantity, System, show

OTHER_END: dict[CountFrom, CountFrom] = {"full soft": "full hard", "full hard": "full soft"}


def end_of(table: DynoRows) -> CountFrom | None:
    """Return the end a table counts from: the softest one; None where its ends are alike.

    Its lowest and highest counts are held against each other over all its speeds alike, by equal
    factors, so that no single row and no fast one decides.
    """
    low, high = _ends(table)
    ratios = [log(row[high] / row[low]) for row in table.forces if min(row[low], row[high]) > 0.0]
    firmer = sum(ratios)
    if abs(firmer) < 1e-9:
        return None
    return "full soft" if firmer > 0.0 else "full hard"


def turned_round(rows: tuple[str, ...], knob: Knob) -> bool:
    """Tell whether a table counts a knob from the other end than its car file does."""
    table = _read(rows)
    return table is not None and end_of(table) == OTHER_END[knob.count_from]


def says_turned_round(rows: tuple[str, ...], knob: Knob, system: System) -> tuple[str, str]:
    """Return what a table that is turned round was found to say, and both ways to read it."""
    table = there(_read(rows), "the dyno table")
    ends = _ends(table)
    speed, forces = max(
        zip(table.speeds, table.forces, strict=True),
        key=lambda row: abs(row[1][ends[1]] - row[1][ends[0]]),
    )
    readings = " and ".join(
        f"{show(forces[end], Quantity.FORCE, system)} at {table.settings[end]:g}" for end in ends
    )
    found = f"{readings}, at {show(speed, Quantity.PISTON_SPEED, system)}"
    here, other = knob.count_from, OTHER_END[knob.count_from]
    way = "rising with" if here == "full soft" else "falling with"
    wanted = (
        f"a force {way} the count, as the knob counts from {here}: "
        f"either the table counts from {other}, or count_from is {other}"
    )
    return found, wanted


def counted_knob(car: Car, axle: str, stroke: str, named: str = "") -> Knob | None:
    """Return the knob whose counts the tables of an axle's owned valvings hold, None without.

    named: its id, where a table says which one it counts.
    """
    damper = next((one for one in car.dampers if one.axle == axle), None)
    return knob_of_tables(damper.knobs, stroke, named) if damper else None


def knobs_of_stroke(car: Car, axle: str, stroke: str) -> list[Knob]:
    """Return the knobs of an axle's damper that move a stroke."""
    damper = next((one for one in car.dampers if one.axle == axle), None)
    return [one for one in damper.knobs if one.controls in (stroke, "both")] if damper else []


def knob_of_tables(knobs: tuple[Knob, ...], stroke: str, named: str = "") -> Knob | None:
    """Return the knob of a damper that a stroke's tables count.

    The one that is named; without a name one with a table of its own, or the stroke's first.
    """
    of_stroke = [one for one in knobs if one.controls in (stroke, "both")]
    told = [one for one in of_stroke if one.id == named]
    own = [one for one in of_stroke if getattr(one, f"{stroke}_dyno") is not None]
    return next(iter(told or own or of_stroke), None)


def _ends(table: DynoRows) -> tuple[int, int]:
    places = range(len(table.settings))
    return min(places, key=table.settings.__getitem__), max(places, key=table.settings.__getitem__)


@lru_cache(maxsize=256)
def _read(rows: tuple[str, ...]) -> DynoRows | None:
    try:
        return read_rows("\n".join(rows))
    except DynoTableError:
        return None
