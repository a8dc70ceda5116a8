"""A restore: verified first, whole or not at all, the folder that was there kept beside."""

import multiprocessing
import os
import random
import shutil
import stat
import zipfile
from collections.abc import Callable
from datetime import datetime
from itertools import count
from pathlib import Path
from uuid import UUID

import pytest

from profiles.backup import backup
from profiles.durable import sync_folder
from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.open_windows import open_window
from profiles.paths import DataFolder, data_folder
from profiles.restore import RestoreError, restore, told
from rules.log.events.car import CarDescribed
from rules.log.events.meeting import NoteAdded
from tests.support.sample import many

FreshIds = Callable[[int], Callable[[], UUID]]
Files = dict[str, bytes]
DIED = 86
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is made by fork")


def files_of(root: Path) -> Files:
    return {
        one.relative_to(root).as_posix(): one.read_bytes()
        for one in sorted(root.rglob("*"))
        if one.is_file() and one.name != "device"
    }


@pytest.fixture
def filled(folder: DataFolder, now: datetime, fresh_ids: FreshIds) -> DataFolder:
    """A data folder with a car, its log and a rule page."""
    car = add_car(folder, SHIPPED_CARS / "leaf-metric.toml")
    with Logbook.open(folder.log_file(car.id), folder.device_id()) as log:
        log.append([CarDescribed(car=car), NoteAdded(text="x")], now=now, ids=fresh_ids(1))
    (folder.home / "rules").mkdir()
    (folder.home / "rules" / "own.toml").write_bytes(b"# ours\r\n")
    return folder


@pytest.fixture
def kept(filled: DataFolder, tmp_path: Path) -> Path:
    """A backup of it."""
    backup(filled, tmp_path / "b.zip")
    return tmp_path / "b.zip"


def in_backup(kept: Path) -> Files:
    with zipfile.ZipFile(kept) as archive:
        return {name: archive.read(name) for name in archive.namelist() if name != "device"}


def note(folder: DataFolder, now: datetime, ids: Callable[[], UUID]) -> None:
    with Logbook.open(folder.log_file("leaf-metric"), folder.device_id()) as log:
        log.append([NoteAdded(text="later")], now=now, ids=ids)


@pytest.mark.parametrize("what", ["none", "empty", "skeleton"])
def test_into_an_empty_place(kept: Path, tmp_path: Path, now: datetime, what: str) -> None:
    root = tmp_path / "new" / "data"
    if what == "empty":
        root.mkdir(parents=True)
    elif what == "skeleton":
        data_folder(root)
    report = restore(DataFolder(root), kept, now)
    assert (report.logs, report.events, report.kept, report.newer) == (1, 2, None, ())
    assert files_of(root) == in_backup(kept)
    assert [one.name for one in root.parent.iterdir()] == ["data"]


