"""A dyno table on the sheet of what is owned: typed row by row or out of a file, and looked at.

It is kept as it was typed; into the car file go its counts from the end that the knob counts from.
"""

from collections.abc import Iterator
from functools import partial
from itertools import takewhile

from rules.car.counted_end import (
    OTHER_END,
    counted_knob,
    end_of,
    knobs_of_stroke,
    says_turned_round,
    turned_round,
)
from rules.car.dyno_tables import DynoTableError, read_rows, too_slow
from rules.car.model import CountFrom, Knob
from rules.car.table_ends import APART_SHARE, farthest_apart, from_other_end, read
from rules.crew.sheets.sheet import AGAIN, KEEP, KEPT, Filling, SheetField
from rules.question import Choice, Given
from rules.units import UNITS, Quantity
from rules.wording import both

END = "end"
MOST_ROWS = 199
LONGEST_FILE = 200_000
"""Characters of a table out of a file; the door for files has its own limit."""
TYPED, OUT_OF_FILE = "yes", "file"
_HOW = (
    Choice(TYPED, "Yes, type it"), Choice(OUT_OF_FILE, "Yes, out of a file"), Choice("no", "No"),
)  # fmt: skip
_ENDS: tuple[CountFrom, ...] = ("full soft", "full hard")
_HEAD = (
    'Such as "{speed [in/s], 0 [lb], 6 [lb]|speed [mm/s], 0 [N], 6 [N]}"; counts alone, as "0, 6", '
    "are in {in/s and lb|mm/s and N}."
)
_ROW = 'Speed, then a force for each count: "{2, 22, 38|50, 98, 169}". After the last row: end.'


def table_fields(now: Filling, stroke: str) -> Iterator[SheetField]:
    """Ask for a stroke's table, its knob and the end it counts from, and show it."""
    name = stroke.capitalize()
    yield SheetField(
        stroke, name, f"Is there a {stroke} dyno table for it?", "one", choices=_HOW,
        unknown=False, hint="Without one its shims can be noted; it can be chosen all the same.",
    )  # fmt: skip
    if now.said(stroke) not in (TYPED, OUT_OF_FILE):
        return
    knobs = knobs_of_stroke(now.car, now.said("axle"), stroke)
    if len(knobs) > 1:
        yield SheetField(
            f"{stroke} knob", f"  {stroke} knob", "Which knob do the counts of the table mean?",
            "one", choices=tuple(Choice(one.id, one.id) for one in knobs), unknown=False,
            default=knobs[0].id, hint="All other knobs as they stood on the dyno.",
        )  # fmt: skip
    yield from _body(now, stroke, stroke)
    rows = typed_rows(now, stroke)
    if not _is_whole(rows):
        return
    knob = knob_of(now, stroke)
    if knob is not None:
        yield _end_field(now, stroke, knob, rows)
    yield SheetField(
        f"{_last_key(now, stroke)}{KEPT}", f"  {stroke} curves", f"{name}: are these its curves?",
        "one", unknown=False, plot=rows,
        choices=(Choice(AGAIN, "No, say it again", key="n"), Choice(KEEP, "Yes", key="y")),
        hint=f"{_ends_words(now, stroke, knob)} F5 says one row again, the others stay.",
    )  # fmt: skip
    yield SheetField(
        f"{stroke} twin", f"  {stroke} of the twin", "Is there a table of its twin, to compare?",
        "one", choices=_HOW, default="no", unknown=False,
        hint="Of the other side's damper with the same valving, counted alike.",
    )  # fmt: skip
    if now.said(f"{stroke} twin") in (TYPED, OUT_OF_FILE):
        yield from _body(now, f"{stroke} twin", stroke)


