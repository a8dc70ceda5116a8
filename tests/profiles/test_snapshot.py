"""A snapshot of where a log stood says what the log says, or it is not believed."""

import json
import sqlite3
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from shutil import copyfile
from uuid import uuid4

import pytest

from profiles import log_on_disk, snapshot
from profiles.logbook import Logbook
from profiles.only_read import read_state
from profiles.snapshot import Snapshot, load, save, snapshot_file
from profiles.state_text import StoredText, from_text, to_text
from rules.log.events.advice import AdviceGiven
from rules.log.events.event import Event
from rules.log.events.meeting import NoteAdded
from rules.log.events.passes import Measured
from rules.log.log_format import read_event
from rules.log.state import State
from tests.support.big_log import START, big_log, write_log

GOLDEN = Path(__file__).parents[1] / "golden"
LOGS = sorted(path.stem for path in GOLDEN.glob("log-*.sqlite3"))
PASSES = 150
LATER = START + timedelta(days=4000)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("big") / "log.sqlite3"
    write_log(path, big_log(PASSES))
    Logbook.open(path, "tests", create=False).close()
    assert snapshot_file(path).exists()
    return path


@pytest.fixture
def log_file(written: Path, tmp_path: Path) -> Path:
    """Return a log of its own with a snapshot beside it."""
    path = tmp_path / "log.sqlite3"
    copyfile(written, path)
    copyfile(snapshot_file(written), snapshot_file(path))
    return path


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[Event]:
    """Return the events that are read from a log."""
    events: list[Event] = []

    def noted(*said: object) -> Event:
        events.append(read_event(*said))  # type: ignore[arg-type]
        return events[-1]

    monkeypatch.setattr(log_on_disk, "read_event", noted)
    return events


def opened(path: Path) -> State:
    with Logbook.open(path, "tests", create=False) as log:
        return log.state


