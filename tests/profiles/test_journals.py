"""A journal is rolled into the file that it is of, and into no other."""

import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from uuid import UUID

import pytest

from profiles.backup import backup
from profiles.event_rows import numbered, write
from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.logfile import copy_log, is_torn, open_log, verified_ids
from profiles.paths import DataFolder
from rules.log.events.car import CarDescribed
from rules.log.events.meeting import NoteAdded

FreshIds = Callable[[int], Callable[[], UUID]]
ANSWER = ["x" * 3000] * 8


@pytest.fixture
def path(folder: DataFolder, now: datetime, fresh_ids: FreshIds) -> Path:
    """A log with some answers in it."""
    car = add_car(folder, SHIPPED_CARS / "leaf-metric.toml")
    path = folder.log_file(car.id)
    with Logbook.open(path, folder.device_id()) as log:
        log.append([CarDescribed(car=car)], now=now, ids=fresh_ids(1))
        log.append(
            [NoteAdded(text=f"{number}{text}") for number, text in enumerate(ANSWER)],
            now=now,
            ids=fresh_ids(10),
        )
    return path


def write_on(path: Path, now: datetime, ids: Callable[[], UUID]) -> None:
    with Logbook.open(path, "pit") as log:
        log.append([NoteAdded(text=text) for text in ANSWER], now=now, ids=ids)


def crash(path: Path, now: datetime, ids: Callable[[], UUID]) -> None:
    """Leave file and journal as a power cut does that comes while the last commit is written."""
    journal = path.with_name(f"{path.name}-journal")
    with Logbook.open(path, "pit") as log:
        log.connection.execute("PRAGMA cache_size = 1")
        log.connection.execute("BEGIN IMMEDIATE")
        log.connection.execute("PRAGMA user_version = 1")  # As a commit does, keeps the first page.
        bodies = [(ids(), NoteAdded(text=text)) for text in ANSWER]
        write(log.connection, numbered(log.connection, "pit", bodies, now))
        kept, torn = journal.read_bytes(), path.read_bytes()
        log.connection.execute("ROLLBACK")
    path.write_bytes(torn)
    journal.write_bytes(kept)
    assert is_torn(path)


def texts(path: Path) -> list[str]:
    with Logbook.open(path, "pit", create=False) as log:
        return [note.text[:2] for note in log.state.notes]


def test_its_own_journal_takes_a_log_back_to_its_last_commit(
    path: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    crash(path, now, fresh_ids(100))
    assert len(texts(path)) == 8
    assert not list(path.parent.glob("stray*"))


@pytest.mark.parametrize("further", [0, 1, 3], ids=["crashed at once", "one on", "three on"])
@pytest.mark.parametrize("way", ["open", "copy"])
def test_a_backup_unpacked_over_a_crashed_folder_is_as_it_was(
    folder: DataFolder,
    path: Path,
    tmp_path: Path,
    now: datetime,
    fresh_ids: FreshIds,
    further: int,
    way: str,
) -> None:
    backup(folder, tmp_path / "b.zip")
    for number in range(further):
        write_on(path, now, fresh_ids(1000 * (number + 1)))
    crash(path, now, fresh_ids(100_000))
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        archive.extractall(folder.root)
    journal = path.with_name(f"{path.name}-journal")
    was = journal.read_bytes()
    if way == "copy":
        assert copy_log(path, tmp_path / "copy.sqlite3") == 9
        assert journal.read_bytes() == was
    assert len(texts(path)) == 8
    assert verified_ids(path)
    assert [one.read_bytes() for one in path.parent.glob("stray-journal-*.kept")] == [was]


def test_an_older_copy_by_hand_is_not_rolled_back(
    path: Path, tmp_path: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    older = shutil.copy(path, tmp_path / "older")
    write_on(path, now, fresh_ids(1000))
    write_on(path, now, fresh_ids(2000))
    crash(path, now, fresh_ids(100_000))
    shutil.copy(older, path)
    assert len(texts(path)) == 8
    assert len(list(path.parent.glob("stray-journal-*.kept"))) == 1


@pytest.mark.parametrize("way", ["open", "copy"])
def test_a_stray_write_ahead_log_is_not_read(path: Path, tmp_path: Path, way: str) -> None:
    """One of a database with the same pages, so that SQLite finds nothing wrong with it."""
    other = Path(shutil.copy(path, tmp_path / "other"))
    with closing(sqlite3.connect(other, isolation_level=None)) as database:
        database.execute("PRAGMA journal_mode = WAL")
        database.execute("DROP TRIGGER events_are_not_deleted")
        database.execute("DELETE FROM events WHERE position > 1")
        for end in ("-wal", "-shm"):
            shutil.copy(f"{other}{end}", f"{path}{end}")
    if way == "copy":
        assert copy_log(path, tmp_path / "copy.sqlite3") == 9
        assert path.with_name(f"{path.name}-wal").exists()
    assert len(texts(path)) == 8
    assert not path.with_name(f"{path.name}-wal").exists()
    assert len(list(path.parent.glob("stray-*-1.kept"))) == 2


def test_the_journal_of_one_who_is_writing_is_left_alone(
    path: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    with Logbook.open(path, "pit") as log:
        log.connection.execute("BEGIN IMMEDIATE")
        bodies = [(UUID(int=77), NoteAdded(text="mid"))]
        write(log.connection, numbered(log.connection, "pit", bodies, now))
        assert path.with_name(f"{path.name}-journal").exists()
        assert not is_torn(path)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("profiles.logfile.BUSY_SECONDS", 0.05)
            with pytest.raises(OSError, match="another window is writing"):
                open_log(path, create=False)
        log.connection.execute("COMMIT")
    assert len(texts(path)) == 9
