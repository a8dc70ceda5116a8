"""Tables and bars of a what-if in plain characters: told apart by their marks and words."""

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from rules.units import UNITS, Quantity, System
from rules.wording import ends, say
from tui.pages.rows import below, packed, table

if TYPE_CHECKING:
    from rules.launch.what_if import Number, NumberRange, Travel, WhatIf

MARKS = {"baseline": "b", "today": "o", "proposed": "x"}
BAR_NAME, MARK_WITH_NAME, LEAST_BAR = 18, 12, 8
MOST = 0.9
UNSURE = 0.1
QUANTITIES = {
    "length": Quantity.LENGTH,
    "force": Quantity.FORCE,
    "speed": Quantity.PISTON_SPEED,
}


def travel_drawing(found: "WhatIf", system: System, width: int) -> list[str]:
    """Draw travel used against travel there is at the same settings, as bars with their range."""
    names = names_of(found)
    told = {
        (travel.name, name): _travel_told(travel, name, system)
        for travel in found.travel
        for name in names
    }
    tail = max(map(len, told.values()), default=0)
    label = BAR_NAME + (
        MARK_WITH_NAME if width - BAR_NAME - MARK_WITH_NAME - tail > LEAST_BAR else 2
    )
    room = width - label - tail - 2
    rows = []
    for travel in found.travel:
        for name in names:
            first = travel.name if name == names[0] else ""
            mark = f"{MARKS[name]} {name}" if label > BAR_NAME + 2 else MARKS[name]
            bar = _bar(travel, name, names, room) + " " if room >= LEAST_BAR else ""
            head = f"{f'{first:<{BAR_NAME}}{mark}':<{label}}"
            row = f"{head}{bar}{told[travel.name, name]}"
            rows += (
                [row]
                if len(row) <= width
                else below(f"{travel.name} {mark}", [told[travel.name, name]], width)
            )
    return rows


def _travel_told(travel: "Travel", name: str, system: System) -> str:
    """Say what is used of what there is, and that the stop is met, or met by some."""
    used, there = travel.used[name], travel.there_by[name].middle or 0.0
    meets = travel.meets[name] or 0.0
    stop = ": stop" if meets >= MOST else ": stop?" if meets >= 1.0 - MOST else ""
    unit = unit_of("length", system)
    return f"{_range(used, 'length', system)} of {shown(there, 'length', system)} {unit}{stop}"


def _bar(travel: "Travel", name: str, names: Sequence[str], room: int) -> str:
    """Draw one bar, its stop where it is at these settings; one scale for all of a travel."""
    scale = max(
        *(travel.there_by[one].middle or 0.0 for one in names),
        *(travel.used[one].high or 0.0 for one in names),
        1e-6,
    )
    stop = round(room * (travel.there_by[name].middle or 0.0) / scale)
    used = travel.used[name]
    full, most = (round(room * (one or 0.0) / scale) for one in (used.low, used.high))
    bar = ("#" * full + "-" * (most - full)).ljust(room + 1)
    return f"{bar[:stop]}|{bar[stop + 1 :]}"


def names_of(found: "WhatIf") -> list[str]:
    """Return the sets of settings that differ: the baseline only where it is not today's."""
    names = ["today", "proposed"]
    if found.settings.get("baseline", found.settings["today"]) != found.settings["today"]:
        names.append("baseline")
    return names


def number_lines(found: "WhatIf", system: System, width: int) -> list[str]:
    """Return the numbers of the launch: today, proposed, and what the change does.

    Where there is little room today's column goes: proposed and change say the same.
    """
    wide = width >= 30 + 3 * 15 + 2
    head = ["today", "proposed", "change"] if wide else ["proposed", "change"]
    rows = [
        (
            f"{say(number.name, system)}, {unit_of(number.kind, system)}",
            [
                *(_range(number.by[name], number.kind, system) for name in head[:-1]),
                _change(number, system),
            ],
        )
        for number in found.numbers
    ]
    told = table(head, rows, width, (29, 15, 15, 16) if wide else (27, 14, 14))
    if any(_unsure(number) for number in found.numbers):
        told.append("? the model is unsure whether it rises or falls")
    return told


