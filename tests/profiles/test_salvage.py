"""A damaged log: what can be read is read, the rest is counted, and nothing falls over."""

import multiprocessing
import os
import random
import shutil
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from itertools import count
from pathlib import Path
from uuid import uuid4

import pytest

from profiles import durable
from profiles.exports import as_json, read_json
from profiles.logbook import Logbook
from profiles.logfile import LogError
from profiles.only_read import read_log
from profiles.salvage import filled_up, put_in_place, salvage, with_ends
from rules.book import shipped
from rules.log.events.event import Event
from rules.log.merge import state_of
from tests.support.sample import many

GOLDEN = Path(__file__).parents[1] / "golden"
PAGE = 4096


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(GOLDEN / "log-5.sqlite3", tmp_path / "log.sqlite3"))


@pytest.fixture
def events(path: Path) -> list[Event]:
    return read_log(path)


def overwrite(path: Path, at: int, data: bytes) -> None:
    content = path.read_bytes()
    path.write_bytes(content[:at] + data + content[at + len(data) :])


def lose(path: Path, *events: Event) -> None:
    """Spoil the rows of events, so that nothing tells them for rows."""
    data = path.read_bytes()
    for event in events:
        data = data.replace(str(event.id).encode(), b"\xff" * 36)
    path.write_bytes(data)


@pytest.mark.parametrize("number", range(1, 6))
def test_of_a_sound_log_every_event_is_read(number: int, tmp_path: Path) -> None:
    path = Path(shutil.copy(GOLDEN / f"log-{number}.sqlite3", tmp_path / "log.sqlite3"))
    found = salvage(path)
    assert (found.events, found.lost, found.gone) == (read_log(path), [], 0)


@pytest.mark.parametrize("spoil", ["head", "first page", "magic"])
def test_without_its_first_page_every_event_is_still_read(
    path: Path, events: list[Event], spoil: str
) -> None:
    overwrite(path, 0, {"head": b"\xff" * 100, "first page": bytes(PAGE), "magic": b"T"}[spoil])
    found = salvage(path)
    assert (found.events, found.rest) == (events, 0)


def test_a_row_that_cannot_be_read_is_named_and_one_that_is_gone_is_counted(
    path: Path, events: list[Event]
) -> None:
    whole = path.read_bytes()
    at = whole.index(b'{"kind": "meeting-opened"')
    overwrite(path, at, b"[")
    found = salvage(path)
    (lost,) = found.lost
    assert lost.kind == "meeting-opened"
    assert events[lost.position - 1].body.kind == "meeting-opened"
    assert len(found.events) == len(events) - 1
    path.write_bytes(whole)
    lose(path, events[-1])
    found = salvage(path)
    assert (found.events, found.lost, found.gone) == (events[:-1], [], 1)


def test_a_file_with_nothing_of_a_log_in_it_is_refused(path: Path) -> None:
    path.write_bytes(b"not a log" * 1000)
    with pytest.raises(LogError, match="nothing of a log of Setdown can be found"):
        salvage(path)


def test_a_log_made_of_what_was_read_asks_for_every_count(
    path: Path, events: list[Event], now: datetime
) -> None:
    before = path.read_bytes()
    at = before.index(b'{"kind": "meeting-opened"')
    overwrite(path, at, b"[")
    spoilt = path.read_bytes()
    journal = path.with_name("log.sqlite3-journal")
    journal.write_bytes(b"of a crash")
    made = with_ends(salvage(path), None, now, uuid4)
    kept = put_in_place(path, made, uuid4)
    assert kept.read_bytes() == spoilt
    assert kept.with_name(f"{kept.name}-journal").read_bytes() == b"of a crash"
    assert not journal.exists()
    with Logbook.open(path, "pit", create=False) as log:
        assert [one.id for one in log.events()] == [one.id for one in made]
        assert log.state.to_recount.keys() == log.state.settings.keys() > set()
        assert "1 could not" in log.state.notes[-1].text
    again = read_json(as_json(made, shipped()), "export")
    assert state_of(again).settings == state_of(events).settings
    assert put_in_place(path, made, uuid4) != kept


def test_an_older_copy_gives_what_it_has(path: Path, events: list[Event], now: datetime) -> None:
    lose(path, events[0], events[-1])
    older = events[:20]
    found = filled_up(salvage(path), older, "backup")
    assert found.events == events[:-1]
    assert found.rest == 1
    other = [event.model_copy(update={"id": uuid4()}) for event in events]
    with pytest.raises(LogError, match="backup: this is no older copy"):
        filled_up(salvage(path), other, "backup")


