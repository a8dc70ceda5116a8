"""One window answers for a car: the others look, say why, and take over without losing anything."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from profiles.files import SHIPPED_CARS, add_car
from profiles.log_refusals import HeldElsewhereError, LogMovedError, ReadOnlyLogError
from profiles.logbook import Logbook
from profiles.logfile import BUSY_SECONDS, LogError
from profiles.only_looking import FULL, LOCKED, NO_WRITES
from profiles.open_windows import Window, who_has_open
from profiles.paths import DataFolder, data_folder
from rules.log.events.meeting import NoteAdded
from tests.support.windows import opened

NOW = datetime(2031, 5, 4, 17, 6, tzinfo=UTC)
ROOT = Path(__file__).parents[2]
HOLD = """
import sqlite3, sys
log = sqlite3.connect(sys.argv[1], isolation_level=None)
log.execute("BEGIN " + sys.argv[2])
print("held", flush=True)
sys.stdin.read()
"""
WINDOW = """
import sys
from datetime import datetime
from pathlib import Path
from uuid import uuid4
from profiles.open_windows import Window, open_window
from profiles.opened_log import open_or_look
from profiles.paths import data_folder
from rules.log.events.meeting import NoteAdded
me = Window("ann on pit", datetime.fromisoformat(sys.argv[2]))
folder = data_folder(Path(sys.argv[1]))
with open_window(folder.log_file("demo").parent, me.since, me.who):
    with open_or_look(folder, "demo", me) as log:
        log.append([NoteAdded(text="killed after this")], now=me.since, ids=uuid4)
        print("answered", flush=True)
        sys.stdin.read()