def key_line(found: "WhatIf", width: int) -> str:
    """Say which letter is which on paper."""
    marks = [f"{MARKS[name]} {name}" for name in names_of(found)]
    hidden = "x hides o, o hides b" if len(names_of(found)) > 2 else "x hides o"
    return "   ".join([*marks, ". edges of 8 in 10 cars", f"({hidden})"])[:width]


def travel_key(found: "WhatIf", width: int) -> list[str]:
    """Say how the bars are read."""
    stop = any(one >= 1.0 - MOST for travel in found.travel for one in travel.meets.values() if one)
    parts = ["# used by 9 of 10 cars", "- by 1 of 10", "| the stop"]
    parts += ["stop: met by 9 of 10", "stop?: by 1 of 10"] if stop else []
    return packed(parts, width)


def basis_lines(found: "WhatIf", width: int) -> list[str]:
    """Say what is left out, what went beyond the model, and what the numbers lean on."""
    texts = [
        f"Not modelled: {', '.join(found.not_modelled)}.",
        f"Ranges: 10 to 90 % of {found.cars} cars like this one{_chosen(found.passes)}.",
    ]
    each = found.lost or {}
    lost = {name: sum(each[name].values()) for name in names_of(found) if each.get(name)}
    if lost:
        told = ", ".join(f"{name} {count} of {found.cars}" for name, count in lost.items())
        texts.append(f"Went over or beyond the model, no numbers: {told}.")
    if found.silent:
        texts.append(f"Not in the model, or not measured that far: {', '.join(found.silent)}.")
    if found.unknown:
        texts.append(f"Not in the car file, a typical car's taken: {_keys(found.unknown)}.")
    if found.guessed:
        texts.append(f"Guessed: {_keys(found.guessed)}.")
    return wrap(" ".join(texts), width)


def _chosen(passes: int) -> str:
    if not passes:
        return ""
    return f" that did what {passes} pass{'es' if passes > 1 else ''} showed"


def shown(value: float, kind: str, system: System) -> str:
    """Write an SI number of a kind in the crew's unit, without the unit."""
    size = 1.0 if kind == "time" else UNITS[QUANTITIES[kind], system].si
    digits = _places(kind, system)
    # Adding zero turns a rounded -0 into 0.
    return f"{round(value / size, digits) + 0.0:.{digits}f}"


def range_shown(low: float, high: float, kind: str, system: System) -> str:
    """Write an SI range of a kind in the crew's unit, without the unit."""
    low_end, high_end = (shown(value, kind, system) for value in (low, high))
    return ends(low_end, high_end, _places(kind, system))


def _places(kind: str, system: System) -> int:
    if kind == "time":
        return 3
    return 1 if UNITS[QUANTITIES[kind], system].name == "in" else 0


def unit_of(kind: str, system: System) -> str:
    """Return the unit a kind of number is shown in."""
    return "s" if kind == "time" else _unit(QUANTITIES[kind], system)


def _range(found: "NumberRange", kind: str, system: System) -> str:
    if found.low is None or found.high is None:
        return "none"
    return range_shown(found.low, found.high, kind, system)


def _change(number: "Number", system: System) -> str:
    low, high = number.change.low, number.change.high
    if low is None or high is None:
        return "-"
    first, last = (shown(value, number.kind, system) for value in (low, high))
    if float(first) == float(last) == 0.0:
        return "none"
    signed = [text if float(text) <= 0.0 else f"+{text}" for text in (first, last)]
    ends = signed[0] if signed[0] == signed[1] else f"{signed[0]} to {signed[1]}"
    return ends + ("?" if _unsure(number) else "")


def _unsure(number: "Number") -> bool:
    return number.rises is not None and UNSURE < number.rises < 1.0 - UNSURE


def _keys(keys: Sequence[str]) -> str:
    """Return keys of the car file as they read best: front bump travel, cg height."""
    words = (key.removeprefix("geometry.").removeprefix("masses.") for key in keys)
    return ", ".join(word.replace(".", " ").replace("_", " ") for word in words)


def _unit(quantity: Quantity, system: System) -> str:
    return UNITS[quantity, system].name