def _body(now: Filling, which: str, stroke: str) -> Iterator[SheetField]:
    """Ask for a table itself. which: its stroke, or that of the twin."""
    if now.said(which) == OUT_OF_FILE:
        yield SheetField(
            f"{which} file", f"  {which} file", f"{which.capitalize()} table: which file?",
            "table", unknown=False, longest=LONGEST_FILE,
            hint="F6 picks one. A CSV as a spreadsheet writes it: units in its head, in brackets.",
            fault=partial(_file_fault, now, which, stroke),
        )  # fmt: skip
        return
    for number in range(MOST_ROWS):
        key = _row_key(which, number)
        yield SheetField(
            key, f"  {which} row {number}" if number else f"  {which} head",
            f"{which.capitalize()} table: {f'row {number}' if number else 'its head row'}?", "text",
            hint=_ROW if number else _HEAD, unknown=False, longest=400, alone=True,
            grid=not number,
            fault=partial(_row_fault, now, which, stroke, number),
        )  # fmt: skip
        if now.said(key).lower() in (END, ""):
            return


def _row_key(which: str, number: int) -> str:
    return f"{which} row {number}"


def _last_key(now: Filling, stroke: str) -> str:
    if now.said(stroke) == OUT_OF_FILE:
        return f"{stroke} file"
    return _row_key(stroke, len(typed_rows(now, stroke)))


def typed_rows(now: Filling, which: str) -> tuple[str, ...]:
    """Return the rows of a table as typed or out of its file, the head with its units."""
    if now.said(which) == OUT_OF_FILE:
        said = [row for row in now.said(f"{which} file").splitlines() if row.strip()]
    elif now.said(which) == TYPED:
        every = (now.said(_row_key(which, number)) for number in range(MOST_ROWS))
        said = list(takewhile(lambda row: row and row.lower() != END, every))
    else:
        return ()
    return (_with_units(now, said[0]), *said[1:]) if said else ()


def _with_units(now: Filling, head: str) -> str:
    """Return a head row; of counts alone one in the crew's own units."""
    if "[" in head or "," not in head or any(char.isalpha() for char in head):
        return head
    speed, force = (UNITS[one, now.system].name for one in (Quantity.PISTON_SPEED, Quantity.FORCE))
    counts = (cell.strip() for cell in head.split(","))
    return ", ".join((f"speed [{speed}]", *(f"{count} [{force}]" for count in counts if count)))


def rows_in_file(now: Filling, stroke: str) -> tuple[str, ...]:
    """Return a table as it goes into the car file: counted from the end its knob counts from."""
    rows, knob = typed_rows(now, stroke), knob_of(now, stroke)
    if not _is_whole(rows) or knob is None or _end(now, stroke) != OTHER_END[knob.count_from]:
        return rows
    return from_other_end(rows, knob.marks / knob.per_unit)


def _end(now: Filling, stroke: str) -> str:
    """Return the end a table is counted from: as said, or by its forces; "" where neither tells."""
    return now.said(f"{stroke} end") or end_of(read(typed_rows(now, stroke))) or ""


def knob_of(now: Filling, stroke: str) -> Knob | None:
    """Return the knob that a stroke's table counts; None where the car has none."""
    return counted_knob(now.car, now.said("axle"), stroke, now.said(f"{stroke} knob"))


def twin_words(now: Filling, stroke: str) -> str:
    """Say how far a table and its twin's are apart; empty where there is no twin's."""
    rows, twin = typed_rows(now, stroke), typed_rows(now, f"{stroke} twin")
    if not _is_whole(rows) or not _is_whole(twin):
        return ""
    end, its, knob = _end(now, stroke), end_of(read(twin)), knob_of(now, stroke)
    if end and its and end != its:
        # Both are held against each other at the same place of the knob, whatever it is called.
        if knob is None:
            return f"{stroke.capitalize()}, its twin is counted from {its}: nothing compared."
        twin = from_other_end(twin, knob.marks / knob.per_unit)
    return apart_words(f"{stroke.capitalize()}, this one and its twin", rows, twin)


