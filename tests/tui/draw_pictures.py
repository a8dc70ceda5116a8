"""Draws the pictures of the read-me: python tests/tui/draw_pictures.py

A picture is the screen's own rows, one cell after the other, with nothing drawn round them.
"""

import asyncio
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from roads import BY_NAME
from textual.strip import Strip

from tui.app import SetdownApp

DOCS = Path(__file__).parents[2] / "docs"
COLUMNS, ROWS = 80, 24
WIDE, HIGH, BASE, FONT = 10, 20, 15, 16.6
"""A cell's width and height, where its text stands, and the size of its letters, in pixels."""
PAPER, INK = "#000000", "#ffffff"
BLOCKS: dict[str, tuple[float, float, float, float]] = {
    "█": (0, 0, 1, 1), "▀": (0, 0, 1, 0.5), "▄": (0, 0.5, 1, 1), "▌": (0, 0, 0.5, 1),
    "▐": (0.5, 0, 1, 1), "▁": (0, 7 / 8, 1, 1), "▔": (0, 0, 1, 1 / 8), "▎": (0, 0, 1 / 4, 1),
    "▊": (0, 0, 3 / 4, 1),
    "─": (0, 0.47, 1, 0.53), "━": (0, 0.44, 1, 0.56), "│": (0.45, 0, 0.55, 1),
}  # fmt: skip
"""Letters drawn as a filled part of their cell: left, top, right, bottom as shares of it."""


def picture_of(strips: Sequence[Strip]) -> str:
    """Return the rows of a screen as an SVG picture."""
    width, height = COLUMNS * WIDE, ROWS * HIGH
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
            f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="{FONT}">',
            _box(0, 0, width, height, PAPER),
            *(mark for row, strip in enumerate(strips) for mark in _row(strip, row * HIGH)),
            "</svg>\n",
        )
    )


def _row(strip: Strip, top: int) -> Iterator[str]:
    left = 0
    for text, style, _ in Segment.simplify(strip):
        ink, paper = _colours(style or Style.null())
        width = cell_len(text) * WIDE
        if paper != PAPER:
            yield _box(left, top, width, HIGH, paper)
        yield from _letters(text, left, top, ink, bold=bool(style and style.bold))
        left += width


def _letters(text: str, left: int, top: int, ink: str, *, bold: bool) -> Iterator[str]:
    """Draw the blocks of a run of letters as boxes, and each stretch of other letters as text."""
    for block, same in groupby(text, lambda letter: letter if letter in BLOCKS else ""):
        run = "".join(same)
        width = cell_len(run) * WIDE
        if block:
            many = len(run) if BLOCKS[block][2] - BLOCKS[block][0] == 1 else 1
            for at in range(0, len(run), many):
                west, north, east, south = BLOCKS[block]
                x, y = left + (at + west) * WIDE, top + north * HIGH
                yield _box(x, y, (many - 1 + east - west) * WIDE, (south - north) * HIGH, ink)
        elif run.strip():
            start = left + (len(run) - len(run.lstrip())) * WIDE
            said, weight = run.strip(), ' font-weight="bold"' if bold else ""
            yield (
                f'<text x="{start}" y="{top + BASE}" fill="{ink}" xml:space="preserve"{weight} '
                f'textLength="{cell_len(said) * WIDE}" lengthAdjust="spacingAndGlyphs">'
                f"{escape(said)}</text>"
            )
        left += width


def _box(left: float, top: float, width: float, height: float, colour: str) -> str:
    return (
        f'<rect x="{left:g}" y="{top:g}" width="{width:g}" height="{height:g}" '
        f'fill="{colour}" shape-rendering="crispEdges"/>'
    )


def _colours(style: Style) -> tuple[str, str]:
    """Return the colour of the letters and of the cell behind them."""
    ink, paper = _hex(style.color, INK), _hex(style.bgcolor, PAPER)
    return (paper, ink) if style.reverse else (ink, paper)


def _hex(colour: Color | None, otherwise: str) -> str:
    return otherwise if colour is None or colour.is_default else colour.get_truecolor().hex


async def draw(name: str, file: str) -> None:
    """Draw one screen at 80x24."""
    road = BY_NAME[name]
    app = SetdownApp(road.desk(), settle_s=0, theme="sunlight")
    async with app.run_test(size=(COLUMNS, ROWS)) as pilot:
        await pilot.press(*road.press)
        await pilot.pause()
        picture = picture_of(app.screen._compositor.render_strips())
    (DOCS / file).write_text(picture, encoding="utf-8")


async def main() -> None:
    await draw("advice", "advice.svg")
    await draw("work order", "work-order.svg")


if __name__ == "__main__":
    asyncio.run(main())
