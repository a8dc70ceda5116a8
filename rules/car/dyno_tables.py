"""Dyno tables as rows of plain numbers: read from CSV text, and refused in words where odd.

A CSV has a head and rows. The head names the units in brackets: ``speed [mm/s]`` first, then one
column per setting, the count and its unit: ``4 [N]``. One stroke per table; both numbers positive.
The curve through them is in `rules.launch.dyno`, which needs the array library.
"""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from numbers import Real

from rules.units import FORCE_UNITS, SPEED_UNITS

MOST_SETTINGS = 201
MOST_ROWS = 2000
MOST_COUNT = 1000
"""Past the marks of any knob; common practice, no source."""
MOST_FAULTS = 20
# Beyond any damper of a car, and within what a launch takes; common practice, no source.
FASTEST_M_S, MOST_FORCE_N = 20.0, 200_000.0
# A damper's sheet goes faster than this: below it the unit is likely a wrong one, and nothing of
# a launch was measured; common practice, no source.
LEAST_FASTEST_M_S = 0.05
_HEAD = re.compile(r"^\s*([^\[\]]*?)\s*\[\s*([^\[\]]*?)\s*\]\s*$")


class DynoTableError(ValueError):
    """A table that is not a damper's. `faults` names what is wrong, up to twenty."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults[:MOST_FAULTS])
        super().__init__("; ".join(self.faults))


@dataclass(frozen=True)
class TableUnits:
    """The units in which a table is spoken of: those of its own head, each with its SI value."""

    speed: str = "m/s"
    force: str = "N"

    def speed_words(self, m_per_s: float) -> str:
        """Write a speed [m/s]."""
        return f"{m_per_s / SPEED_UNITS[self.speed]:.6g} {self.speed}"

    def force_words(self, newtons: float) -> str:
        """Write a force [N]."""
        return f"{newtons / FORCE_UNITS[self.force]:.6g} {self.force}"


IN_SI = TableUnits()


@dataclass(frozen=True)
class DynoRows:
    """A checked table, settings in the order they were given.

    settings: counts of the knob.  speeds: piston speeds [m/s], rising.
    forces: [N], a row per speed, in it one per setting.
    """

    settings: tuple[float, ...]
    speeds: tuple[float, ...]
    forces: tuple[tuple[float, ...], ...]


def checked_rows(
    settings: Sequence[float],
    speeds: Sequence[float],
    forces: Sequence[Sequence[float]],
    lines: Sequence[int] = (),
    units: TableUnits = IN_SI,
    least: int = 2,
) -> DynoRows:
    """Check a table.

    settings: counts of the knob, one per column, each once.
    speeds: piston speeds [m/s], one per row, rising.
    forces: [N], rows of one force per setting; none falls as the speed rises.
    lines: the number of each row where it was read; counted from 1 where left out.
    units: in which faults are told.  least: rows without which it is no table.

    Raises:
        DynoTableError: with what is wrong.
    """
    numbers = lines or range(1, len(speeds) + 1)
    faults = list(_faults(settings, speeds, forces, numbers, units, least))
    if faults:
        raise DynoTableError(faults)
    return DynoRows(
        settings=tuple(float(one) for one in settings),
        speeds=tuple(float(one) for one in speeds),
        forces=tuple(tuple(float(one) for one in row) for row in forces),
    )


def read_rows(text: str, head_row: int = 1, least: int = 2) -> DynoRows:
    """Read a table from CSV text; commas, semicolons or tabs between cells.

    head_row: the number of the head where rows are counted; a spreadsheet counts it as 1.
    least: rows without which it is no table; fewer where it is read as it is being typed.

    Raises:
        DynoTableError: with what is wrong, in rows and columns as a spreadsheet counts them.
    """
    whole = text.lstrip("\ufeff").splitlines()
    places = [number for number, line in enumerate(whole, start=head_row) if line.strip()]
    lines = [whole[number - head_row] for number in places]
    if not lines:
        raise DynoTableError(["found no text, wanted a head and rows"])
    if len(lines) > MOST_ROWS:
        raise DynoTableError([f"found {len(lines)} rows, wanted at most {MOST_ROWS}"])
    mark = mark_of(lines[0])
    try:
        reader = csv.reader(lines, delimiter=mark, strict=True)
        (_, head), *numbered = [(places[reader.line_num - 1], row) for row in reader]
    except csv.Error as fault:
        raise DynoTableError([f"not a CSV table: {fault}"]) from None
    faults: list[str] = []
    if not 2 <= len(head) <= MOST_SETTINGS + 1:
        found = f"found {len(head)} column{'s' * (len(head) != 1)}"
        wanted = f"{2 if len(head) < 2 else MOST_SETTINGS + 1}: a speed, and one for each setting"
        bound = "at least" if len(head) < 2 else "at most"
        raise DynoTableError([f"{found}, wanted {bound} {wanted}"])
    units, settings = _read_head(head, faults)
    speeds, forces, counted = [], [], []
    for number, row in numbered:
        if len(row) != len(head):
            faults.append(f"row {number}: found {len(row)} cells, wanted {len(head)}")
            continue
        cells = [_cell(cell, f"row {number} column {c}", faults) for c, cell in enumerate(row, 1)]
        speeds.append(cells[0] * SPEED_UNITS[units.speed])
        forces.append([cell * FORCE_UNITS[units.force] for cell in cells[1:]])
        counted.append(number)
    if faults:
        raise DynoTableError(faults)
    return checked_rows(settings, speeds, forces, counted, units, least)


def mark_of(head: str) -> str:
    """Return what stands between the cells of a table, by its head."""
    return next((one for one in ("\t", ";") if one in head), ",")


def too_slow(rows: DynoRows) -> str:
    """Say that a table ends below the speeds of a launch, empty where it does not."""
    fastest = rows.speeds[-1]
    if fastest >= LEAST_FASTEST_M_S * (1.0 - 1e-9):
        return ""
    wanted = f"wanted one of {LEAST_FASTEST_M_S * 1000:g} or more: is the unit of speed right?"
    return f"found a fastest point of {fastest * 1000:g} mm/s, {wanted}"


def _read_head(head: Sequence[str], faults: list[str]) -> tuple[TableUnits, list[float]]:
    names, units = [], []
    for column, cell in enumerate(head, start=1):
        known = FORCE_UNITS if column > 1 else SPEED_UNITS
        match = _HEAD.match(cell)
        name, unit = match.groups() if match else (cell.strip(), "")
        if unit not in known:
            found = repr(unit[:12]) if unit else "no unit"
            faults.append(
                f"column {column}: found {found} in {cell.strip()[:24]!r}, "
                f"wanted one of {', '.join(known)} in square brackets"
            )
        names.append(name)
        units.append(unit)
    if len(set(units[1:])) > 1:
        faults.append(f"mixed units of force: {', '.join(dict.fromkeys(units[1:]))}; wanted one")
    if names[0].lower() != "speed":
        faults.append(f"column 1: found {names[0][:24]!r}, wanted 'speed'")
    settings = [
        _cell(name, f"column {column}: setting", faults)
        for column, name in enumerate(names[1:], start=2)
    ]
    told = TableUnits(
        units[0] if units[0] in SPEED_UNITS else IN_SI.speed,
        units[1] if units[1] in FORCE_UNITS else IN_SI.force,
    )
    return told, settings


def _cell(text: str, place: str, faults: list[str]) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        found = repr(text.strip()[:20]) if text.strip() else "an empty cell"
        faults.append(f"{place}: found {found}, wanted a number")
    return value


def _faults(
    settings: Sequence[float],
    speeds: Sequence[float],
    forces: Sequence[Sequence[float]],
    lines: Sequence[int],
    units: TableUnits,
    least: int,
) -> Iterator[str]:
    if not 1 <= len(settings) <= MOST_SETTINGS:
        yield f"found {len(settings)} settings, wanted 1 to {MOST_SETTINGS}"
        return
    if len(speeds) < least:
        yield f"found {len(speeds)} row{'s' * (len(speeds) != 1)}, wanted at least two speeds"
        return
    if len(speeds) > MOST_ROWS or len(forces) != len(speeds):
        yield f"found {len(speeds)} speeds and {len(forces)} rows of force, wanted as many"
        return
    for number, row in zip(lines, forces, strict=True):
        if len(row) != len(settings):
            yield f"row {number}: found {len(row)} forces, wanted one per setting ({len(settings)})"
            return
    cells = [*settings, *speeds, *(cell for row in forces for cell in row)]
    if not all(_is_number(cell) for cell in cells):
        yield "found something that is not a number, wanted numbers only"
        return
    for count in sorted({one for one in settings if list(settings).count(one) > 1}):
        yield f"setting {count:g} comes twice"
    if min(settings) < 0.0:
        yield f"setting {min(settings):g}: wanted a count, not below 0"
    if max(settings) > MOST_COUNT:
        yield f"setting {max(settings):g}: wanted a count, at most {MOST_COUNT}"
    if not speeds:
        return
    quick, firm = units.speed_words, units.force_words
    if speeds[0] < 0.0:
        yield f"row {lines[0]}: found a speed of {quick(speeds[0])}, wanted none below 0"
    if max(speeds) > FASTEST_M_S:
        fastest = lines[list(speeds).index(max(speeds))]
        found = f"found a speed of {quick(max(speeds))}"
        yield f"row {fastest}: {found}, wanted at most {quick(FASTEST_M_S)}"
    for number, (before, after) in zip(lines[1:], pairwise(speeds), strict=True):
        if not after > before:
            yield f"row {number}: found {quick(after)} after {quick(before)}, wanted rising speeds"
    for place, setting in enumerate(settings):
        column = [float(row[place]) for row in forces]
        where = {end: f"setting {setting:g}, row {lines[column.index(end)]}" for end in column}
        if min(column) < 0.0:
            yield f"{where[min(column)]}: found {firm(min(column))}, wanted none below 0"
        if max(column) <= 0.0:
            yield f"setting {setting:g}: found no force at all"
        if max(column) > MOST_FORCE_N:
            found = f"found {firm(max(column))}"
            yield f"{where[max(column)]}: {found}, wanted at most {firm(MOST_FORCE_N)}"
        for number, (low, high) in zip(lines[1:], pairwise(column), strict=True):
            if high < low:
                falls = f"force falls from {firm(low)} to {firm(high)}"
                yield f"setting {setting:g}, row {number}: {falls}"


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, Real):
        return False
    return isfinite(value)
