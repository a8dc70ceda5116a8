"""Another laptop's log, wherever it lies, and what a merge writes into ours."""

import os
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest

from profiles.backup import backup
from profiles.exports import ExportError, as_json
from profiles.files import SHIPPED_CARS, add_car, load_car
from profiles.log_refusals import LogMovedError
from profiles.logbook import Logbook
from profiles.logfile import LogError, copy_log
from profiles.only_read import only_events, read_log
from profiles.other_logs import keep_a_copy, other_events
from profiles.paths import DataFolder, data_folder
from profiles.snapshot import cooled
from rules.book import shipped
from rules.car.adjusters import starts
from rules.log.events.car import BaselineDeclared, CarDescribed, Recounted
from rules.log.events.event import Body, Event
from rules.log.events.meeting import NoteAdded
from rules.log.merge import merge

FreshIds = Callable[[int], Callable[[], UUID]]
NOW = datetime(2031, 5, 4, 10, 30, tzinfo=UTC)
CAR = load_car(SHIPPED_CARS / "demo.toml")
KNOB = "left front rebound"


@pytest.fixture
def ours(folder: DataFolder, fresh_ids: FreshIds) -> Path:
    """Our log, with the car file in it."""
    add_car(folder, SHIPPED_CARS / "demo.toml")
    path = folder.log_file("demo")
    begun = [CarDescribed(car=CAR), BaselineDeclared(baseline="b", name="B", settings=starts(CAR))]
    write(path, "pit", begun, fresh_ids(1))
    return path


@pytest.fixture
def theirs(ours: Path, tmp_path: Path) -> DataFolder:
    """Another data folder whose log began as a copy of ours."""
    other = data_folder(tmp_path / "other")
    add_car(other, SHIPPED_CARS / "demo.toml")
    copy_log(ours, other.log_file("demo"))
    return other


def write(
    path: Path, device: str, bodies: list[Body], ids: Callable[[], UUID], later_s: int = 0
) -> None:
    with Logbook.open(path, device) as log:
        log.append(bodies, now=NOW + timedelta(seconds=later_s), ids=ids)


def take_in(path: Path, events: list[Event], ids: Callable[[], UUID]) -> Logbook:
    log = Logbook.open(path, "pit")
    found = merge(log.events(), events)
    log.take_in(found.events, found.closing, now=NOW + timedelta(hours=1), ids=ids)
    return log


def test_a_log_is_found_in_every_kind_of_place(
    folder: DataFolder, theirs: DataFolder, tmp_path: Path, fresh_ids: FreshIds
) -> None:
    log = theirs.log_file("demo")
    write(log, "tower", [NoteAdded(text="there")], fresh_ids(100))
    events = read_log(log)
    zipped, exported = tmp_path / "b.zip", tmp_path / "e.json"
    backup(theirs, zipped)
    exported.write_bytes(as_json(events, shipped()))
    for place in (theirs.root, log, zipped, exported):
        with other_events(place, folder, "demo") as found:
            assert list(found) == events


def test_what_is_no_log_of_the_car_is_refused_by_name(
    folder: DataFolder, ours: Path, theirs: DataFolder, tmp_path: Path
) -> None:
    junk, damaged, empty_zip = tmp_path / "junk", tmp_path / "d.sqlite3", tmp_path / "e.zip"
    junk.write_bytes(b"not a log at all")
    data = bytearray(theirs.log_file("demo").read_bytes())
    data[5000:9000] = os.urandom(4000)
    damaged.write_bytes(data)
    with zipfile.ZipFile(empty_zip, "w") as archive:
        archive.writestr("real/cars/other/log.sqlite3", b"")
    spoilt_zip = tmp_path / "s.zip"
    backup(theirs, spoilt_zip)
    whole = bytearray(spoilt_zip.read_bytes())
    with zipfile.ZipFile(spoilt_zip) as archive:
        at = archive.getinfo("real/cars/demo/log.sqlite3").header_offset
    whole[at + 200 : at + 260] = b"\0" * 60
    spoilt_zip.write_bytes(whole)
    bad_json = tmp_path / "b.json"
    bad_json.write_bytes(b"{")
    before = ours.read_bytes()
    for place in (junk, damaged, empty_zip, spoilt_zip, bad_json, tmp_path, tmp_path / "none"):
        with (
            pytest.raises((LogError, ExportError), match=place.name),
            other_events(place, folder, "demo"),
        ):
            pass
    assert ours.read_bytes() == before