"""


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    """A data folder with a car and a log of one note."""
    folder = data_folder(tmp_path / "data")
    add_car(folder, SHIPPED_CARS / "demo.toml")
    with Logbook.open(folder.log_file("demo"), "before") as log:
        note(log, "first")
    return folder


def note(log: Logbook, text: str) -> None:
    log.append([NoteAdded(text=text)], now=NOW, ids=uuid4)


def notes(log: Logbook) -> list[str]:
    return [one.text for one in log.state.notes]


def why(log: Logbook) -> str:
    return log.state.held.why if log.state.held else ""


@contextmanager
def window(folder: DataFolder, who: str, minutes: int = 0) -> Iterator[Logbook]:
    """Open a window as the program does."""
    me = Window(who, NOW + timedelta(minutes=minutes))
    with opened(folder, me) as log:
        yield log


@contextmanager
def program(*args: str | Path) -> Iterator[subprocess.Popen[str]]:
    """Run Python in another program until its first line."""
    command = [sys.executable, "-c", *map(str, args)]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, cwd=ROOT) as one:
        assert one.stdout is not None
        try:
            assert one.stdout.readline()
            yield one
        finally:
            one.kill()


def test_the_second_window_looks_and_names_the_first(folder: DataFolder) -> None:
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        assert first.state.held is None
        assert "ann on pit answers for this car" in why(second)
        assert "2031-05-04 17:06" in why(second)
        with pytest.raises(ReadOnlyLogError, match="ann on pit"):
            note(second, "not taken")
        note(first, "taken")
        second.look()
        assert notes(second) == ["first", "taken"]


def test_taking_over_loses_and_doubles_nothing(folder: DataFolder) -> None:
    """Whoever held the place looks from their next answer on, and can take it back."""
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        note(first, "a")
        second.answer_here()
        assert second.state.held is None
        key = UUID(int=5)
        with pytest.raises(HeldElsewhereError, match="bob on trailer"):
            first.append([NoteAdded(text="lost?")], now=NOW, ids=lambda: key)
        note(second, "b")
        with pytest.raises(ReadOnlyLogError, match="bob on trailer"):
            first.hold()
        assert "bob on trailer" in why(first)
        first.answer_here()
        assert notes(first) == ["first", "a", "b"]
        first.append([NoteAdded(text="lost?")], now=NOW, ids=lambda: key)
        with pytest.raises(ReadOnlyLogError, match="ann on pit"):
            note(second, "c")
        assert notes(second) == ["first", "a", "b", "lost?"]
    with window(folder, "cy on phone") as third:
        assert notes(third) == ["first", "a", "b", "lost?"]
        assert len({(one.device, one.seq) for one in third.events()}) == 4


def test_nobody_takes_over_from_a_window_they_were_not_told_of(folder: DataFolder) -> None:
    with (
        window(folder, "ann on pit"),
        window(folder, "bob on trailer", 5) as second,
        window(folder, "cy on phone", 6) as third,
    ):
        third.answer_here()
        with pytest.raises(LogError, match="cy on phone"):
            second.answer_here()
        assert "cy on phone" in why(second)
        second.answer_here()
        assert second.state.held is None


def test_a_window_that_was_closed_holds_nothing(folder: DataFolder) -> None:
    with window(folder, "bob on trailer", 5) as second:
        with window(folder, "ann on pit", 6) as other:
            other.answer_here()
            note(other, "a")
        with pytest.raises(LogMovedError):
            note(second, "b")
        note(second, "b")
        assert notes(second) == ["first", "a", "b"]


def test_a_killed_window_is_no_question(folder: DataFolder) -> None:
    """Its answer is in the log, and the next answer here is taken at once."""
    with program(WINDOW, folder.root, NOW.isoformat()) as first:
        with window(folder, "bob on trailer", 5) as second:
            assert "ann on pit" in why(second)
            first.kill()
            first.wait()
            assert [one.who for one in who_has_open(folder.log_file("demo").parent)] == [
                "bob on trailer"
            ]
            second.answer_here()
            note(second, "on")
            assert notes(second) == ["first", "killed after this", "on"]
        with window(folder, "cy on phone", 6) as third:
            assert third.state.held is None


@pytest.mark.parametrize("lock", ["IMMEDIATE", "EXCLUSIVE"])
def test_a_log_that_another_program_holds_is_looked_at(folder: DataFolder, lock: str) -> None:
    """Even one whose lock keeps readers out; once it is let go, this window answers."""
    with (
        program(HOLD, folder.log_file("demo"), lock) as other,
        window(folder, "ann on pit") as log,
    ):
        assert (why(log), notes(log)) == (LOCKED, ["first"])
        with pytest.raises(LogError, match="another window is writing"):
            log.answer_here()
        assert why(log) == LOCKED
        other.kill()
        other.wait()
        log.answer_here()
        note(log, "second")
        assert notes(log) == ["first", "second"]


def test_the_wait_for_another_is_short() -> None:
    """What SQLite is told to wait stays under what a hand on the keys feels as a freeze."""
    assert BUSY_SECONDS <= 0.25


def test_a_folder_that_takes_no_writes_is_looked_at(
    folder: DataFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The device's name, the first thing to be written, is refused as a read-only disk does."""
    (folder.root / "device").unlink(missing_ok=True)

    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied", "x")

    with monkeypatch.context() as patch:
        patch.setattr("profiles.paths.write_atomically", refused)
        with window(folder, "ann on pit") as log:
            assert (why(log), notes(log)) == (NO_WRITES, ["first"])
            with pytest.raises(ReadOnlyLogError, match="takes no writes"):
                log.hold()


def test_a_full_disk_is_looked_at(folder: DataFolder, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("profiles.writing_place.WritingPlace.take", full)
        with window(folder, "ann on pit") as log:
            assert (why(log), notes(log)) == (FULL, ["first"])
    with window(folder, "ann on pit") as log:
        assert log.state.held is None


def test_what_is_no_log_is_still_refused(folder: DataFolder) -> None:
    folder.log_file("demo").write_bytes(b"words" * 100)
    with pytest.raises(LogError, match="not a log of Setdown"), window(folder, "ann on pit"):
        pass


def test_looking_writes_nothing(folder: DataFolder) -> None:
    path = folder.log_file("demo")
    with window(folder, "ann on pit"):
        before = path.read_bytes()
        with window(folder, "bob on trailer", 5) as second:
            second.look()
            second.keep()
        assert path.read_bytes() == before
