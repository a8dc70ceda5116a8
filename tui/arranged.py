"""Where the car stands beside a question: a plan view, two rows above it, or nowhere."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal, NamedTuple

from textual.geometry import Size

from rules.question import Prompt
from tui.drawn.plan import NARROW, WIDE
from tui.lines import prompt_rows
from tui.wrapped import wrapped

Place = Literal["panel", "rows", "none"]
FRAME_ROWS = 4
"""Rows of header, message and keys; the keys have one more in a high window, for a finger."""
HIGH_FROM = 30
MARGINS = 2
WIDE_FROM, PANEL_FROM = 110, 80
CAR_ROWS = 2
"""A blank row below them comes on top, in a window of the usual height."""
TALL_FROM = 24


def touch_rows(height: int) -> int:
    """Return the rows of what a finger is to hit, in a window of so many rows."""
    return 2 if height >= HIGH_FROM else 1


class Arranged(NamedTuple):
    """One way to lay a screen out: where the car stands, and what of the question is shown.

    panel: cells of the plan view.  width, room: cells and rows there are for the rest.
    """

    place: Place
    prompt: Prompt
    panel: int
    width: int
    room: int


def panel_width(size: Size) -> int:
    """Return the cells that a plan view takes in a window; 0 where it has no room."""
    if size.width >= WIDE_FROM:
        return WIDE
    return NARROW if size.width >= PANEL_FROM else 0


def ways(prompt: Prompt, size: Size, less: int = 0, has_plate: bool = False) -> Iterator[Arranged]:
    """Yield the ways to lay a question out, the best first.

    less: rows that something else takes.  has_plate: a plate says what is asked, so that the hint
    is the first to go.  In a low window the hint goes before the car, in a high one the car before
    the hint; the choices always stay.
    """
    room = size.height - FRAME_ROWS - touch_rows(size.height) + 1 - less
    bare = replace(prompt, hint="")
    wide = size.width - MARGINS
    panel = panel_width(size)
    tall = size.height >= TALL_FROM
    car = CAR_ROWS + tall
    if panel:
        yield Arranged("panel", prompt, panel, wide - panel, room)
    if panel and has_plate and prompt.hint:
        yield Arranged("panel", bare, panel, wide - panel, room)
    yield Arranged("rows", prompt, 0, wide, room - car)
    whole = Arranged("none", prompt, 0, wide, room)
    short = Arranged("rows", bare, 0, wide, room - car)
    yield from (whole, short) if tall and not has_plate else (short, whole)
    yield Arranged("none", bare, 0, wide, room)


def asked_rows(way: Arranged) -> int:
    """Return the rows a question takes with its notice."""
    notice = len(wrapped(way.prompt.notice, way.width)) if way.prompt.notice else 0
    return notice + prompt_rows(way.prompt, way.width)


def arranged(prompt: Prompt, size: Size, less: int = 0) -> Arranged:
    """Return the best way to lay a question out that fits, the barest where none does."""
    every = list(ways(prompt, size, less))
    return next((way for way in every if asked_rows(way) <= way.room), every[-1])
