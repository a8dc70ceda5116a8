"""Describing the knobs of an axle: which there are, clicks from end to end, today's count."""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from rules.crew.sheets.sheet import Filling, SheetField
from rules.question import UNKNOWN, Choice, Given
from rules.typed import amount

KNOBS: Mapping[str, tuple[str, str, str]] = {
    "rebound": ("Rebound", "rebound", "unknown"),
    "compression": ("Compression, one knob", "compression", "unknown"),
    "low-speed compression": ("Low-speed compression (bleed)", "compression", "low"),
    "high-speed compression": ("High-speed compression", "compression", "high"),
    "both": ("One knob that moves both ways", "both", "unknown"),
}
NONE = "none"
AGREED_END = "full soft"
MARKS = 8
_RANGE = re.compile(r"(?P<amount>[0-9]+(?:[ -][0-9]+/[0-9]+)?|[0-9]+/[0-9]+)\s*(?P<unit>[a-z]*)")
_CLICKS = frozenset({"", "click", "clicks"})
_TURNS = frozenset({"turn", "turns"})


@dataclass(frozen=True)
class EndToEnd:
    """What a knob has from end to end: marks (clicks, or eighths of a turn) and their kind."""

    marks: int
    turns: bool

    @property
    def per_unit(self) -> int:
        """Marks in one unit of the counts."""
        return MARKS if self.turns else 1


def count_from_field() -> SheetField:
    """Ask from which end counts are given; where nobody knows, full soft is agreed."""
    return SheetField(
        "count from", "Counted from", "From which end does the crew count clicks?", "one",
        choices=(Choice("full soft", "From full soft"), Choice("full hard", "From full hard")),
        hint="The same end for every knob of the car. Don't know: full soft is agreed.",
    )  # fmt: skip


def firmer_field() -> SheetField:
    """Ask which way a knob gets firmer."""
    return SheetField(
        "firmer turn", "Firmer is", "Which way is firmer, looking at the knob?", "one",
        choices=(Choice("clockwise", "Clockwise"), Choice("anticlockwise", "Anticlockwise")),
    )  # fmt: skip


def end_of(now: Filling) -> str:
    """Return the end that counts are given from; full soft where nobody has said."""
    return now.said("count from") or AGREED_END


def knob_fields(now: Filling, axle: str, there: Collection[str] = ()) -> Iterator[SheetField]:
    """Ask for the knobs of one axle: the same on both sides. there: ids that it has already."""
    yield SheetField(
        f"{axle} knobs",
        f"{axle.capitalize()} knobs",
        f"What can be turned on the {axle} dampers?",
        "many",
        choices=(
            *(Choice(key, label, _taken(key, there)) for key, (label, _, _) in KNOBS.items()),
            Choice(NONE, "Nothing: no knob on them"),
        ),
        hint="Mark every knob, then Enter. Both sides alike. Enter alone: don't know.",
        default=UNKNOWN,
        fault=_combination,
    )
    for knob in marked(now, axle):
        name = f"{axle} {knob}" if knob != "both" else f"{axle} knob"
        yield SheetField(
            f"{axle} {knob} range",
            f"{name}: range",
            f"{name.capitalize()}: how many clicks from end to end?",
            "text",
            hint='Count by hand, never force an end. Without clicks: "3 turns".',
            longest=20,
            fault=_range_fault,
        )
        whole = read_range(now.said(f"{axle} {knob} range"))
        if whole is None:
            continue
        end = end_of(now)
        yield SheetField(
            f"{axle} {knob} count",
            f"{name}: count",
            f"{name.capitalize()}: today's count from {end}?",
            "text",
            hint=f'{_wanted(whole)} Left and right apart: "8 / 10".',
            longest=20,
            fault=partial(_count_fault, whole),
        )


def marked(now: Filling, axle: str) -> tuple[str, ...]:
    """Return the knobs that were marked, in the table's order."""
    said = now.many(f"{axle} knobs")
    return tuple(key for key in KNOBS if key in said)


def uncounted(now: Filling) -> tuple[str, ...]:
    """Return the knobs that cannot be in the file yet: nobody knows their range or their count."""
    return tuple(
        f"{axle} {knob}"
        for axle in ("front", "rear")
        for knob in marked(now, axle)
        if any(now.answers.get(f"{axle} {knob} {what}") == UNKNOWN for what in ("range", "count"))
    )


def agreed(now: Filling) -> Iterator[str]:
    """Say that the crew counts from full soft because nobody knew of another end."""
    if now.answers.get("count from") == UNKNOWN:
        yield f"Counts are from {AGREED_END}, by agreement: nobody knew of another end."


def not_looked_at(now: Filling) -> tuple[str, ...]:
    """Return the axles of whose dampers nobody knows what can be turned."""
    return tuple(
        axle
        for axle in ("front", "rear")
        if now.answers.get(f"{axle} knobs") in (UNKNOWN, (UNKNOWN,))
    )