def apart_words(what: str, rows: tuple[str, ...], other: tuple[str, ...]) -> str:
    """Say where two tables of alike dampers are farthest apart, and whether that is too far."""
    apart = farthest_apart(read(rows), read(other))
    if apart is None:
        return f"{what}: no count and speed in both, nothing compared."
    told = (
        f"{what}: at most {100 * abs(apart.share):.0f} % apart, "
        f"{both(apart.left, Quantity.FORCE)} and {both(apart.right, Quantity.FORCE)} at "
        f"{apart.setting:g}, {both(apart.speed, Quantity.PISTON_SPEED)}"
    )
    if abs(apart.share) <= APART_SHARE:
        return f"{told}."
    limit = f"over {100 * APART_SHARE:.0f} %"
    return f"LOOK: {told}: {limit}. Same counts, same oil, same gas? Trained service finds it."


def _end_field(now: Filling, stroke: str, knob: Knob, rows: tuple[str, ...]) -> SheetField:
    turned = turned_round(rows, knob)
    found = says_turned_round(rows, knob, now.system)[0] if end_of(read(rows)) else ""
    return SheetField(
        f"{stroke} end", f"  {stroke} counted from", "From which end does its builder count?",
        "one", choices=tuple(Choice(one, f"0 is {one}") for one in _ENDS), unknown=not turned,
        hint=f"Found {found}. Your {knob.id} counts from {knob.count_from}." if found else "",
        fault=partial(_end_fault, now, stroke, knob, rows),
    )  # fmt: skip


def _end_fault(now: Filling, stroke: str, knob: Knob, rows: tuple[str, ...], value: Given) -> str:
    """Say that a table's forces rise towards the other end than the one that is said."""
    by_forces = end_of(read(rows))
    if value not in _ENDS or by_forces in (None, value):
        return ""
    found, _ = says_turned_round(rows, knob, now.system)
    way = "rising" if value == "full soft" else "falling"
    return f"found {found}; wanted a force {way} with the count, or {by_forces}"


def _ends_words(now: Filling, stroke: str, knob: Knob | None) -> str:
    """Say from which end the curves are counted, and whether they are turned for the file."""
    end = _end(now, stroke)
    if knob is None or not end:
        return ""
    if end == OTHER_END[knob.count_from]:
        return f"The builder's 0 is {end}; in the file they count from {knob.count_from}."
    return f"0 is {end}."


def _is_whole(rows: tuple[str, ...]) -> bool:
    """Tell whether rows are a table."""
    try:
        read(rows)
    except DynoTableError:
        return False
    return True


def _file_fault(now: Filling, which: str, stroke: str, value: Given) -> str:
    """Say what is wrong with a table out of a file, in rows as a spreadsheet counts them."""
    rows = [row for row in str(value).splitlines() if row.strip()]
    if not rows:
        return "found an empty file; wanted a head and rows"
    if len(rows) > MOST_ROWS + 1:
        return f"found {len(rows)} rows; wanted at most {MOST_ROWS} under the head: fewer speeds"
    try:
        table = read_rows("\n".join((_with_units(now, rows[0]), *rows[1:])))
    except DynoTableError as error:
        return error.faults[0]
    return too_slow(table) or _beyond(now, stroke, table.settings)


def _row_fault(now: Filling, which: str, stroke: str, number: int, value: Given) -> str:
    """Say what is wrong with a row against the head and the rows before it; at the end, with all.

    The head is row 0, as the questions count.
    """
    said = [now.said(_row_key(which, before)) for before in range(number)]
    ends = bool(number) and str(value).lower() == END
    rows = said if ends else [*said, str(value)]
    rows[0] = _with_units(now, rows[0])
    try:
        table = read_rows("\n".join(rows), head_row=0, least=2 if ends else 0)
    except DynoTableError as error:
        return error.faults[0].removeprefix(f"row {number}").lstrip(": ")
    return (too_slow(table) if ends else "") or _beyond(now, stroke, table.settings)


def _beyond(now: Filling, stroke: str, settings: tuple[float, ...]) -> str:
    """Say that a table counts farther than its knob goes."""
    knob = knob_of(now, stroke)
    if knob is None or max(settings) <= knob.marks / knob.per_unit + 1e-9:
        return ""
    whole = f"{knob.marks / knob.per_unit:g}"
    return f"found a count of {max(settings):g}; wanted at most {whole}, where {knob.id} ends"
