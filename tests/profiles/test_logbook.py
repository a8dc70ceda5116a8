"""The log: it only grows, writes all of an answer or none, and refuses what it cannot read."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files import SHIPPED_CARS, load_car
from profiles.log_refusals import LogMovedError
from profiles.logbook import Logbook
from profiles.logfile import APPLICATION_ID, LogError, copy_log
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.log.events.meeting import MeetingOpened, NoteAdded
from rules.log.events.passes import PassRun
from rules.log.folds.fold import fold

Ids = Callable[[], UUID]
FreshIds = Callable[[int], Ids]
NOW = datetime(2031, 5, 4, 10, 30, tzinfo=UTC)


def notes(*texts: str) -> list[NoteAdded]:
    return [NoteAdded(text=text) for text in texts]


def texts_of(log: Logbook) -> list[str]:
    return [note.text for note in log.state.notes]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "log.sqlite3"


@pytest.fixture
def log(path: Path) -> Iterator[Logbook]:
    with Logbook.open(path, "pit") as log:
        yield log


def test_what_was_written_is_read_again(log: Logbook, path: Path, now: datetime, ids: Ids) -> None:
    car = load_car(SHIPPED_CARS / "leaf-metric.toml")
    log.append([CarDescribed(car=car)], now=now, ids=ids)
    log.append([MeetingOpened(meeting="m", name="M"), *notes("x")], now=now, ids=ids)
    with Logbook.open(path, "other") as again:
        assert again.state == log.state
        assert again.state.car == car
        assert again.events() == log.events()
    assert [event.seq for event in log.events()] == [1, 2, 3]
    assert {event.device for event in log.events()} == {"pit"}
    assert fold(log.events()) == log.state


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[bold]x[/]",
        "\x1b[31m",
        "a\nb\r\nc",
        "\u202eسيارة",
        "'; DROP TABLE events; --",
        "x" * 10_000,
    ],
    ids=["empty", "markup", "ansi", "lines", "right to left", "sql", "long"],
)
def test_words_are_kept_as_typed(
    log: Logbook, path: Path, now: datetime, ids: Ids, text: str
) -> None:
    log.append(notes(text), now=now, ids=ids)
    with Logbook.open(path, "pit") as again:
        assert texts_of(again) == [text]


@given(st.dictionaries(st.text(max_size=5), st.floats(allow_nan=False), max_size=5))
def test_numbers_are_kept_to_the_last_bit(settings: dict[str, float]) -> None:
    body = BaselineDeclared(baseline="b", name="B", settings=settings)
    with Logbook.in_memory("pit") as log:
        log.append([body], now=NOW, ids=lambda: UUID(int=1))
        (event,) = log.events()
    assert event.body == body


def test_a_time_keeps_its_zone(log: Logbook, path: Path, ids: Ids) -> None:
    local = datetime(2031, 5, 4, 12, 30, 1, 5, tzinfo=timezone(timedelta(hours=-5)))
    log.append(notes("x"), now=local, ids=ids)
    with Logbook.open(path, "pit") as again:
        (event,) = again.events()
    assert event.at == local
    assert event.at.utcoffset() == timedelta(hours=-5)


def test_a_time_without_a_zone_is_refused(log: Logbook, now: datetime, ids: Ids) -> None:
    with pytest.raises(ValueError, match="without a time zone"):
        log.append(notes("x"), now=now.replace(tzinfo=None), ids=ids)


def test_nothing_to_write_changes_nothing(log: Logbook, now: datetime, ids: Ids) -> None:
    assert log.append([], now=now, ids=ids) == log.state
    assert log.events() == []


def test_a_retry_is_harmless(log: Logbook, now: datetime, fresh_ids: FreshIds) -> None:
    log.append(notes("a", "b"), now=now, ids=fresh_ids(1))
    log.append(notes("a", "b"), now=now, ids=fresh_ids(1))
    state = log.append(notes("a", "b", "c"), now=now, ids=fresh_ids(1))
    assert [note.text for note in state.notes] == ["a", "b", "c"]
    assert state.events == len(log.events()) == 3


def test_a_body_that_does_not_fit_writes_nothing_of_its_answer(
    log: Logbook, now: datetime, ids: Ids
) -> None:
    before = log.state
    with pytest.raises(KeyError):
        log.append([*notes("x"), PassRun(run="r", change="none such")], now=now, ids=ids)
    assert log.state == before
    assert log.events() == []
    assert log.append(notes("y"), now=now, ids=ids).events == 1


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE events SET body = '{}'",
        "DELETE FROM events",
        "DELETE FROM events WHERE position = 1",
        "INSERT OR REPLACE INTO events SELECT * FROM events",
        "REPLACE INTO events SELECT position + 9, id, device, seq + 9, at, kind, '' FROM events",
        "REPLACE INTO events SELECT position + 9, '', device, seq, at, kind, '' FROM events",
        "INSERT INTO events SELECT * FROM events WHERE true ON CONFLICT DO UPDATE SET body = ''",
    ],
)
def test_no_statement_changes_what_happened(
    log: Logbook, path: Path, now: datetime, ids: Ids, statement: str
) -> None:
    log.append(notes("a"), now=now, ids=ids)
    with (
        closing(sqlite3.connect(path)) as other,
        pytest.raises(sqlite3.IntegrityError, match="the log only grows"),
    ):
        other.execute(statement)
    with Logbook.open(path, "pit") as again:
        assert texts_of(again) == ["a"]


def test_of_two_programs_the_later_looks_again(
    log: Logbook, path: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    with Logbook.open(path, "trailer") as other:
        log.append(notes("a"), now=now, ids=fresh_ids(1))
        with pytest.raises(LogMovedError, match="another window answered for this car"):
            other.append(notes("b"), now=now, ids=fresh_ids(100))
        assert texts_of(other) == ["a"]
        other.append(notes("b"), now=now, ids=fresh_ids(200))
        assert texts_of(other) == ["a", "b"]
        assert [(event.device, event.seq) for event in other.events()] == [
            ("pit", 1),
            ("trailer", 1),
        ]


def test_an_answer_that_landed_after_all_may_be_given_again(
    log: Logbook, path: Path, now: datetime, fresh_ids: FreshIds
) -> None:
    with Logbook.open(path, "pit") as before_failing:
        log.append(notes("a"), now=now, ids=fresh_ids(1))
        before_failing.append(notes("a"), now=now, ids=fresh_ids(1))
        assert texts_of(before_failing) == ["a"]


def test_events_are_those_of_the_state(log: Logbook, path: Path, now: datetime, ids: Ids) -> None:
    with Logbook.open(path, "trailer") as other:
        log.append(notes("a"), now=now, ids=ids)
        assert other.events() == []


def test_a_log_held_by_another_program_is_said(
    path: Path, now: datetime, ids: Ids, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("profiles.logfile.BUSY_SECONDS", 0.01)
    with Logbook.open(path, "pit") as log, closing(sqlite3.connect(path)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogError, match="another window is writing to this log"):
            log.append(notes("a"), now=now, ids=ids)
        other.rollback()
        assert log.append(notes("a"), now=now, ids=ids).events == 1


def test_a_log_in_memory_is_a_log(now: datetime, ids: Ids) -> None:
    with Logbook.in_memory("pit") as log:
        log.append(notes("a"), now=now, ids=ids)
        assert texts_of(log) == ["a"]


ON_POSIX = pytest.param(
    "a?mode=ro", marks=pytest.mark.skipif(os.name == "nt", reason="no name on Windows")
)


@pytest.mark.parametrize("name", [ON_POSIX, "a#b", "a%20b", "ü 車", "a&b"])
def test_a_log_may_stand_at_any_path(tmp_path: Path, now: datetime, ids: Ids, name: str) -> None:
    path = tmp_path / name / "log.sqlite3"
    with Logbook.open(path, "pit") as log:
        log.append(notes("a"), now=now, ids=ids)
    assert copy_log(path, path.with_name(f"copy {name}")) == 1
    assert sorted(one.name for one in path.parent.iterdir()) == [f"copy {name}", "log.sqlite3"]


def test_a_copy_never_overwrites(log: Logbook, path: Path, tmp_path: Path) -> None:
    (tmp_path / "there").write_bytes(b"mine")
    with pytest.raises(LogError, match="there: exists already"):
        copy_log(path, tmp_path / "there")
    assert (tmp_path / "there").read_bytes() == b"mine"


def make_database(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as database:
        for statement in statements:
            database.execute(statement)
        database.commit()


def refused(path: Path, *, create: bool = True) -> str:
    """Return the refusal, after checking that nothing near the file changed."""
    before = {p.name: p.read_bytes() for p in path.parent.iterdir() if p.is_file()}
    with pytest.raises(LogError) as caught:
        Logbook.open(path, "pit", create=create)
    assert {p.name: p.read_bytes() for p in path.parent.iterdir() if p.is_file()} == before
    assert str(caught.value).startswith(f"{path}: ")
    return str(caught.value).removeprefix(f"{path}: ")


@pytest.mark.parametrize(
    "content", [b"x", b"hello\n" * 2000, b"SQLite format 3\x00" + b"\xff" * 84]
)
def test_what_is_not_a_database_is_refused(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    assert refused(path) == "this is not a log of Setdown; nothing was changed"


@pytest.mark.parametrize("mode", ["DELETE", "WAL"])
def test_a_database_of_another_program_is_refused(path: Path, mode: str) -> None:
    make_database(path, f"PRAGMA journal_mode = {mode}", "CREATE TABLE events (a)")
    assert refused(path) == "this is not a log of Setdown; nothing was changed"


def test_a_newer_log_is_refused(path: Path) -> None:
    make_database(
        path,
        f"PRAGMA application_id = {APPLICATION_ID}",
        "PRAGMA user_version = 2",
        "CREATE TABLE other (a)",
    )
    assert refused(path) == "this log was written by a newer Setdown; nothing was changed"


def test_a_log_without_its_table_is_refused(path: Path) -> None:
    make_database(path, f"PRAGMA application_id = {APPLICATION_ID}", "PRAGMA user_version = 1")
    assert refused(path) == "SQLite says: no such table: events"


def test_a_damaged_log_is_refused(log: Logbook, path: Path, now: datetime, ids: Ids) -> None:
    log.append(notes("x" * 9000), now=now, ids=ids)
    log.close()
    content = path.read_bytes()
    path.write_bytes(content[:100] + b"\xff" * (len(content) - 100))
    assert refused(path).startswith("this log is damaged; nothing was changed: setdown restore")


def test_a_missing_log_is_not_made_unasked(path: Path) -> None:
    assert refused(path, create=False) == "there is no log here"
    assert not path.exists()


def test_an_empty_file_becomes_a_log_only_when_asked(path: Path) -> None:
    path.write_bytes(b"")
    assert refused(path, create=False) == "there is no log here"
    with Logbook.open(path, "pit") as log:
        assert log.state.events == 0


def test_a_folder_is_refused(path: Path) -> None:
    path.mkdir()
    assert refused(path) == "this is a folder, not a log"


def test_a_file_in_place_of_the_folder_is_named(path: Path) -> None:
    path.write_bytes(b"in the way")
    with pytest.raises(LogError, match=r"log\.sqlite3: cannot be used \(Not a folder\)"):
        Logbook.open(path / "log", "pit")


def test_a_read_only_log_is_said(log: Logbook, path: Path) -> None:
    log.close()
    uri = f"{path.as_uri()}?mode=ro"
    read_only = sqlite3.connect(uri, uri=True, isolation_level=None)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("profiles.logfile.connect", lambda *_: read_only)
        patch.setattr("profiles.logfile.recognise", lambda *_: None)
        assert refused(path) == "this log is read-only; nothing was written"


def test_a_full_disk_writes_nothing_and_can_be_made_room_on(
    log: Logbook, now: datetime, ids: Ids
) -> None:
    log.append(notes("a"), now=now, ids=ids)
    pages = log.connection.execute("PRAGMA page_count").fetchone()[0]
    log.connection.execute(f"PRAGMA max_page_count = {pages}")
    before = log.state
    with pytest.raises(LogError, match="the disk is full; nothing was written"):
        log.append(notes("b", "c" * 10_000), now=now, ids=ids)
    assert log.state is before
    log.connection.execute("PRAGMA max_page_count = 1000")
    log.append(notes("d"), now=now, ids=ids)
    assert texts_of(log) == ["a", "d"]


def test_a_log_that_was_moved_away_is_said(
    log: Logbook, path: Path, now: datetime, ids: Ids
) -> None:
    path.rename(path.with_name("elsewhere"))
    with pytest.raises(LogError, match="moved or deleted while it was in use"):
        log.append(notes("a"), now=now, ids=ids)
    assert log.state.events == 0


INSERT = "INSERT INTO events (id, device, seq, at, kind, body) VALUES (?, ?, ?, ?, ?, ?)"
GOOD = (str(UUID(int=99)), "pit", 2, "2031-05-04T10:30:00+00:00", "note-added")
BODY_TEXT = '{"kind": "note-added", "text": "x"}'


@pytest.mark.parametrize(
    "row",
    [
        (*GOOD, "not json"),
        (*GOOD, '{"kind": "No Kind"}'),
        (*GOOD, '{"kind": "note-added", "version": 0, "text": "x"}'),
        (*GOOD, '{"kind": "note-added"}'),
        (*GOOD, "[]"),
        (*GOOD, b"\xff"),
        ("no uuid", *GOOD[1:], BODY_TEXT),
        (*GOOD[:2], 0, *GOOD[3:], BODY_TEXT),
        (*GOOD[:3], "yesterday", GOOD[4], BODY_TEXT),
    ],
)
def test_a_malformed_event_is_named_by_its_position(
    log: Logbook, path: Path, now: datetime, ids: Ids, row: tuple[object, ...]
) -> None:
    log.append(notes("a"), now=now, ids=ids)
    log.connection.execute(INSERT, row)
    log.close()
    assert refused(path) == "event 2 is not one this version can read"


def test_an_event_that_does_not_fit_is_named_by_its_position(
    log: Logbook, path: Path, now: datetime, ids: Ids
) -> None:
    log.append(notes("a"), now=now, ids=ids)
    body = '{"kind": "turn-done", "change": "none such", "adjuster": "a"}'
    log.connection.execute(INSERT, (*GOOD, body))
    log.close()
    assert refused(path).startswith("event 2 does not fit those before it")
