"""The pit screen as the window has room for it: car, plate, lines, question, safety words.

The choices always stay, and so do the safety words and every caution; what is left out of the
rest, `w` tells.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING, NamedTuple

from textual.content import Content
from textual.geometry import Size

from rules.asked import Topic
from rules.book import Book
from rules.crew.prompts import advice_of
from rules.log.changes import Change
from rules.log.state import State
from rules.question import Prompt
from tui.arranged import MARGINS, Arranged, asked_rows, ways
from tui.desk import Desk
from tui.drawn import before_pass, work
from tui.drawn.plate import Plate, drawn, plate_rows
from tui.drawn.short_advice import Labelled, LaidRows, as_content, laid_out, short_advice
from tui.lines import spoken

if TYPE_CHECKING:
    from rules.log.advice import Advice

REST = "... w shows the rest of it."
ALERT = "! "


class Laid(NamedTuple):
    """What the pit screen shows, and where; `left` are the rows that nothing stands on."""

    way: Arranged
    plate: Content | None = None
    body: Content | None = None
    safety: str = ""
    left: int = 0


class _About(NamedTuple):
    """What a question is about: its plate, its lines, a picture where there is room for one.

    extra: further rows below the lines, for a number of cells.
    picture: its parts, the first of which stand where there is no room for all.
    """

    plate: Plate | None = None
    lines: tuple[Labelled, ...] = ()
    extra: Callable[[int], list[Content]] = lambda width: []
    picture: Callable[[int], list[list[Content]]] = lambda width: []
    safety: str = ""


class _Try(NamedTuple):
    """One way to lay it all out: where the car is, the plate at some size, the lines."""

    way: Arranged
    plate: Plate | None
    rows: LaidRows

    @property
    def left(self) -> int:
        """Rows that are left over; less than none where it does not fit."""
        plate = len(plate_rows(self.plate, self.way.width)) if self.plate else 0
        return self.way.room - plate - len(self.rows.rows) - asked_rows(self.way)


def laid(desk: Desk, prompt: Prompt, size: Size, less: int = 0) -> Laid:
    """Return the best way to lay a question out that shows all of it.

    less: rows that a long message takes.
    """
    about = _about(desk.state, desk, prompt)
    safety = spoken(desk.state, about.safety)
    if prompt.topic == Topic.ADVICE:
        prompt = replace(prompt, question="", hint="")
    less += len(wrap(ALERT + safety, size.width - MARGINS)) if safety else 0
    tried = list(_tries(about, prompt, size, less))
    fitting = [one for one in tried if one.left >= 0]
    whole = (one for one in fitting if one.rows.whole)
    chosen = next(whole, None) or next(iter(fitting), None) or _forced(tried[-1])
    above = drawn(chosen.plate, chosen.way.width) if chosen.plate else None
    body = _body(about, chosen)
    taken = len(body.plain.split("\n")) - len(chosen.rows.rows) if body else 0
    return Laid(chosen.way, above, body, safety, max(0, chosen.left - taken))


def _tries(about: _About, prompt: Prompt, size: Size, less: int) -> Iterator[_Try]:
    """Yield the ways to lay it out, the best first: the figures are the last to go."""
    found = list(ways(prompt, size, less, about.plate is not None))
    for sizes in (("large", "small"), ("words",)):
        for way in found:
            rows = laid_out(about.lines, way.width)
            plates = [about.plate.at(one) for one in sizes] if about.plate else [None]
            for plate in plates:
                yield _Try(way, plate, rows)


def _forced(last: _Try) -> _Try:
    """Leave out what does not fit: lines first, no caution among them, then of the notice."""
    if last.rows.rows:
        care = _of("Care", last.rows)
        others = [row for row in last.rows.rows if row not in care]
        room = last.left + len(others) - 1
        kept = (*others[: max(0, room)], *care, ("", REST))
        return last._replace(rows=LaidRows(kept, False))
    bare = last._replace(way=last.way._replace(prompt=replace(last.way.prompt, notice="")))
    notice = wrap(last.way.prompt.notice, last.way.width)
    if len(notice) <= bare.left:
        return last
    told = "\n".join([*notice[: max(0, bare.left - 1)], REST])
    return bare._replace(way=bare.way._replace(prompt=replace(bare.way.prompt, notice=told)))


def _of(label: str, rows: LaidRows) -> list[tuple[str, str]]:
    """Return the rows of one label, those without one behind it with them."""
    found: list[tuple[str, str]] = []
    inside = False
    for row in rows.rows:
        inside = row[0] == label or (inside and not row[0])
        if inside:
            found.append(row)
    return found


def _body(about: _About, chosen: _Try) -> Content | None:
    """Return the lines, what follows them, and the picture, as there is room."""
    left, width = chosen.left, chosen.way.width
    blocks: list[Content] = [as_content(chosen.rows.rows)] if chosen.rows.rows else []
    room = left - len(about.extra(width)) - bool(blocks)
    for more in (about.extra(width), _as_room(about.picture(width), room)):
        if more and len(more) + bool(blocks) <= left:
            left -= len(more) + bool(blocks)
            blocks.append(Content("\n").join(more))
    if not blocks:
        return None
    gap = "\n" if chosen.plate and left > 0 else ""
    return Content(gap) + Content("\n\n").join(blocks)


def _as_room(parts: list[list[Content]], room: int) -> list[Content]:
    """Return the rows of the first parts that have room."""
    rows: list[Content] = []
    for part in parts:
        if len(rows) + len(part) > room:
            break
        rows += part
    return rows


def _about(state: State, desk: Desk, prompt: Prompt) -> _About:
    about = prompt.about
    if (advice := advice_of(prompt)) is not None:
        return _of_advice(state, desk.book, advice)
    if prompt.topic == Topic.RAN:
        change = about if isinstance(about, Change) else None
        worth = worth_text(change) if change else ""
        lines = before_pass.pass_lines(state, desk.book, change, worth)
        plate = before_pass.pass_plate(state, change)
        return _About(plate, lines, safety=before_pass.SAFETY)
    if isinstance(about, Change):
        rows = work.turn_rows(state, about, prompt.subject)
        several = rows if len(about.steps) > 1 else []
        plate = work.work_plate(state, about, prompt.subject)
        safety = work.work_safety(state, about)
        return _About(plate, extra=lambda width: _hung(several, width), safety=safety)
    return _About()


def _of_advice(state: State, book: Book, advice: Advice) -> _About:
    """Return an advice; behind a change that was judged, what was foretold of it and came."""
    # How a verdict is told is loaded with the first advice, not before the first question.
    from tui.drawn.forecast import forecast_rows
    from tui.drawn.verdict_short import judged, keep_plate, verdict_parts

    short = short_advice(state, advice)
    change = judged(state)
    plate = keep_plate(state, book, change, advice) if change else None

    def picture(width: int) -> list[list[Content]]:
        came = verdict_parts(state, advice, change, width) if change else []
        return came or [forecast_rows(state, advice, width)]

    return _About(plate or short.plate, short.lines, picture=picture, safety=short.safety)


def _hung(rows: list[str], width: int) -> list[Content]:
    return [Content(one) for row in rows for one in wrap(row, width, subsequent_indent="  ")]


def worth_text(change: Change) -> str:
    """Say which gain of the 60-foot counts for a change, and whether the crew declared it."""
    said = "usual" if change.worth_s is None else "declared"
    return f"A gain of {change.worth:.3f} s at 60 ft counts ({said})."


def notice_lines(state: State, prompt: Prompt, width: int) -> Iterator[str]:
    """Yield the whole notice of a question, a blank line below it; nothing without one."""
    if prompt.notice:
        yield from wrap(spoken(state, prompt.notice), width)
        yield ""