@pytest.mark.parametrize("name", LOGS)
def test_every_kind_of_event_is_kept(name: str, tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    copyfile(GOLDEN / f"{name}.sqlite3", path)
    with Logbook.open(path, "tests", create=False) as log:
        save(tmp_path / "fold", log.connection, Snapshot(log.state, log.state.events, True))
        kept = load(tmp_path / "fold", log.connection)
        assert kept is not None
        assert kept.state == log.state
        assert kept.is_merged
        assert [run.at.isoformat() for run in kept.state.runs] == [
            run.at.isoformat() for run in log.state.runs
        ]


def test_a_log_is_read_from_its_snapshot(log_file: Path, read: list[Event]) -> None:
    state = opened(log_file)
    assert read == []
    snapshot_file(log_file).unlink()
    assert opened(log_file) == state
    assert len(read) == state.events


def test_who_only_reads_a_log_reads_its_snapshot_and_leaves_both_as_they_are(
    log_file: Path, read: list[Event]
) -> None:
    before = {path.name: path.read_bytes() for path in log_file.parent.iterdir()}
    state = read_state(log_file)
    assert read == []
    assert {path.name: path.read_bytes() for path in log_file.parent.iterdir()} == before
    snapshot_file(log_file).write_bytes(b"of something else")
    assert read_state(log_file) == state
    assert len(read) == state.events


def test_what_came_after_the_snapshot_is_read(log_file: Path, read: list[Event]) -> None:
    """Also where the program was killed before it kept another."""
    log = Logbook.open(log_file, "tests", create=False)
    for number in range(3):
        log.append([NoteAdded(text=str(number))], now=LATER, ids=uuid4)
    log.connection.close()
    assert [note.text for note in opened(log_file).notes[-3:]] == ["0", "1", "2"]
    assert len(read) == 3
    read.clear()
    assert [note.text for note in opened(log_file).notes[-3:]] == ["0", "1", "2"]
    assert read == []


def cut(path: Path) -> None:
    data = snapshot_file(path).read_bytes()
    snapshot_file(path).write_bytes(data[: len(data) // 2])


def flipped(place: float) -> Callable[[Path], None]:
    def flip(path: Path) -> None:
        data = bytearray(snapshot_file(path).read_bytes())
        data[int(place * (len(data) - 1))] ^= 1
        snapshot_file(path).write_bytes(bytes(data))

    return flip


def emptied(path: Path) -> None:
    snapshot_file(path).write_bytes(b"")


def of_another_log(path: Path) -> None:
    write_log(path.with_name("other.sqlite3"), big_log(PASSES + 1))
    opened(path.with_name("other.sqlite3"))
    snapshot_file(path.with_name("other.sqlite3")).replace(snapshot_file(path))


def last_event_is_another(path: Path) -> None:
    log = sqlite3.connect(path)
    trigger = "events_are_not_changed"
    sql = log.execute("SELECT sql FROM sqlite_master WHERE name = ?", (trigger,)).fetchone()[0]
    number = log.execute("PRAGMA schema_version").fetchone()[0]
    log.execute(f"DROP TRIGGER {trigger}")
    log.execute(
        "UPDATE events SET body = replace(body, 'Invented', 'Other') "
        "WHERE position = (SELECT max(position) FROM events)"
    )
    log.execute(sql)
    log.execute(f"PRAGMA schema_version = {number}")
    log.commit()
    log.close()


def copied_log(path: Path) -> None:
    log = sqlite3.connect(path)
    log.execute("PRAGMA schema_version = 12345")
    log.close()


@pytest.mark.parametrize(
    "harm",
    [
        cut,
        *(flipped(place) for place in (0.0, 0.002, 0.01, 0.1, 0.5, 1.0)),
        emptied,
        of_another_log,
        last_event_is_another,
        copied_log,
    ],
)
def test_on_any_doubt_the_log_alone_counts(
    harm: Callable[[Path], None], log_file: Path, read: list[Event]
) -> None:
    harm(log_file)
    state = opened(log_file)
    assert len([event for event in read if event.device == "tests"]) >= state.events
    read.clear()
    assert opened(log_file) == state
    assert read == []


def test_another_program_throws_it_away(
    log_file: Path, read: list[Event], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(snapshot, "_stamp", lambda: b"setdown fold 1 another")
    assert len(read) == 0
    assert opened(log_file).events == len(read)


def test_a_disk_that_takes_nothing_keeps_the_log(
    log_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    snapshot_file(log_file).unlink()
    monkeypatch.setattr(snapshot, "write_atomically", full)
    assert len(opened(log_file).runs) == PASSES
    assert not snapshot_file(log_file).exists()


def test_few_events_are_kept_only_for_the_next_first_question(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    write_log(path, big_log(3))
    state = opened(path)
    assert not snapshot_file(path).exists()
    with Logbook.open(path, "tests") as log:
        log.keep()
    assert snapshot_file(path).exists()
    assert opened(path) == state


@pytest.mark.parametrize(
    "said",
    [
        '{"!": ["os:system", "true"]}',
        '{"!": ["subprocess:Popen", ["true"]]}',
        '{"!": ["rules.log.events.passes:asdict", 1]}',
        '{"!": ["rules.log.events.event:datetime", 1, 1, 1]}',
        '{"!": ["rules.moments:datetime.__class__", "x"]}',
    ],
)
def test_nothing_but_a_class_of_the_rules_is_made(said: str) -> None:
    with pytest.raises((ValueError, TypeError, AttributeError)):
        from_text(f"[[],{said}]".encode())


def test_plain_data_comes_back_as_it_was() -> None:
    value = (float("inf"), {"!": 1}, {("a", 1): frozenset({"b"})}, None, START, {"a": 1.0})
    assert from_text(to_text(value)) == value


def test_a_set_is_written_in_one_order() -> None:
    one, other = frozenset((0, 8)), frozenset((8, 0))  # Which share a place in the set.
    assert [*one] != [*other]
    assert to_text(one) == to_text(other)


def test_the_fields_of_a_model_are_written_in_the_order_of_its_class() -> None:
    one = Measured(inputs={}, give=0.01, value=0.2, what="lift", run="r")
    _, plain = json.loads(to_text(one))
    assert [*plain["!"][1]] == [key for key in Measured.model_fields if key != "kind"]


def test_a_model_that_is_held_twice_is_told_and_held_once() -> None:
    one = Measured(run="r", what="lift", value=0.2, give=0.01, inputs={})
    again = from_text(to_text((one, {"of": one}, Measured(**vars(one)))))
    assert again == (one, {"of": one}, one)
    assert again[1]["of"] is again[0] is not again[2]


def test_what_was_stored_stays_text_until_it_is_asked() -> None:
    given = AdviceGiven.model_validate({"run": "1", "advice": {"cause": 'a "hop"', "turns": [1.0]}})
    kept = from_text(to_text(given))
    assert isinstance(kept.stored, StoredText)
    assert kept == given
    assert given == kept
    assert dict(kept.stored) == given.stored
    assert to_text(kept) == to_text(given)


def test_settings_that_are_alike_are_held_once_and_a_whole_number_is_no_other() -> None:
    first, second, third = from_text(to_text(({"knob": 1.0}, {"knob": 1.0}, {"knob": 1})))
    assert first is second
    assert type(third["knob"]) is int
