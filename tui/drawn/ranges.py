"""Ranges and chances as bars: what is foretold is always a range, what was measured one mark."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content

LINE, FORETOLD, TODAY, MEASURED, STOP = "─", "▒", "░", "█", "┃"
FULL, EMPTY = "■", "□"


@dataclass(frozen=True)
class Bar:
    """One row of a drawing of ranges: a label, a range or a mark, and the number in words."""

    label: str
    low: float
    high: float
    words: str
    style: str = ""
    shade: str = FORETOLD
    mark: float | None = None


def bars(
    rows: Sequence[Bar], width: int, label: int, words: int, stop: float | None = None
) -> list[Content]:
    """Draw rows of one scale under each other, the stop through all of them."""
    length = width - label - words - bool(words)
    values = [value for row in rows for value in (row.low, row.high)]
    values += [row.mark for row in rows if row.mark is not None]
    values += [stop] if stop is not None else []
    low, high = min(values), max(values)
    margin = 0.15 * (high - low) or 1.0
    scale = (low - margin, high + margin)
    return [
        Content.assemble(
            (f"{row.label:<{label}}", row.style) if row.style else f"{row.label:<{label}}",
            _bar(row, length, scale, stop),
            " " if words else "",
            (f"{row.words:>{words}}", f"bold {row.style}".strip()),
        )
        for row in rows
    ]


def _bar(row: Bar, length: int, scale: tuple[float, float], stop: float | None) -> Content:
    def cell(value: float) -> int:
        share = (value - scale[0]) / (scale[1] - scale[0])
        return max(0, min(length - 1, round(share * (length - 1))))

    cells = [(LINE, "")] * length
    for place in range(cell(row.low), cell(row.high) + 1):
        cells[place] = (row.shade, row.style)
    if row.mark is not None:
        cells[cell(row.mark)] = (MEASURED, "bold $measured")
    if stop is not None:
        cells[cell(stop)] = (STOP, "bold $danger")
    return Content.assemble(*((char, style) if style else char for char, style in cells))


def in_ten(chance: float) -> str:
    """Return a chance as ten squares, as many filled as times in ten."""
    filled = max(0, min(10, round(10 * chance)))
    return FULL * filled + EMPTY * (10 - filled)