def test_what_was_there_is_kept_whole_and_what_it_has_more_is_told(
    filled: DataFolder, kept: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    device = filled.device_id()
    note(filled, now, fresh_ids(50))
    journal = filled.log_file("leaf-metric").with_name("log.sqlite3-journal")
    journal.write_bytes(b"left by a crash")
    before = files_of(filled.root)
    report = restore(filled, kept, now)
    assert report.kept == filled.root.with_name("data-before-restore-20310504-103000")
    assert files_of(report.kept) == before
    assert files_of(filled.root) == in_backup(kept)
    assert filled.device_id() != device
    (newer,) = report.newer
    assert (newer.car_id, newer.events) == ("leaf-metric", 1)
    assert newer.log.is_file()
    assert "1 event that the backup has not" in told(report)[-1]
    again = restore(filled, kept, now)
    assert again.kept == filled.root.with_name("data-before-restore-20310504-103000-2")
    assert again.newer == ()


def test_a_damaged_log_of_before_is_named(filled: DataFolder, kept: Path, now: datetime) -> None:
    path = filled.log_file("leaf-metric")
    path.write_bytes(path.read_bytes()[:4096] + b"\xff" * 9000)
    report = restore(filled, kept, now)
    assert [one.events for one in report.newer] == [None]
    assert "setdown salvage" in told(report)[-1]


def test_a_folder_that_lies_elsewhere_stays_there(
    filled: DataFolder, kept: Path, tmp_path: Path, now: datetime
) -> None:
    link = tmp_path / "link"
    try:
        link.symlink_to(filled.root, target_is_directory=True)
    except OSError:
        pytest.skip("no links here")
    assert restore(DataFolder(link), kept, now).root == filled.root
    assert link.is_symlink()


def test_a_car_that_is_open_is_named(filled: DataFolder, kept: Path, now: datetime) -> None:
    before = files_of(filled.root)
    with (
        open_window(filled.log_file("leaf-metric").parent, now, "Ann on pit-1"),
        pytest.raises(RestoreError, match="'leaf-metric' is open in a window of Ann on pit-1"),
    ):
        restore(filled, kept, now)
    assert {k: v for k, v in files_of(filled.root).items() if "/.open" not in k} == before


def write_zip(path: Path, names: dict[str, bytes], mode: int = 0o644) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in names.items():
            entry = zipfile.ZipInfo(name)
            entry.external_attr = mode << 16
            archive.writestr(entry, data)


CAR = "real/cars/demo/car.toml"


def truncated(path: Path, data: bytes) -> None:
    path.write_bytes(data[:-300])


def spoilt(path: Path, data: bytes) -> None:
    path.write_bytes(data[:200] + bytes([data[200] ^ 0xFF]) + data[201:])


def with_bad_log(path: Path, data: bytes) -> None:
    write_zip(path, {CAR: b"", "real/cars/demo/log.sqlite3": b"not a log at all"})


BAD: dict[str, tuple[Callable[[Path, bytes], object], str]] = {
    "nothing": (lambda path, _: None, "there is no such file"),
    "text": (lambda path, _: path.write_bytes(b"hello"), "no backup of Setdown"),
    "cut off": (truncated, "no backup of Setdown"),
    "a byte flipped": (spoilt, "damaged"),
    "another zip": (lambda path, _: write_zip(path, {"holiday.txt": b""}), "holiday.txt"),
    "nothing in it": (lambda path, _: write_zip(path, {}), "no backup of Setdown"),
    "out of the folder": (lambda path, _: write_zip(path, {"real/../../x": b""}), "no backup of"),
    "from the root": (lambda path, _: write_zip(path, {"/etc/x": b""}), "no backup of"),
    "a drive": (lambda path, _: write_zip(path, {"real/c:\\x": b""}), "no backup of"),
    "a link": (lambda path, _: write_zip(path, {CAR: b"/"}, stat.S_IFLNK | 0o777), "no backup of"),
    "twice": (lambda path, _: write_zip(path, {CAR: b"", CAR.replace("car.", "CAR."): b""}), "CAR"),
    "a journal": (lambda path, _: write_zip(path, {f"{CAR}-journal": b""}), "packed by hand"),
    "a bad log": (with_bad_log, "demo/log.sqlite3: this is not a log of Setdown"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_no_sound_backup_changes_nothing(
    filled: DataFolder, kept: Path, now: datetime, case: str
) -> None:
    make, says = BAD[case]
    bad = kept.with_name("bad.zip")
    make(bad, kept.read_bytes())
    before, there = files_of(filled.root), sorted(filled.root.parent.iterdir())
    with pytest.raises(RestoreError, match="nothing was restored") as said:
        restore(filled, bad, now)
    assert says in str(said.value)
    assert "\n" not in str(said.value)
    assert files_of(filled.root) == before
    assert sorted(filled.root.parent.iterdir()) == there


@pytest.mark.parametrize("free", [100])
def test_a_disk_without_room_is_told_before_anything_is_unpacked(
    filled: DataFolder, kept: Path, now: datetime, free: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = shutil.disk_usage(filled.root)._replace(free=free)
    monkeypatch.setattr("profiles.restore.shutil.disk_usage", lambda _: usage)
    with pytest.raises(RestoreError, match="no room"):
        restore(filled, kept, now)


def doomed(patch: pytest.MonkeyPatch, step: int, grief: Callable[[], None]) -> None:
    """Come to grief before one of the steps that reach the disk."""
    left = [step]

    def at_each(real: Callable[..., object]) -> Callable[..., object]:
        def one(*args: object, **named: object) -> object:
            left[0] -= 1
            if left[0] == 0:
                grief()
            return real(*args, **named)

        return one

    patch.setattr(Path, "rename", at_each(Path.rename))
    patch.setattr(Path, "mkdir", at_each(Path.mkdir))
    patch.setattr("profiles.restore.shutil.copyfileobj", at_each(shutil.copyfileobj))
    patch.setattr("profiles.restore.sync_folder", at_each(sync_folder))


def work(root: Path, kept: Path, step: int, now: datetime) -> None:
    with pytest.MonkeyPatch.context() as patch:
        doomed(patch, step, lambda: os._exit(DIED))
        restore(DataFolder(root), kept, now)
    os._exit(0)


@pytest.mark.long
@needs_fork
def test_killed_at_any_step_the_old_folder_or_the_restored_one_is_there_whole(
    filled: DataFolder, kept: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    note(filled, now, fresh_ids(50))
    old, new = files_of(filled.root), in_backup(kept)
    between = 0
    for step in count(1):
        root = kept.parent / f"{step}" / "data"
        shutil.copytree(filled.root, root)
        child = multiprocessing.get_context("fork").Process(
            target=work, args=(root, kept, step, now)
        )
        child.start()
        child.join()
        assert child.exitcode in (0, DIED)
        between += not root.exists()
        data_folder(root)  # The next start, which would make a fresh folder where there is none.
        there = files_of(root)
        beside = [
            one for one in root.parent.glob("data-before-restore-*") if "resto" not in one.suffix
        ]
        assert there == old or (there == new and [files_of(one) for one in beside] == [old])
        restore(DataFolder(root), kept, now)
        assert files_of(root) == new
        if child.exitcode == 0:
            assert between == 2
            return


def test_failing_at_any_step_nothing_is_changed(
    filled: DataFolder, kept: Path, now: datetime
) -> None:
    def fail() -> None:
        raise OSError(28, "No space left on device")

    old = files_of(filled.root)
    for step in count(1):
        with pytest.MonkeyPatch.context() as patch:
            doomed(patch, step, fail)
            try:
                restore(filled, kept, now)
                break
            except RestoreError as error:
                said = str(error)
        assert "No space left on device" in said
        assert files_of(filled.root) == old
        assert sorted(one.name for one in filled.root.parent.iterdir()) == ["b.zip", "data"]
    assert files_of(filled.root) == in_backup(kept)
    assert step > 10


@pytest.mark.parametrize(
    "seeds",
    [
        pytest.param(range(12), id="some"),
        pytest.param(range(12, many(120, 1000)), id="many", marks=pytest.mark.sweep),
    ],
)
def test_a_backup_with_flipped_bytes_is_restored_as_it_was_or_refused(
    filled: DataFolder, kept: Path, now: datetime, seeds: range
) -> None:
    whole, wanted = kept.read_bytes(), in_backup(kept)
    refused = 0
    for seed in seeds:
        draw = random.Random(seed)
        data = bytearray(whole)
        # The list of files stands at the end and is short, so that every other flip is in it.
        first = len(data) - 700 if seed % 2 else 0
        for _ in range(draw.choice((1, 1, 5))):
            data[draw.randrange(first, len(data))] ^= 1 << draw.randrange(8)
        kept.write_bytes(data)
        root = kept.parent / "new"
        try:
            restore(DataFolder(root), kept, now)
        except RestoreError:
            refused += 1
            assert not root.exists(), seed
        else:
            there = files_of(root)
            assert all(there[name] == wanted.get(name, there[name]) for name in there), seed
            shutil.rmtree(root)
    assert refused > len(seeds) // 2
