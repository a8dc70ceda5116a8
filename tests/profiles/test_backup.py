"""The backup: everything, checked, or nothing."""

import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from uuid import UUID

import pytest

from profiles.backup import BackupError, backup
from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder, data_folder
from rules.log.events.car import CarDescribed
from rules.log.events.meeting import NoteAdded

Ids = Callable[[], UUID]


@pytest.fixture
def filled(folder: DataFolder, now: datetime, ids: Ids) -> DataFolder:
    """A data folder with a car, its log and a rule page, and a demonstration car."""
    for half, name in (
        (folder, "leaf-metric.toml"),
        (data_folder(folder.root, demo=True), "demo.toml"),
    ):
        car = add_car(half, SHIPPED_CARS / name)
        with Logbook.open(half.log_file(car.id), half.device_id()) as log:
            log.append([CarDescribed(car=car), NoteAdded(text="x")], now=now, ids=ids)
    (folder.home / "rules").mkdir()
    (folder.home / "rules" / "own.toml").write_bytes(b"# ours\r\n")
    return folder


def test_a_backup_unpacks_to_the_same_data(filled: DataFolder, tmp_path: Path) -> None:
    target = tmp_path / "backup.zip"
    report = backup(filled, target)
    assert (report.path, report.files, report.logs, report.events) == (target, 6, 2, 4)
    with zipfile.ZipFile(target) as archive:
        archive.extractall(tmp_path / "again")
    again = DataFolder(tmp_path / "again")
    assert again.cars() == filled.cars() == ["leaf-metric"]
    assert again.device_id() == filled.device_id()
    for half in (again, DataFolder(again.root, demo=True)):
        source = DataFolder(filled.root, half.demo)
        assert half.own_rules() == source.own_rules()
        for car_id in half.cars():
            assert half.car_file(car_id).read_bytes() == source.car_file(car_id).read_bytes()
            with (
                Logbook.open(half.log_file(car_id), "pit") as copy,
                Logbook.open(source.log_file(car_id), "pit") as log,
            ):
                assert copy.events() == log.events()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["again", "backup.zip", "data"]


def test_a_log_in_use_is_kept_as_of_its_last_commit(filled: DataFolder, tmp_path: Path) -> None:
    path = filled.log_file("leaf-metric")
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA cache_size = 1")
        other.execute("BEGIN")
        assert backup(filled, tmp_path / "reading.zip").events == 4
        other.execute("SELECT * FROM events").fetchall()
        assert backup(filled, tmp_path / "read.zip").events == 4


def test_a_log_that_was_never_begun_is_kept_as_it_is(filled: DataFolder, tmp_path: Path) -> None:
    filled.log_file("leaf-metric").write_bytes(b"")
    assert backup(filled, tmp_path / "backup.zip").logs == 1


def test_an_existing_file_is_not_overwritten(filled: DataFolder, tmp_path: Path) -> None:
    target = tmp_path / "backup.zip"
    target.write_bytes(b"older")
    with pytest.raises(BackupError, match=r"backup\.zip: exists already"):
        backup(filled, target)
    assert target.read_bytes() == b"older"


def test_a_backup_does_not_go_into_what_it_keeps(filled: DataFolder) -> None:
    with pytest.raises(BackupError, match="lies inside the data folder"):
        backup(filled, filled.home / "backup.zip")


def test_an_empty_folder_is_no_backup(tmp_path: Path) -> None:
    with pytest.raises(BackupError, match="there is nothing to back up"):
        backup(DataFolder(tmp_path / "none"), tmp_path / "backup.zip")


def damage_log(folder: DataFolder) -> None:
    path = folder.log_file("leaf-metric")
    content = path.read_bytes()
    path.write_bytes(content[:4096] + b"\xff" * (len(content) - 4096))


def replace_log(folder: DataFolder) -> None:
    folder.log_file("leaf-metric").write_bytes(b"not a log")


@pytest.mark.parametrize("spoil", [damage_log, replace_log])
def test_a_spoilt_log_is_not_taken_for_a_backup(
    filled: DataFolder, tmp_path: Path, spoil: Callable[[DataFolder], None]
) -> None:
    spoil(filled)
    with pytest.raises(BackupError, match=r"nothing was backed up: .*log\.sqlite3"):
        backup(filled, tmp_path / "backup.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_a_missing_place_is_named(filled: DataFolder, tmp_path: Path) -> None:
    with pytest.raises(BackupError, match="none: there is no such folder"):
        backup(filled, tmp_path / "none" / "backup.zip")


def flip_a_byte(unchecked: Path) -> None:
    content = bytearray(unchecked.read_bytes())
    content[200] ^= 0xFF
    unchecked.write_bytes(content)


def add_an_entry(unchecked: Path) -> None:
    with zipfile.ZipFile(unchecked, "a") as archive:
        archive.writestr("more", b"")


@pytest.mark.parametrize("spoil", [flip_a_byte, add_an_entry])
def test_a_zip_that_reads_back_differently_is_no_backup(
    filled: DataFolder,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    spoil: Callable[[Path], None],
) -> None:
    from profiles import backup as module

    check = module.check

    def spoil_and_check(unchecked: Path, *rest: object) -> None:
        spoil(unchecked)
        check(unchecked, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "check", spoil_and_check)
    with pytest.raises(BackupError, match="nothing was backed up"):
        backup(filled, tmp_path / "backup.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_a_disk_that_fails_leaves_nothing_behind(
    filled: DataFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(BackupError, match="No space left on device"):
        backup(filled, tmp_path / "backup.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_a_backup_that_was_killed_leaves_nothing_beside_it(
    filled: DataFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it works with stands among the system's own temporary files all the while."""
    beside: list[list[str]] = []

    def look(*_: object) -> None:
        beside.append([one.name for one in (tmp_path / "usb").iterdir()])

    (tmp_path / "usb").mkdir()
    monkeypatch.setattr("profiles.backup.check", look)
    backup(filled, tmp_path / "usb" / "backup.zip")
    assert beside == [[]]
