"""The numbers of a car as plain lines: on the screen a group at a time, on paper all together."""

import json
from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from rules import __version__
from rules.car.usual import FACTS
from rules.launch.forecast_words import measure_words
from rules.units import FOOT_M, POUND_FORCE_N, UNITS, Quantity, System
from rules.wording import say
from tui.pages.rows import Row, table

if TYPE_CHECKING:
    from rules.launch.car_number import CarNumber, Group, Kind
    from rules.launch.car_numbers import CarNumbers

GROUPS: "tuple[Group, ...]" = ("standing", "damping", "landing")
TITLES = {
    "standing": "standing",
    "damping": "damping ratio",
    "landing": "landing, from its launch",
}
NAME, CELL, ROOMY = 29, 18, 29 + 2 * 18 + 10
STROKE, RATIO = 18, 13
PAPER_WIDTH = 78
REST = " ... rest: setdown numbers"
WORDS = {"measured": "measured", "guessed": "guessed", "unknown": "typical"}
CAVEATS = {
    "standing": "",
    "damping": (
        "Damping ratio at {2 in/s|51 mm/s} at the wheels; 1 is critical. "
        "Full soft, full hard: every knob of that stroke at that end."
    ),
    "landing": "Clearance: the lowest part taken to stand at the front axle, the rear at rest.",
}
_QUANTITIES = {
    "force": Quantity.FORCE,
    "mass": Quantity.MASS,
    "rate": Quantity.SPRING_RATE,
    "speed": Quantity.PISTON_SPEED,
    "length": Quantity.LENGTH,
}
_SAME = {"g": ("g", 2), "percent": ("%", 0), "frequency": ("Hz", 2), "ratio": ("", 2)}
_DIGITS = {"in": 1, "N/mm": 1}


def group_lines(
    found: "Mapping[str, CarNumbers]", group: "Group", system: System, width: int, height: int
) -> list[str]:
    """Return one group whole: its table, what it means, and what it leans on.

    found: by "today" and, where a turn is tried, "proposed".
    What the numbers mean comes first, so that a low window never loses it.
    """
    table = _table(found, group, system, width)
    notes = wrap(" ".join(_notes(list(found.values())[-1], group, system)), width)
    room = height - len(table)
    if len(notes) > room:
        notes = notes[: max(0, room)]
        if notes:
            notes[-1] = f"{notes[-1][: width - len(REST)].rstrip('., ')}{REST}"
    return [*table, *notes][:height]


def paper(found: "CarNumbers", system: System) -> str:
    """Return every group, one under the other."""
    blocks = []
    for group in GROUPS:
        table = _table({"today": found}, group, system, PAPER_WIDTH)
        notes = wrap(" ".join(_notes(found, group, system)), PAPER_WIDTH)
        blocks.append("\n".join((say(f"-- {TITLES[group]}", system), *table, *notes)))
    return "\n\n".join(blocks)


def as_json(car_id: str, found: "CarNumbers") -> str:
    """Return it as JSON, in SI."""
    from rules.launch.car_numbers import as_dict

    return json.dumps({"version": __version__, "car": car_id, **as_dict(found)}, indent=2)


def shown(value: float, kind: "Kind", system: System) -> str:
    """Write an SI number of a kind in the crew's unit, without the unit."""
    _, size, digits = unit_of(kind, system)
    # Adding zero turns a rounded -0 into 0.
    return f"{round(value / size, digits) + 0.0:.{digits}f}"


def unit_of(kind: "Kind", system: System) -> tuple[str, float, int]:
    """Return a kind's unit: its name, its size in SI, and the digits it is shown to."""
    us = system == "us"
    if kind in _SAME:
        name, digits = _SAME[kind]
        return name, 1.0, digits
    if kind == "time":
        return "s", 1.0, 1
    if kind == "distance":
        return ("ft", FOOT_M, 0) if us else ("m", 1.0, 0)
    if kind == "energy":
        return ("ft lb", FOOT_M * POUND_FORCE_N, 0) if us else ("J", 1.0, 0)
    unit = UNITS[_QUANTITIES[kind], system]
    return unit.name, unit.si, _DIGITS.get(unit.name, 0)


