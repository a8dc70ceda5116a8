"""Tables and lines that keep to a width without losing a figure: what does not fit moves down."""

from collections.abc import Sequence
from textwrap import wrap

GAP = 1
INDENT = 2
LEAST_WORDS = 24

Row = tuple[str, Sequence[str] | str]


def table(
    head: Sequence[str], rows: Sequence[Row], width: int, least: Sequence[int] = ()
) -> list[str]:
    """Return rows of a label and its cells in columns; a row too long for them stands below itself.

    head: of the cells.  rows: each with its cells, or with one text in place of them.
    least: columns are no narrower than this, the label's first, where all of it fits so; where it
    does not, each is as wide as what stands in it.
    """
    labels = [(label, [""] * len(head)) for label, cells in rows if isinstance(cells, str)]
    kept = [(label, list(cells)) for label, cells in rows if not isinstance(cells, str)]
    every = list(kept)
    while True:
        needs = _widths([("", list(head)), *labels, *kept])
        roomy = [max(pair) for pair in zip(needs, (*least, *needs[len(least) :]), strict=True)]
        fitting = next((one for one in (roomy, needs) if _across(one) <= width), None)
        if fitting is not None or not kept:
            break
        kept.remove(max(kept, key=lambda row: _across(_widths([row]))))
    columns = fitting or [max(map(len, [label for label, _ in rows] or [""]))]
    told = [_in_columns("", head, fitting)] if fitting and (kept or not every) else []
    for label, cells in rows:
        if isinstance(cells, str):
            line = _in_columns(label, [cells], [columns[0], 0])
            told += [line] if len(line) <= width else below(label, [cells], width)
        elif fitting and (label, list(cells)) in kept:
            told.append(_in_columns(label, cells, fitting))
        else:
            named = zip(head, cells, strict=True)
            told += below(label, [f"{name} {cell}".strip() for name, cell in named if cell], width)
    return told


def beside(label: str, words: str, width: int, column: int) -> list[str]:
    """Return words beside their label, and below each other where they are many; nothing is cut.

    column: where the words begin, where the label leaves room and there is room enough after it.
    """
    room = width - column - GAP
    if len(label) <= column and (room >= LEAST_WORDS or len(words) <= room):
        rows = wrap(words, max(room, 1)) or [""]
        return [
            f"{label if number == 0 else '':<{column}} {row}".rstrip()
            for number, row in enumerate(rows)
        ]
    return wrap(f"{label}  {words}", width, subsequent_indent=" " * INDENT)


def kept_to(lines: Sequence[str], width: int) -> list[str]:
    """Return lines, those past the width wrapped instead of cut."""
    return [
        row
        for line in lines
        for row in (
            [line] if len(line) <= width else wrap(line, width, subsequent_indent=" " * INDENT)
        )
    ]


def packed(parts: Sequence[str], width: int, gap: str = "  ") -> list[str]:
    """Return parts beside one another in as many rows as they take, none of them broken."""
    rows: list[str] = []
    for part in parts:
        if rows and len(rows[-1]) + len(gap) + len(part) <= width:
            rows[-1] += gap + part
        else:
            rows.append(part)
    return rows


def below(label: str, parts: Sequence[str], width: int) -> list[str]:
    """Return a label and its parts in as many rows as they take; a part that fits is not broken."""
    rows = [f"{label}:"]
    for part in (one for one in parts if one):
        joined = f"{rows[-1]} {part}"
        if len(joined) <= width:
            rows[-1] = joined
            continue
        rest = " " * INDENT + part
        while len(rest) > width:
            cut = rest.rfind(" ", INDENT + 1, width + 1)
            cut = cut if cut > INDENT else width
            rows.append(rest[:cut].rstrip())
            rest = " " * INDENT + rest[cut:].strip()
        rows.append(rest)
    return rows


def _widths(rows: Sequence[tuple[str, list[str]]]) -> list[int]:
    """Return the widest of each column."""
    columns = zip(*([label, *cells] for label, cells in rows), strict=True)
    return [max(map(len, column)) for column in columns]


def _across(widths: Sequence[int]) -> int:
    return sum(widths) + GAP * (len(widths) - 1)


def _in_columns(label: str, cells: Sequence[str], widths: Sequence[int]) -> str:
    gap = " " * GAP
    return gap.join(
        f"{one:<{room}}" for one, room in zip([label, *cells], widths, strict=False)
    ).rstrip()