def not_yet(now: Filling) -> Iterator[str]:
    """Say which knobs are not in the file yet, and what brings them in."""
    if axles := not_looked_at(now):
        yield (
            f"Not known: what can be turned on the {' and '.join(axles)} dampers, and so no knob "
            "of theirs is advised. Look; then add what is there in the shop: j, 1, Add a knob."
        )
    knobs = uncounted(now)
    if knobs:
        yield (
            f"Not in the file yet: {', '.join(knobs)}. Count to the own end and from end to end, "
            "by hand and without force; then add it in the shop: j, 1, Add a knob."
        )


def knob_tables(now: Filling, axle: str) -> dict[str, list[dict[str, object]]]:
    """Return the [[dampers.knobs]] of both corners of an axle, as a car file has them."""
    sides: dict[str, list[dict[str, object]]] = {f"left {axle}": [], f"right {axle}": []}
    for knob in marked(now, axle):
        whole = read_range(now.said(f"{axle} {knob} range"))
        counts = read_counts(now.said(f"{axle} {knob} count"), whole) if whole else None
        if whole is None or counts is None:
            continue
        _, controls, speed = KNOBS[knob]
        for corner, count in zip(sides, counts, strict=True):
            table: dict[str, object] = {"id": knob, "controls": controls, "speed": speed}
            table |= (
                {"turns": _number(whole.marks, MARKS), "marks_per_turn": MARKS}
                if whole.turns
                else {"clicks": whole.marks}
            )
            table |= {
                "count_from": end_of(now),
                "start": _number(count, whole.per_unit),
                "firmer_turn": now.said("firmer turn") or "unknown",
            }
            if corner.startswith("right") and counts[0] != counts[1]:
                table["offset"] = _number(counts[1] - counts[0], whole.per_unit)
            sides[corner].append(table)
    return sides


def read_range(text: str) -> EndToEnd | None:
    """Return what a knob has from end to end; None for what is no range."""
    found = _RANGE.fullmatch(text.strip().lower())
    if found is None:
        return None
    amount = _amount(found["amount"])
    turns = found["unit"] in _TURNS
    if amount is None or not (turns or found["unit"] in _CLICKS):
        return None
    marks = amount * (MARKS if turns else 1)
    high = 30 * MARKS if turns else 200
    if marks.denominator != 1 or not 1 <= marks <= high:
        return None
    return EndToEnd(int(marks), turns)


def read_counts(text: str, whole: EndToEnd) -> tuple[int, int] | None:
    """Return today's marks, left and right; one count stands for both. None for what is none."""
    parts = re.split(r"\s+/\s+|\s*[,;]\s*|\s+and\s+", text.strip().lower())
    counts = [_marks(part, whole) for part in parts]
    left, right = counts[0], counts[-1]
    if len(counts) > 2 or left is None or right is None:
        return None
    return left, right


def _marks(text: str, whole: EndToEnd) -> int | None:
    other = _CLICKS if whole.turns else _TURNS
    number = re.sub(r"\s*(clicks?|turns?)$", "", text)
    amount = _amount(number)
    if amount is None or text[len(number) :].strip() in other - {""}:
        return None
    marks = amount * whole.per_unit
    return int(marks) if marks.denominator == 1 and 0 <= marks <= whole.marks else None


def _amount(text: str) -> Fraction | None:
    try:
        return amount(re.split(r"[ -]+", text.strip()))
    except ValueError:
        return None


def _number(marks: int, per_unit: int) -> int | float:
    return marks // per_unit if marks % per_unit == 0 else marks / per_unit


def _wanted(whole: EndToEnd) -> str:
    if whole.turns:
        return f"0 to {_number(whole.marks, MARKS):g} turns, in eighths, such as 1 3/8."
    return f"0 to {whole.marks}."


def _range_fault(value: Given) -> str:
    if read_range(str(value)) is not None:
        return ""
    return f"found {str(value)!r}; wanted whole clicks from 1 to 200, or turns such as 2 1/2 turns"


def _count_fault(whole: EndToEnd, value: Given) -> str:
    if read_counts(str(value), whole) is not None:
        return ""
    return f"found {str(value)!r}; wanted {_wanted(whole)[:-1]}, left and right with blanks: 8 / 10"


def _taken(knob: str, there: Collection[str]) -> str:
    """Say why an axle with these knobs takes no such knob more; empty where it does."""
    if knob in there:
        return "this axle has it"
    return "this axle has the other kind" if _split_twice({knob, *there}) else ""


def _combination(value: Given) -> str:
    marked = set(value) if isinstance(value, tuple) else {str(value)}
    if NONE in marked and len(marked) > 1:
        return "found nothing and a knob marked together; wanted one or the other"
    if _split_twice(marked):
        return "found one knob and a split one; wanted compression, or low and high speed"
    return ""


def _split_twice(knobs: Collection[str]) -> bool:
    """Tell whether one compression knob stands beside one for low or for high speed."""
    split = {"low-speed compression", "high-speed compression"}
    return "compression" in knobs and bool(split.intersection(knobs))
