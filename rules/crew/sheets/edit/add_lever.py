"""A lever that the car file lacks: a pressure, a height, an rpm, or positions with names."""

import re
from collections.abc import Iterator, Mapping
from functools import partial
from math import inf
from typing import get_args

from rules.car.adjusters import adjusters
from rules.car.edits import Edit, Plain, in_file
from rules.car.model import CORNERS, USUAL_MINUTES, LeverKind
from rules.crew.sheets.asking import YES_NO
from rules.crew.sheets.edit.lever_values import in_unit, wanted_in
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.question import Choice, Given
from rules.typed import UnreadableError, Wanted, read
from rules.wording import say

NUMBERS, NAMES = "numbers", "names"
KINDS: tuple[LeverKind, ...] = get_args(LeverKind)
_AXLES = {"front": "Front", "rear": "Rear", "car": "The whole car"}
# The unit that each kind is mostly set in, US and metric: common practice, no source.
_UNITS: Mapping[str, tuple[str, str]] = {
    "tyre pressure": ("psi", "kPa"), "ride height": ("in", "mm"), "travel limiter": ("in", "mm"),
    "launch rpm": ("rpm", "rpm"), "preload": ("flats", "flats"),
}  # fmt: skip
_MINUTES = Wanted("Minutes", None, 1, 600, "min")
_SLUG = re.compile(r"[a-z0-9]+([ -][a-z0-9]+)*")
_NUMBERS = ("step", "low", "high", "makers minimum", "start")


def lever_questions(now: Filling) -> Iterator[SheetField]:
    """Ask for everything that a lever of the car file has."""
    yield SheetField(
        "kind", "Kind", "What does the lever set?", "one", unknown=False,
        choices=tuple(Choice(kind, kind.capitalize()) for kind in KINDS),
    )  # fmt: skip
    yield SheetField(
        "axle", "Axle", "Where does it act?", "one", unknown=False,
        choices=tuple(Choice(axle, words) for axle, words in _AXLES.items()),
    )  # fmt: skip
    kind = now.said("kind")
    yield SheetField(
        "id", "Name", "What does the crew call it?", "text", unknown=False, longest=32,
        default=_called(now), fault=partial(_name_fault, now),
    )  # fmt: skip
    yield SheetField(
        "sort", "Set by", "Is it set by a number, or are there positions with names?", "one",
        choices=(Choice(NUMBERS, "By a number"), Choice(NAMES, "Positions with names")),
        default=NUMBERS if kind in _UNITS else NAMES, unknown=False,
    )  # fmt: skip
    if now.said("sort") == NAMES:
        yield from _by_name(now)
    elif now.said("sort") == NUMBERS:
        yield from _by_number(now)
    yield SheetField(
        "minutes", "Minutes", "How many minutes does a change of it take?",
        wanted=_MINUTES, hint=f"Both sides. {_usual(now)} is taken where nobody knows.",
        fault=_whole_fault,
    )  # fmt: skip
    yield SheetField(
        "lift", "Car lifted", "Must the car be lifted for it?", "one", choices=YES_NO,
        hint="Don't know counts as yes: a lifted car is never hurried.",
    )  # fmt: skip
    yield SheetField("tools", "Tools", "What has to be at hand?", "text", longest=40)


def _by_name(now: Filling) -> Iterator[SheetField]:
    yield SheetField(
        "positions", "Positions", "Which positions are there?", "text", unknown=False, longest=300,
        hint="From the lowest, lightest or softest up, with ; between: holes A; holes B; holes C.",
        fault=_positions_fault,
    )  # fmt: skip
    names = _positions(now.said("positions"))
    if names:
        yield SheetField(
            "start", "Today", "Where does it stand today?", "one", unknown=False,
            choices=tuple(Choice(name, name) for name in names),
        )  # fmt: skip


def _by_number(now: Filling) -> Iterator[SheetField]:
    kind = now.said("kind")
    usual = _UNITS.get(kind, ("", ""))[now.system == "metric"]
    yield SheetField(
        "unit", "Unit", "In which unit?", "text", default=usual or None, longest=12,
        hint="As read off the gauge, the tape or the dial.", unknown=not usual,
    )  # fmt: skip
    if "unit" not in now.answers:
        return
    yield _number(now, "step", "Step", "Its smallest step?", "1 where nobody knows.", low=1e-4)
    yield _number(now, "low", "Lowest", "How low does it go?", "Its end, or the crew's own limit.")
    yield _number(
        now, "high", "Highest", "How high does it go?", "Its end, or the crew's own limit.",
        fault=partial(_order_fault, now, "low", "high"),
    )  # fmt: skip
    if kind == "tyre pressure":
        yield _number(
            now, "makers minimum", "Maker's minimum", "The tyre maker's minimum?",
            "Off the maker's sheet. Without it less pressure is never advised.",
        )  # fmt: skip
    yield _number(
        now, "start", "Today", "Where does it stand today?", "Read or measured now.",
        fault=partial(_start_fault, now),
    )  # fmt: skip