def test_a_log_that_lost_its_car_begins_with_the_car_file(
    path: Path, events: list[Event], now: datetime
) -> None:
    car = state_of(events).described_car
    lose(path, *(event for event in events if event.body.kind == "car-described"))
    found = salvage(path)
    assert found.state.car is None
    made = with_ends(found, car, now, uuid4)
    put_in_place(path, made, uuid4)
    with Logbook.open(path, "pit", create=False) as log:
        assert log.state.car == car
        assert log.state.to_recount.keys() == log.state.settings.keys() > set()


def store_and_die(path: Path, made: list[Event], step: int) -> None:
    """Put a log in place and die before one of the steps that give a file its name."""
    left = [step]

    def at_each(real: Callable[..., object]) -> Callable[..., object]:
        def one(*args: object, **named: object) -> object:
            left[0] -= 1
            if left[0] == 0:
                os._exit(86)
            return real(*args, **named)

        return one

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "replace", at_each(Path.replace))
        for name in ("sync_folder", "write_atomically"):
            patch.setattr(f"profiles.salvage.{name}", at_each(getattr(durable, name)))
        put_in_place(path, made, uuid4)
    os._exit(0)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is made by fork")
def test_killed_at_any_step_the_damaged_log_or_the_one_made_of_it_is_there_whole(
    path: Path, now: datetime
) -> None:
    journal = path.with_name("log.sqlite3-journal")
    overwrite(path, path.read_bytes().index(b'{"kind": "meeting-opened"'), b"[")
    spoilt = path.read_bytes()
    made = with_ends(salvage(path), None, now, uuid4)
    for step in count(1):
        for one in path.parent.iterdir():
            one.unlink()
        path.write_bytes(spoilt)
        journal.write_bytes(b"of a crash")
        fork = multiprocessing.get_context("fork")
        child = fork.Process(target=store_and_die, args=(path, made, step))
        child.start()
        child.join()
        there = {one.read_bytes() for one in path.parent.iterdir() if one.name[0] != "."}
        assert {spoilt, b"of a crash"} <= there
        if path.read_bytes() != spoilt:
            assert [one.id for one in read_log(path)] == [one.id for one in made]
        if child.exitcode == 0:
            assert step > 5
            return


def flipped(path: Path, seed: int) -> None:
    """Spoil a file as disks do: some bytes, a run of them, a page, or the end."""
    draw = random.Random(seed)
    data = bytearray(path.read_bytes())
    match seed % 4:
        case 0:
            for _ in range(draw.choice((1, 3, 30))):
                data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)
        case 1:
            at = draw.randrange(len(data))
            data[at : at + 200] = draw.randbytes(min(200, len(data) - at))
        case 2:
            at = draw.randrange(len(data) // PAGE) * PAGE
            data[at : at + PAGE] = draw.choice((bytes(PAGE), draw.randbytes(PAGE)))
        case 3:
            del data[draw.randrange(len(data)) :]
    path.write_bytes(data)


def opened_or_refused(path: Path) -> None:
    """Open a log and look at all of it, where it is not refused."""
    with suppress(LogError), Logbook.open(path, "pit", create=False) as log:
        log.events()
        _ = log.state.car


@pytest.mark.parametrize(
    "seeds",
    [
        pytest.param(range(24), id="some"),
        pytest.param(range(24, many(300, 4000)), id="many", marks=pytest.mark.sweep),
    ],
)
def test_whatever_is_flipped_nothing_falls_over_and_nothing_is_made_up(
    path: Path, events: list[Event], now: datetime, seeds: range
) -> None:
    whole, known = path.read_bytes(), {event.id for event in events}
    read = 0
    for seed in seeds:
        path.write_bytes(whole)
        flipped(path, seed)
        spoilt = path.read_bytes()
        try:
            found = salvage(path)
        except LogError:
            found = None
        assert path.read_bytes() == spoilt, seed
        if found is not None:
            read += len(found.events)
            # A flip in an id is a different id; any other event is one that was there.
            assert sum(event.id not in known for event in found.events) <= 30, seed
            made = with_ends(found, None, now, uuid4)
            assert read_json(as_json(made, shipped()), "export") == made, seed
        opened_or_refused(path)
    assert read > len(seeds) * len(events) // 3
