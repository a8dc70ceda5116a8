"""Where a job on dampers is done, and the counts that are read there."""

from collections.abc import Iterator
from functools import partial

from rules.car.adjusters import Adjuster
from rules.car.damper_record import Stroke
from rules.car.model import CORNERS, Corner
from rules.car.valvings import STROKES
from rules.crew.sheets.sheet import Filling, SheetField
from rules.log.dampers import corners_of
from rules.question import Choice, Given

BOOK, OTHER = "as in the book", "other"
LATER = "later"
_BY_HAND = "Counted from the crew's own end, by hand and without force."


def where_field(question: str) -> SheetField:
    """Ask at which corners it is done."""
    axles = (Choice(axle, f"{axle.capitalize()}, both sides") for axle in ("front", "rear"))
    single = (Choice(corner, f"{corner.capitalize()} alone") for corner in CORNERS)
    return SheetField(
        "where", "Where", question, "one", choices=(*axles, *single), unknown=False,
        hint="Both sides of an axle are one job.",
    )  # fmt: skip


def corners(now: Filling) -> tuple[Corner, ...]:
    """Return the corners of the job."""
    where = now.said("where")
    return corners_of(where) if where in ("front", "rear") else _one(where)


def _one(where: str) -> tuple[Corner, ...]:
    return tuple(corner for corner in CORNERS if corner == where)


def strokes_of(now: Filling) -> tuple[Stroke, ...]:
    """Return the strokes of the job; none before they are said."""
    return tuple(one for one in STROKES if now.said("stroke") in (one, "both"))


def axle_of(now: Filling) -> str:
    """Return the axle of the job; empty before it is said."""
    return now.said("where").split()[-1] if now.said("where") else ""


def knobs_at(now: Filling, stroke: str = "") -> list[Adjuster]:
    """Return the knobs at the job's corners, of a stroke where one is named."""
    here = corners(now)
    return [
        one
        for one in now.state.fitted.values()
        if one.part == "knob" and one.place in here
        and (not stroke or one.controls in (stroke, "both", None))
    ]  # fmt: skip


def in_book(now: Filling, ones: list[Adjuster]) -> str:
    """Say where knobs stand by the book; sides that stand alike are said once."""
    said: dict[str, list[str]] = {}
    for one in ones:
        words = f"{one.name} {one.show(now.state.settings[one.id])}"
        said.setdefault(words, []).append(one.place.split()[0])
    return ", ".join(
        words if len(sides) > 1 or len(corners(now)) == 1 else f"{sides[0]} {words}"
        for words, sides in said.items()
    )


def counted_fields(
    now: Filling, key: str, question: str, ones: list[Adjuster], *, later: bool, hint: str = ""
) -> Iterator[SheetField]:
    """Ask whether knobs stand as the book has them, and for each count where they do not.

    later: whether a count may be left for a hand to read before the pass.  hint: what else to know.
    """
    if not ones:
        return
    yield SheetField(
        key, f"Counts {key}", question, "one", unknown=False,
        choices=(Choice(BOOK, f"As in the book: {in_book(now, ones)}"), Choice(OTHER, "Otherwise")),
        hint=" ".join(filter(None, (_BY_HAND, hint))),
    )  # fmt: skip
    if now.said(key) != OTHER:
        return
    yield from read_fields(now, key, ones, later=later)


def read_fields(
    now: Filling, key: str, ones: list[Adjuster], *, later: bool
) -> Iterator[SheetField]:
    """Ask for the count of each knob."""
    for one in ones:
        yield SheetField(
            f"{key} {one.id}", f"  {one.label}", f"{one.label.capitalize()}, {key}: which count?",
            "text", hint=f"Wanted: {one.wanted()}.", unknown=later, longest=20,
            fault=partial(count_fault, one),
        )  # fmt: skip


def count_fault(one: Adjuster, value: Given) -> str:
    """Say what is wrong with a count, or nothing."""
    try:
        one.parse(str(value))
    except ValueError as error:
        return str(error).removeprefix(f"{one.label}: ")
    return ""


def counts_said(now: Filling, key: str, ones: list[Adjuster]) -> dict[str, float]:
    """Return the counts in marks: the book's where they stand so; one not read is left out."""
    if now.said(key) == BOOK:
        return {one.id: now.state.settings[one.id] for one in ones}
    read = {one.id: now.said(f"{key} {one.id}") for one in ones}
    return {one.id: one.parse(read[one.id]) for one in ones if _is_count(one, read[one.id])}


def _is_count(one: Adjuster, text: str) -> bool:
    return bool(text) and not count_fault(one, text)
