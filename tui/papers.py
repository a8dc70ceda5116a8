"""What can be written out while a car is open: its sheets, its tables, a backup.

Everything goes into the folder that the program was started in, under a name of its own, so that
nothing that is there is replaced.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from profiles.backup import backup
from profiles.exports import csv_files, json_pieces, write_files
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.book import Book
from rules.log.events.event import Event
from rules.log.state import State
from rules.moments import in_a_name
from rules.paper.baseline_card import baseline_card
from rules.paper.event_sheet import event_sheet
from rules.paper.page import as_html
from tui.pages.day_paper import day_paper

Files = Mapping[str, bytes | Iterable[bytes]]


@dataclass(frozen=True)
class Read:
    """What was read of a log, and the book it is read by."""

    state: State
    events: Sequence[Event]
    book: Book


@dataclass(frozen=True)
class Papers:
    """Writes what a crew asks for.  to: the folder it goes into.  clock: names each by its time."""

    folder: DataFolder
    car: str
    log: Logbook
    book: Book
    clock: Callable[[], datetime]
    to: Path

    def ready(self, what: str) -> Callable[[], list[Path]]:
        """Return what writes one of `PAPERS`, on any thread: the log is read before that, on this.

        It raises OSError if it cannot be written, ValueError if there is nothing to write yet.
        """
        stamp = in_a_name(self.clock())
        start = f"setdown-{self.car}-{what}-{stamp}"
        read = Read(self.log.state, self.log.events(), self.book)

        def write() -> list[Path]:
            if what == "backup":
                return [backup(self.folder, self.to / f"setdown-backup-{stamp}.zip").path]
            files = {self.to / f"{start}{end}": data for end, data in PAPERS[what](read).items()}
            write_files(files, force=False)
            return list(files)

        return write

    @property
    def places(self) -> list[tuple[str, str]]:
        """Where everything lies, by what it is."""
        return [
            ("Everything", str(self.folder.root)),
            ("This car", str(self.folder.car_file(self.car))),
            ("Its log", str(self.folder.log_file(self.car))),
            ("Your rules", str(self.folder.home / "rules")),
            ("What is written", str(self.to)),
        ]


def _sheet(of: Read) -> Files:
    return {".html": as_html(event_sheet(of.state, of.book)).encode()}


def _card(of: Read) -> Files:
    return {".html": as_html(baseline_card(of.state)).encode()}


def _day(of: Read) -> Files:
    return {".txt": "\n".join([*day_paper(of.state, of.book), ""]).encode()}


def _tables(of: Read) -> Files:
    tables = {f"-{name}": data for name, data in csv_files(of.state, of.book).items()}
    return {**tables, ".json": json_pieces(of.events, of.state, of.book)}


PAPERS: Mapping[str, Callable[[Read], Files]] = {
    "sheet": _sheet,
    "card": _card,
    "day": _day,
    "tables": _tables,
}
