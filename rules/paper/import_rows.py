"""Rows of a table turned into passes: each cell read, each fault named, each slip known already."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import product
from math import inf, isclose
from typing import Any, get_args

from rules.faults import Fault
from rules.log.events.passes import ConditionsNoted, PassImported
from rules.log.slip_words import slip_of
from rules.log.state import State
from rules.paper.columns import Column, Told
from rules.passes.air import PressureKind
from rules.passes.marks import Mark
from rules.passes.readings import PRESSURE_KIND, READINGS
from rules.passes.slip import Slip, questions
from rules.units import FOOT_M, INCH_OF_MERCURY_PA, UNITS, Quantity, System, celsius, fahrenheit

MARKS = get_args(Mark)
PRESSURE_KINDS = tuple(kind.value for kind in PressureKind)
INHG_HPA = INCH_OF_MERCURY_PA / 100
SPEEDS_M_S = {
    "m/s": 1.0,
    **{one.name: one.si for (what, _), one in UNITS.items() if what is Quantity.SPEED},
}
YEARS = range(1980, 2100)
NO_TIMES = "no times: left out"
SAME_TIME_S, SAME_SPEED_M_S = 0.0006, 0.06
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")
_CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?\s*([ap]\.?m\.?)?", re.I)
_BEGINS = r"[=+\-@\uff1d\uff0b\uff0d\uff20]"
_FORMULA = re.compile(rf"'*\s*(?:{_BEGINS}|[\t\r])")
_CUT = re.compile(rf"([;\t\r\n][\s\"']*)(?={_BEGINS})")
_MADE_PLAIN = re.compile(rf"([;\t\r\n][\s\"']*)'(?={_BEGINS})")


@dataclass(frozen=True)
class Row:
    """One row as it would be stored; without a pass where it has faults or is left out.

    `doubts` are numbers that are possible but unusual; `same_as` names where the slip is already;
    `left_out` says why a row without faults holds nothing to store.
    """

    number: int
    imported: PassImported | None
    faults: tuple[Fault, ...] = ()
    doubts: tuple[str, ...] = ()
    same_as: str = ""
    left_out: str = ""


class _CellError(ValueError):
    """A cell does not read; the message says what is wanted."""


def neutral(text: str) -> str:
    """Return a text that no spreadsheet runs as a formula; `plain` gives the text back.

    A spreadsheet may cut at a semicolon, a tab or a line's end where the file means a comma.
    """
    if _NUMBER.fullmatch(text):
        return text
    text = _CUT.sub(r"\1'", text)
    return f"'{text}" if _FORMULA.match(text) else text


def plain(text: str) -> str:
    """Return the text that `neutral` made harmless."""
    if text.startswith("'") and _FORMULA.match(text):
        text = text[1:]
    return _MADE_PLAIN.sub(r"\1", text)


def read_rows(
    rows: Iterable[tuple[int, Sequence[str]]],
    told: Told,
    state: State,
    *,
    file: str,
    new_id: Callable[[], str],
    at_home: Callable[[datetime], datetime],
) -> list[Row]:
    """Read the rows of a table.

    Args:
        rows: the number of each row in the file, and its cells.
        told: what each column holds, in the order of the cells.
        state: where the passes that are known already stand.
        file: its name, kept with each pass.
        new_id: gives each pass its id.
        at_home: gives a time without a zone the zone of the place.
    """
    system: System = state.car.units if state.car else "metric"
    known = _Known(state)
    found = []
    for number, cells in rows:
        row = _read(number, cells, told, system, file, new_id, at_home)
        new = row.imported
        if new is not None:
            row = replace(row, same_as=known.same_as(new))
            if not row.same_as:
                known.add(new.when, new.slip, f"row {number}")
        found.append(row)
    return found


def _read(
    number: int,
    cells: Sequence[str],
    told: Told,
    system: System,
    file: str,
    new_id: Callable[[], str],
    at_home: Callable[[datetime], datetime],
) -> Row:
    values: dict[str, Any] = {}
    faults = []
    if len(cells) > len(told) and any(cell.strip() for cell in cells[len(told) :]):
        wanted = f"{len(told)}, as the header has"
        faults.append(Fault(f"row {number}", f"{len(cells)} cells", wanted))
    for (name, one), cell in zip(told.items(), cells, strict=False):
        if one is None or not cell.strip():
            continue
        try:
            values[one.field.goes_to] = _cell(cell.strip(), one, system)
        except _CellError as error:
            faults.append(Fault(f"row {number}, {name}", repr(cell[:40]), str(error)))
    if "date" not in values and not any("date" in fault.wanted for fault in faults):
        faults.append(Fault(f"row {number}, date", "nothing", "the date of the pass"))
    slip = Slip(**{key: values[key] for key in values.keys() & Slip.__dataclass_fields__.keys()})
    asked = questions(slip)
    faults += [
        Fault(f"row {number}", one.why, _wanted(one.offer)) for one in asked if one.impossible
    ]
    if values.get("dew_point", -inf) > (air := values.get("air_temperature", inf)):
        wanted = f"at most the air temperature, {air:g}"
        faults.append(Fault(f"row {number}, dew point", f"{values['dew_point']:g}", wanted))
    doubts = tuple(one.why for one in asked if not one.impossible)
    if faults:
        return Row(number, None, tuple(faults), doubts)
    if not slip.times():
        return Row(number, None, left_out=NO_TIMES)
    key = new_id()
    day, clock = values["date"], values.get("clock")
    when = day if clock is None else day.replace(hour=clock[0], minute=clock[1], second=clock[2])
    noted = {name: values[name] for name in (*READINGS, PRESSURE_KIND) if name in values}
    return Row(
        number,
        PassImported(
            imported=key,
            when=when if when.tzinfo else at_home(when),
            slip=slip,
            conditions=ConditionsNoted(run=key, units=system, **noted) if noted else None,
            setting=values.get("setting", ""),
            file=file,
            row=number,
        ),
        doubts=doubts,
    )


def _wanted(offer: float | None) -> str:
    return "a possible number" if offer is None else f"perhaps {offer:g}"


def _cell(text: str, one: Column, system: System) -> Any:
    match one.field.kind:
        case "date":
            return _date(text, one.unit)
        case "clock":
            return _clock(text)
        case "words":
            return _words(plain(text), one.field.goes_to)
    number = _number(text)
    if one.field.kind == "speed":
        return number * SPEEDS_M_S[one.unit]
    if one.field.goes_to in READINGS:
        return _reading(number, one, system)
    return number


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text) or len(text) > 20:
        raise _CellError("a number such as 1.312")
    return float(text.replace(",", "."))


def _reading(number: float, one: Column, system: System) -> float:
    unit, low, high = READINGS[one.field.goes_to].units[system]
    if one.unit == "F" and unit == "C":
        number = celsius(number, "us")
    elif one.unit == "C" and unit == "F":
        number = fahrenheit(number)
    elif one.unit != unit and one.field.kind == "height":
        number = number * FOOT_M if unit == "m" else number / FOOT_M
    elif one.unit != unit:
        number = number * INHG_HPA if unit == "hPa" else number / INHG_HPA
    if not low <= number <= high:
        raise _CellError(f"a number that is {low} to {high} {unit}")
    return round(number, 6)


def _date(text: str, order: str) -> datetime:
    wanted = _CellError(f"a date written {order}, of {YEARS[0]} to {YEARS[-1]}")
    try:
        date = _iso(text) if order == "y-m-d" else _local(text, order)
    except (ValueError, OverflowError) as error:
        raise error if isinstance(error, _CellError) else wanted from None
    if date.year not in YEARS:
        raise wanted
    return date


def _iso(text: str) -> datetime:
    return datetime.fromisoformat(re.sub(r"[/.]", "-", text[:10]) + text[10:])


def _local(text: str, order: str) -> datetime:
    found = re.match(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})(?:[ T]+(.+))?$", text)
    if found is None:
        raise ValueError
    first, second, year = (int(part) for part in found.groups()[:3])
    month, day = (first, second) if order == "m/d/y" else (second, first)
    clock = _clock(found[4].strip()) if found[4] else (0, 0, 0)
    return datetime(year + 2000 if year < 100 else year, month, day, *clock)


def _clock(text: str) -> tuple[int, int, int]:
    found = _CLOCK.fullmatch(text)
    wanted = "a time of day such as 14:05"
    if found is None:
        raise _CellError(wanted)
    hour, minute, second = (int(part or 0) for part in found.groups()[:3])
    if found[4]:
        if not 1 <= hour <= 12:
            raise _CellError(wanted)
        hour = hour % 12 + (12 if found[4].lower().startswith("p") else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise _CellError(wanted)
    return hour, minute, second


def _words(text: str, goes_to: str) -> Any:
    if goes_to == "lane":
        lanes = {"left": "left", "l": "left", "right": "right", "r": "right"}
        if text.lower() not in lanes:
            raise _CellError("left or right")
        return lanes[text.lower()]
    if goes_to == "marks":
        marks = {part.strip().lower() for part in re.split(r"[;,+]", text) if part.strip()}
        if not marks <= {*MARKS}:
            raise _CellError(f"any of {', '.join(MARKS)}")
        return frozenset(marks)
    if goes_to == PRESSURE_KIND:
        if text.lower() not in PRESSURE_KINDS:
            raise _CellError(", ".join(PRESSURE_KINDS))
        return text.lower()
    if len(text) > 200:
        raise _CellError("at most 200 characters")
    return text


class _Known:
    """The slips there are, found again by their day and their times."""

    def __init__(self, state: State) -> None:
        self._near: dict[tuple[str, int, int], list[tuple[datetime, Slip, str]]] = {}
        for run in state.runs:
            self.add(run.at, slip_of(run), f"pass {run.number}")
        for one in state.imported:
            self.add(one.when, one.slip, f"row {one.row} of {one.file}, imported before")

    def add(self, when: datetime, slip: Slip, name: str) -> None:
        for key, value in slip.times().items():
            at = (key, round(value * 100), when.astimezone(UTC).toordinal())
            self._near.setdefault(at, []).append((when, slip, name))

    def same_as(self, imported: PassImported) -> str:
        """Name the slip that this one repeats; empty where it is new."""
        day = imported.when.astimezone(UTC).toordinal()
        for key, value in imported.slip.times().items():
            beside = product(range(-1, 2), range(-1, 2))
            for at in ((key, round(value * 100) + time, day + late) for time, late in beside):
                for when, slip, name in self._near.get(at, ()):
                    if is_same(imported.when, imported.slip, when, slip):
                        return name
        return ""


def is_same(when: datetime, slip: Slip, other_when: datetime, other: Slip) -> bool:
    """Tell whether two slips are one: within a day, no number differs, and two agree.

    One number alone is enough where the clock agrees to two minutes.
    """
    apart = abs(when - other_when)
    if apart >= timedelta(days=1):
        return False
    here, there = slip.numbers(), other.numbers()
    shared = here.keys() & there.keys()
    agree = all(
        isclose(
            here[key],
            there[key],
            rel_tol=0,
            abs_tol=SAME_SPEED_M_S if key.endswith("m_s") else SAME_TIME_S,
        )
        for key in shared
    )
    enough = 1 if apart <= timedelta(minutes=2) else 2
    return agree and len(shared) >= enough