def _number(
    now: Filling, key: str, label: str, question: str, hint: str, *,
    low: float = -inf, fault: partial[str] | None = None,
) -> SheetField:  # fmt: skip
    wanted = wanted_in(now.said("unit"), label, now.system)
    bounded = Wanted(label, wanted.quantity, low, unit=wanted.unit)
    return SheetField(
        key, label, question, wanted=bounded, hint=hint, fault=fault or (lambda value: ""),
    )  # fmt: skip


def _in_unit(now: Filling, key: str, text: str = "") -> float | None:
    """Return a number of the lever in its own unit."""
    return in_unit(text or now.said(key), now.said("unit"), now.system)


def _order_fault(now: Filling, below: str, key: str, typed: Given) -> str:
    low, high = _in_unit(now, below), _in_unit(now, key, str(typed))
    if low is None or high is None or low < high:
        return ""
    return f"found {typed}; wanted above the lowest, {low:g}"


def _start_fault(now: Filling, typed: Given) -> str:
    start = _in_unit(now, "start", str(typed))
    low, high, least = (_in_unit(now, key) for key in ("low", "high", "makers minimum"))
    if start is None:
        return ""
    if low is not None and start < low:
        return f"found {typed}; wanted at least the lowest, {low:g}"
    if high is not None and start > high:
        return f"found {typed}; wanted at most the highest, {high:g}"
    if least is not None and start < least:
        return f"found {typed}; wanted at least the tyre maker's minimum, {least:g}"
    return ""


def _called(now: Filling) -> str | None:
    kind, axle = now.said("kind"), now.said("axle")
    name = say(kind if axle == "car" else f"{axle} {kind}", now.system)
    return name if kind and axle and not _name_fault(now, name) else None


def _id(now: Filling) -> str:
    """Return the name as the log has it."""
    return now.said("id").lower()


def _name_fault(now: Filling, typed: Given) -> str:
    name = str(typed).lower()
    if not _SLUG.fullmatch(name):
        return f"found {name!r}; wanted letters and digits, with single - or space between"
    if name in adjusters(now.car) or name.startswith(CORNERS):
        return f"found {name!r}, which the car has or may have as a knob; wanted another name"
    return ""


def _positions(text: str) -> tuple[str, ...]:
    parts = text.split(";") if ";" in text else text.split(",")
    return tuple(name for part in parts if (name := part.strip()))


def _positions_fault(typed: Given) -> str:
    names = _positions(str(typed))
    if len(names) < 2:
        return f"found {typed!r}; wanted two positions or more, with ; between"
    if len(set(names)) < len(names):
        return f"found {typed!r}, one of them twice; wanted each position once"
    long = next((name for name in names if len(name) > 40), None)
    return f"found {long!r}; wanted at most 40 characters each" if long else ""


def _whole_fault(typed: Given) -> str:
    try:
        number = read(str(typed), _MINUTES, "metric")
    except UnreadableError as error:
        return str(error)
    return "" if number is None or number.is_integer() else f"found {typed}; wanted whole minutes"


def lever_result(now: Filling) -> Result:
    """Say the lever that comes into the file, and what nobody knew of it."""
    if "tools" not in now.answers:
        return Result()
    if _id(now) in adjusters(now.car):
        return Result((f"{_id(now)}: is in the file already.",))
    if not now.said("start"):
        where = "Read or measure where it stands, then add it here."
        return Result((f"{_id(now)}: not in the file yet. {where}",))
    table = _table(now)
    edit = Edit(("levers", len(now.car.levers)), table, f"Lever {_id(now)}")
    number = None if now.said("sort") == NAMES else _in_unit(now, "start")
    start = now.said("start") if number is None else f"{number:g} {now.said('unit')}".strip()
    says = [f"{_id(now)}: stands at {start}; the baseline in force takes it in as such."]
    if now.said("kind") == "tyre pressure" and "makers_minimum" not in table:
        says.append("Without the tyre maker's minimum less pressure is never advised.")
    if not now.said("minutes"):
        says.append(f"Nobody knows the minutes: {_usual(now)} are taken, as is usual for it.")
    if not now.said("lift"):
        says.append("Nobody knows whether the car must be lifted: taken as yes, never hurried.")
    return Result(tuple(says), edits=(edit,))


def _table(now: Filling) -> dict[str, object]:
    """Return the [[levers]] table, as a car file has it."""
    table: dict[str, object] = {key: now.said(key) for key in ("id", "kind", "axle")}
    if now.said("sort") == NAMES:
        table["positions"] = list(_positions(now.said("positions")))
        table["start"] = now.said("start")
    else:
        table["unit"] = now.said("unit")
        for key in _NUMBERS:
            number = _in_unit(now, key)
            if number is not None:
                table[key.replace(" ", "_")] = _plain(number)
    said = read(now.said("minutes"), _MINUTES, now.system) if now.said("minutes") else None
    table["minutes"] = _usual(now) if said is None else int(said)
    table["lift_car"] = now.said("lift") != "no"
    if now.said("tools"):
        table["tools"] = now.said("tools")
    return table


def _usual(now: Filling) -> int:
    """Return the minutes that a change of such a lever usually takes."""
    return USUAL_MINUTES.get(now.said("kind"), 240)


def _plain(number: float) -> Plain:
    return in_file(number, None, "metric")
