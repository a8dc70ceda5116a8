"""The log read a page at a time, the newest page first, for the table and for all of its rows."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.log.events.advice import LearntAfresh, Overridden, WorthDeclared
from rules.log.events.car import BaselineDeclared, CarDescribed, PairSettled, Recounted
from rules.log.events.changes import ChangeProposed, PartChange
from rules.log.events.dampers import (
    DamperDescribed,
    DamperDoubted,
    DamperDoubtSettled,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
from rules.log.events.event import Event
from rules.log.events.lists import DamageReported, ItemTicked
from rules.log.events.meeting import CallTimeGiven, MeetingOpened, NoteAdded, SessionChanged
from rules.log.events.passes import PassImported, PassRun, SlipNoted
from rules.log.events.sheets import SheetClosed, SheetContinued
from rules.log.events.whole_log import LogsMerged, RecordTakenBack
from rules.log.log_format import KINDS
from rules.log.reading_order import places_in_order
from tui.desk import Desk
from tui.pages.log_rows import LogRow, rows_of

PAGE, OLDER = 600, 120
"""Events that are read at once: for the first window, and behind it beside the keys of the crew."""
COOLED_EVERY = 16
"""Pages; so few passes long past are held whole at a time."""
TOLD = frozenset(
    {
        PassRun,
        ChangeProposed,
        PartChange,
        NoteAdded,
        CarDescribed,
        MeetingOpened,
        SessionChanged,
        CallTimeGiven,
        BaselineDeclared,
        SheetContinued,
        SheetClosed,
        DamageReported,
        ItemTicked,
        Recounted,
        PairSettled,
        RecordTakenBack,
        Overridden,
        WorthDeclared,
        LearntAfresh,
        SlipNoted,
        PassImported,
        LogsMerged,
        DamperDescribed,
        DamperFitted,
        DamperOpened,
        DamperServiced,
        SpringChanged,
        DamperDoubted,
        DamperDoubtSettled,
    }
)
SILENT = tuple(name for name, kind in KINDS.items() if kind not in TOLD)
"""Kinds of event of which there is no row, so that they are not read for it."""


@dataclass(frozen=True)
class OneSection:
    """Rows that follow one another, the oldest first, and whether older ones are left to read.

    again: records of newer pages that stand here by rights.
    """

    rows: list[LogRow]
    more: bool
    again: frozenset[str] = frozenset()


def log_rows(desk: Desk) -> list[LogRow]:
    """Return every row of the log, the oldest first."""
    rows: list[LogRow] = []
    for page in pages(desk):
        rows = joined(page, rows)
    return rows


def joined(older: OneSection, newer: list[LogRow]) -> list[LogRow]:
    """Return the rows of a page before newer ones; a list has one, where it was ticked first."""
    if older.again:
        newer = [row for row in newer if row.kind != "record" or row.key not in older.again]
    return older.rows + newer


def pages(desk: Desk, first: int = PAGE, older: int = OLDER) -> Iterator[OneSection]:
    """Yield the rows of the log a page at a time, the newest page first.

    first, older: events of the first page and of the others, about.
    """
    notes = {(note.text, note.at) for note in desk.state.notes}
    told: set[str] = set()
    for number, (events, more) in enumerate(_events(desk, first, older), 1):
        rows = rows_of(desk.state, desk.book, events, notes)
        records = {row.key for row in rows if row.kind == "record"}
        yield OneSection(rows, more, frozenset(records & told))
        told |= records
        if number % COOLED_EVERY == 0 or not more:
            desk.log.cool()


def _events(desk: Desk, first: int, older: int) -> Iterator[tuple[list[tuple[int, Event]], bool]]:
    """Yield the events of the log in pages that begin with a pass, with their places.

    Beside each page stands whether there are older ones.

    What stands before a merge is read in the order of time, which only all of it together has.
    """
    end, wanted = None, first
    but = () if desk.state.unfitting or desk.state.unread else SILENT
    while True:
        found = desk.log.newest(wanted, before=end, but=but)
        if any(isinstance(event.body, LogsMerged) for _, event in found):
            yield from _joined_events(desk, end, wanted)
            return
        if len(found) < wanted:
            yield found, False
            return
        start = next((at for at, (_, event) in enumerate(found) if _is_pass(desk, event)), None)
        if start is None:
            wanted *= 2
        else:
            yield found[start:], True
            end, wanted = found[start][0], older


def _joined_events(
    desk: Desk, end: int | None, wanted: int
) -> Iterator[tuple[list[tuple[int, Event]], bool]]:
    """Yield those of a merged log before a place, in the same way, each with its place in time."""
    whole = desk.log.whole(before=end)
    page: list[tuple[int, Event]] = []
    places = places_in_order(whole)
    for number in reversed(range(len(places))):
        page.append((number, whole[places[number]]))
        if len(page) >= wanted and _is_pass(desk, page[-1][1]):
            yield page[::-1], number > 0
            page = []
    if page:
        yield page[::-1], False


def _is_pass(desk: Desk, event: Event) -> bool:
    return isinstance(event.body, PassRun) and desk.state.runs.find(event.body.run) is not None