def test_a_merge_is_in_the_log_and_is_read_again_alike(
    ours: Path, theirs: DataFolder, fresh_ids: FreshIds
) -> None:
    other = theirs.log_file("demo")
    write(ours, "pit", [Recounted(adjuster=KNOB, found=6)], fresh_ids(10), 60)
    write(other, "tower", [Recounted(adjuster=KNOB, found=9)], fresh_ids(20), 30)
    with take_in(ours, read_log(other), fresh_ids(30)) as log:
        assert log.state.disputed == {KNOB: (6, 9)}
        kept = {(event.id.int, event.device, event.seq) for event in log.events()}
        assert kept == {(1, "pit", 1), (2, "pit", 2), (10, "pit", 3), (20, "tower", 1)} | {
            (30, "pit", 4)
        }
        assert [event.at for event in log.events() if event.device == "tower"] == [
            NOW + timedelta(seconds=30)
        ]
        log.append([NoteAdded(text="on")], now=NOW, ids=fresh_ids(40))
        with Logbook.open(ours, "pit") as again:
            assert again.state == log.state
        # Strict for what is written here, though the log was merged.
        with pytest.raises(KeyError):
            log.append([Recounted(adjuster="no such", found=1)], now=NOW, ids=fresh_ids(50))
        assert log.events()[-1].seq == 5


def test_logs_that_are_read_as_they_are_wanted_join_as_those_that_are_held(
    folder: DataFolder, ours: Path, theirs: DataFolder, fresh_ids: FreshIds
) -> None:
    """Parted, and parted again after they were joined once."""
    other = theirs.log_file("demo")
    for number in (10, 20):
        write(ours, "pit", [NoteAdded(text="here")], fresh_ids(number), 60 * number)
        write(other, "tower", [NoteAdded(text="there")], fresh_ids(number + 100), 60 * number)
        with only_events(ours) as mine, other_events(theirs.root, folder, "demo") as found:
            held = merge(list(mine), list(found))
            assert merge(mine, found, cooled) == held
        with take_in(ours, list(read_log(other)), fresh_ids(number + 200)) as log:
            assert log.state == replace(held.state, now=log.state.now)


def test_a_copied_folder_under_one_device_name_loses_nothing(
    ours: Path, theirs: DataFolder, fresh_ids: FreshIds
) -> None:
    other = theirs.log_file("demo")
    write(ours, "pit", [NoteAdded(text="here")], fresh_ids(10))
    write(other, "pit", [NoteAdded(text="there")], fresh_ids(20))
    with take_in(ours, read_log(other), fresh_ids(30)) as log:
        assert [note.text for note in log.state.notes] == ["here", "there"]
        log.append([NoteAdded(text="on")], now=NOW, ids=fresh_ids(40))
        assert [(e.device, e.seq) for e in log.events() if e.device == "pit"][-1] == ("pit", 5)
        with take_in(other, log.events(), fresh_ids(50)) as back:
            assert back.state == log.state


def test_a_log_that_moved_meanwhile_is_not_merged_into(
    ours: Path, theirs: DataFolder, fresh_ids: FreshIds
) -> None:
    other = theirs.log_file("demo")
    write(other, "tower", [NoteAdded(text="there")], fresh_ids(20))
    with Logbook.open(ours, "pit") as log:
        found = merge(log.events(), read_log(other))
        write(ours, "x", [NoteAdded(text="meanwhile")], fresh_ids(60))
        with pytest.raises(LogMovedError):
            log.take_in(found.events, found.closing, now=NOW, ids=fresh_ids(30))
        assert [note.text for note in log.state.notes] == ["meanwhile"]


def test_events_that_do_not_fit_an_unmerged_log_leave_it_untouched(
    ours: Path, fresh_ids: FreshIds
) -> None:
    with Logbook.open(ours, "pit") as log:
        before = log.state
        odd = log.events()[0].model_copy(
            update={"id": UUID(int=99), "seq": 9, "body": Recounted(adjuster="none", found=1)}
        )
        with pytest.raises(LogError, match="does not fit"):
            log.take_in([odd], None, now=NOW, ids=fresh_ids(30))
        assert log.state == before
        assert len(log.events()) == 2


def test_a_copy_of_ours_is_kept_beside_it(ours: Path) -> None:
    first, second = keep_a_copy(ours), keep_a_copy(ours)
    assert first != second
    assert first.parent == ours.parent
    assert read_log(first) == read_log(second) == read_log(ours)