def _table(
    found: "Mapping[str, CarNumbers]", group: "Group", system: System, width: int
) -> list[str]:
    names = list(found) if width >= ROOMY else list(found)[-1:]
    each = {name: [one for one in found[name].numbers if one.group == group] for name in names}
    last = each[names[-1]]
    if group == "damping":
        return _damping_table(each, system, width)
    rows: list[Row] = []
    for place, one in enumerate(last):
        cells = [_cell(each[by][place], system) for by in names]
        rows.append(_row(one, cells, system, width - NAME))
    return table([*names, ""], rows, width, (NAME - 1, *(CELL - 1 for _ in names), 0))


def _row(one: "CarNumber", cells: Sequence[str], system: System, room: int) -> Row:
    """Return a number's row: its cells and how well it is known, or what to measure for it."""
    name = say(one.name, system) + (f", {one.at}" if one.group == "standing" and one.at else "")
    return (name, [*cells, WORDS[one.known]] if _is_known(one) else _wanted(one, system, room))


def _damping_table(
    each: "Mapping[str, Sequence[CarNumber]]", system: System, width: int
) -> list[str]:
    """Return a row for each stroke: as it stands, and at each end of its knobs."""
    ends = ("full soft", "full hard")
    rows: list[Row] = []
    last = list(each.values())[-1]
    for stroke in dict.fromkeys(one.name for one in last):
        of = {one.at: one for one in last if one.name == stroke}
        now = [
            _cell(one, system)
            for ones in each.values()
            for one in ones
            if (one.name, one.at) == (stroke, "today")
        ]
        there = [_cell(of[end], system) if end in of else "no knob" for end in ends]
        rows.append(_row(of["today"], [*now, *there], system, width - STROKE))
    head = (*each, *ends)
    return table([*head, ""], rows, width, (STROKE - 1, *(RATIO - 1 for _ in head), 0))


def _is_known(one: "CarNumber") -> bool:
    return one.range is not None or not one.measure


def _cell(one: "CarNumber", system: System) -> str:
    """Write a number with its unit: one figure where it is measured, a range where it is not."""
    unit = unit_of(one.kind, system)[0]
    if one.range is None or one.range.low is None or one.range.high is None:
        return "none"
    if one.known == "measured" and one.on_paper is not None:
        return f"{shown(one.on_paper, one.kind, system)} {unit}".rstrip()
    low, high = (shown(end, one.kind, system) for end in (one.range.low, one.range.high))
    return f"{low if low == high else f'{low} to {high}'} {unit}".rstrip()


def _wanted(one: "CarNumber", system: System, room: int) -> str:
    words = [say(_measured(key), system) for key in one.measure]
    more = f" +{len(words) - 1}" if len(words) > 1 else ""
    for told in (", ".join(words), f"{words[0]}{more}", words[0]):
        if len(f"measure {told}") <= room:
            return f"measure {told}"
    return f"measure {words[0]}"


def _measured(key: str) -> str:
    return (key in FACTS and FACTS[key].short) or measure_words(key)


def _notes(found: "CarNumbers", group: "Group", system: System) -> Iterator[str]:
    ones = [one for one in found.numbers if one.group == group]
    for one in ones:
        if one.says:
            yield say(f"{one.name.capitalize()}: {one.says}.", system)
    if group == "landing":
        if found.lost:
            lost = sum(found.lost.values())
            yield f"Went over or beyond the model, no numbers: {lost} of {found.cars} cars."
        if not found.missing:
            yield f"Not modelled: {', '.join(found.not_modelled)}."
    if CAVEATS[group]:
        yield say(CAVEATS[group], system)
    keys = tuple(dict.fromkeys(key for one in ones for key in one.measure))
    if keys:
        yield say(f"Measure next: {', '.join(_measured(key) for key in keys)}.", system)
    if any(one.range is not None and one.known == "unknown" for one in ones):
        yield "Typical: hangs on what the car file does not say, a typical car's taken."
    if any(one.range is not None for one in ones):
        chosen = f", chosen by {found.passes} of its passes" if found.passes else ""
        yield f"Ranges: 10 to 90 % of {found.cars} cars like this one{chosen}."
    if found.silent:
        yield say(f"Not in the model, or not measured that far: {', '.join(found.silent)}.", system)
