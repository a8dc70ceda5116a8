"""Opening a car: what the file says now, and what it said when the log last saw it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, NamedTuple

from profiles.files import CarFileError, car_before, opened_car
from profiles.kept_book import kept_book
from profiles.local_time import now_here
from profiles.logbook import Logbook
from profiles.logfile import LogError
from profiles.paths import DataFolder, DataFolderError
from rules.book import Book, shipped
from rules.car.file_before import FileBefore
from rules.car.model import Car
from rules.launch.model import launch_model
from rules.log.looking import Looking
from rules.wording import say
from tui.desk import Desk
from tui.lines import WIDTH
from tui.visible import visible

if TYPE_CHECKING:
    from rules.car.edits import Edit
    from tui.papers import Papers
    from tui.practising import Practising

Pages = list[tuple[str, list[str]]]
MOST_OF_A_FAULT = 300


class Opened(NamedTuple):
    """A desk at a car, and what is to be read before going on."""

    desk: Desk
    pages: Pages


def open_car(folder: DataFolder, car_id: str, log: Logbook, book: Book, notice: str = "") -> Opened:
    """Open a car by its kept file; with faults in it, by what the log last saw.

    Raises:
        CarFileError: if the file has faults and the log knows no car.
        LogError: if the description could not be committed, or nothing of the log can be read.
    """
    keep = partial(_edit, folder, car_id)
    before = partial(file_before, folder, car_id)
    kept = partial(_kept, folder.car_file(car_id))
    papers = partial(_papers, folder, car_id, log, book)
    desk = Desk(
        log,
        book,
        model=launch_model,
        notice=notice,
        keep=keep,
        before=before,
        kept=kept,
        papers=papers,
    )
    known = log.state.car
    if (looking := log.state.looking) is not None:
        if known is None:
            raise LogError(f"{looking.why} ({log.name})")
        return Opened(desk, [("This log can only be looked at", _looking(log, looking))])
    path = folder.car_file(car_id)
    try:
        car = opened_car(path)
    except CarFileError as error:
        if known is None:
            raise
        return Opened(desk, [("The car file has faults", _faulty(error, str(path)))])
    pages: Pages = []
    if known is not None and known.id == car.id and known != car:
        pages = _changed(known, car)
    desk.describe(car)
    return Opened(desk, pages)


def practice_day(desk: Desk, seed: int) -> Practising:
    """Return the practice day of a seed at this desk; its truth is drawn once it is needed."""
    from profiles.practice import drawn_from
    from rules.practice.hidden_car import hidden_car
    from tui.practising import Practising

    file = drawn_from()
    return Practising(desk, file, lambda: hidden_car(file, seed))


def sound_book(folder: DataFolder) -> tuple[Book, dict[str, str]]:
    """Return the book with the crew's own sound pages, and the faults of each page left out."""
    try:
        pages, unread = folder.own_pages()
    except DataFolderError as error:
        return shipped(), {"rules": str(error)}
    if not pages:
        return kept_book(folder.root), {name: str(fault) for name, fault in unread.items()}
    from rules.book.sound import with_sound

    book, faulty = with_sound(pages)
    return book, {name: str(fault) for name, fault in unread.items()} | faulty


def rules_page(left_out: Mapping[str, str]) -> Pages:
    """Return the page that names the crew's own pages that are left out; none where none is."""
    if not left_out:
        return []
    lines = ["The book is used without these; the car is open, and nothing is lost:", ""]
    for name, faults in left_out.items():
        first, *more = faults.splitlines() or [""]
        told = first if first.startswith(name) else f"{name}: {first}"
        lines += wrap(visible(told, MOST_OF_A_FAULT), WIDTH, subsequent_indent="  ")
        lines += [f"  and {len(more)} more"] if more else []
    lines += ["", "All faults of a page: setdown book check FILE"]
    return [("Rule pages are left out", lines)]


def _kept(path: Path) -> Car | None:
    try:
        return opened_car(path)
    except CarFileError:
        return None


def _edit(folder: DataFolder, car_id: str, edits: Sequence[Edit]) -> Car:
    # Most days no value is edited, and the first paint does not wait for what edits need.
    from profiles.edit_car import edit_car

    return edit_car(folder, car_id, edits)


def _papers(folder: DataFolder, car_id: str, log: Logbook, book: Book) -> Papers:
    from tui.papers import Papers

    return Papers(folder, car_id, log, book, now_here, Path.cwd())


def file_before(folder: DataFolder, car_id: str) -> FileBefore:
    """Return the car as the file before the last edit has it, or why it cannot be brought back."""
    try:
        return FileBefore(car_before(folder, car_id))
    except CarFileError as error:
        fault = error.faults[0]
        if fault.where == "the file before":
            return FileBefore()
        return FileBefore(why_not=f"the file before has faults ({fault})")


def _changed(known: Car, car: Car) -> Pages:
    """Return the page of what a hand edit changed, none where it changed nothing."""
    from rules.car.values import differences

    rows = differences(known, car)
    if not rows:
        return []
    head = "The car file was changed by hand. It now says, before -> after:"
    return [("The car file was changed", [head, "", *(say(row, car.units) for row in rows)])]


def _looking(log: Logbook, looking: Looking) -> list[str]:
    lines = [
        *wrap(visible(looking.why), WIDTH),
        "",
        *wrap(
            "Nothing is lost, and nothing is written. Counts, way back, log and card are open, as "
            "far as they can be read here: counts may have moved since, so trust the car.",
            WIDTH,
        ),
        "",
    ]
    if looking.way:
        lines += [*wrap("To answer here: Escape, then 1.", WIDTH), ""]
    if log.state.unread:
        unread = (f"  {one.found}, {one.found_version}" for one in log.state.unread)
        lines += ["What it cannot read (kind, version):", "", *unread, ""]
    return [*lines, f"The log: {log.name}"]


def _faulty(error: CarFileError, path: str) -> list[str]:
    return [
        "The car file cannot be used as it is. The car is open as it was last described;",
        "nothing is lost. Put these right in a text editor, then open it again:",
        "",
        *(f"  {fault}" for fault in error.faults),
        "",
        f"The file: {path}",
    ]
