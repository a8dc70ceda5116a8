"""The format of the log is its own: what a newer or an older program wrote is neither lost nor
misread."""

import ast
import json
import sqlite3
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from shutil import copyfile
from typing import Any, ClassVar
from uuid import UUID

import pytest
from pydantic import BaseModel, ConfigDict, Field

from profiles.backup import backup
from profiles.exports import ExportError, as_json, read_json
from profiles.files import SHIPPED_CARS, add_car, load_car
from profiles.log_refusals import ReadOnlyLogError
from profiles.logbook import Logbook
from profiles.logfile import LogError
from profiles.only_read import read_log
from profiles.other_logs import other_events
from profiles.paths import DataFolder
from rules.book import shipped
from rules.car.adjusters import starts
from rules.log import log_format
from rules.log.events.advice import AdviceGiven
from rules.log.events.car import BaselineDeclared, CarDescribed, Recounted
from rules.log.events.meeting import NoteAdded
from rules.log.events.passes import PassRun
from rules.log.events.whole_log import Unread
from rules.log.log_format import KINDS, UPCASTS, body_of, fields_of, kind_of, written_body
from rules.log.merge import MISFITS, MergeError, merge
from rules.log.state import NoCarError, State
from tests.support.event_fields import FROZEN, shapes

NOW = datetime(2031, 5, 4, 10, 30, tzinfo=UTC)
ROOT = Path(__file__).parents[2]
GOLDEN = ROOT / "tests" / "golden"
CAR = load_car(SHIPPED_CARS / "demo.toml")
KNOB = "left front rebound"
INSERT = "INSERT INTO events (id, device, seq, at, kind, body) VALUES (?, ?, ?, ?, ?, ?)"
NEW_KIND = {"kind": "tyre-swapped", "corner": "left rear", "odd": {"a": [1, None]}}
NEW_VERSION = {"kind": "note-added", "version": 2, "words": ["rain"]}
HOW = "If that is meant: {}\nThen run: PYTHONPATH=. python tests/support/event_fields.py"


def begin(path: Path) -> None:
    """Write a log with a car, its first baseline and a pass."""
    bodies = [
        CarDescribed(car=CAR),
        BaselineDeclared(baseline="b", name="B", settings=starts(CAR)),
        PassRun(run="r"),
    ]
    ids = iter(range(1, 9))
    with Logbook.open(path, "pit") as log:
        log.append(bodies, now=NOW, ids=lambda: UUID(int=next(ids)))


def write(path: Path, *bodies: dict[str, Any], device: str = "newer") -> None:
    """Put bodies into a log as another version of the program would."""
    log = sqlite3.connect(path)
    first = log.execute("SELECT count(*) FROM events").fetchone()[0] + 1
    for seq, body in enumerate(bodies, first):
        row = (str(UUID(int=1000 + seq)), device, seq, NOW.isoformat(), body["kind"])
        log.execute(INSERT, (*row, json.dumps(body)))
    log.commit()
    log.close()


def bodies_in(path: Path) -> list[str]:
    return [row[0] for row in sqlite3.connect(path).execute("SELECT body FROM events")]


def golden_events() -> list[dict[str, Any]]:
    return [json.loads(row) for row in (GOLDEN / "log-1.jsonl").read_text().splitlines()]


@pytest.fixture
def path(folder: DataFolder) -> Path:
    add_car(folder, SHIPPED_CARS / "demo.toml")
    begin(folder.log_file("demo"))
    return folder.log_file("demo")


def with_more(body: dict[str, Any]) -> dict[str, Any]:
    """Return fields with one more in them, and in every table within."""
    found: dict[str, Any] = {"a later field": [1, {"x": None}]}
    for key, value in body.items():
        named = key in ("car", "advice", "slip", "front", "basis")
        found[key] = with_more(value) if named and isinstance(value, dict) else value
    return found


def test_unknown_fields_survive_every_road(
    path: Path, folder: DataFolder, tmp_path: Path, fresh_ids: Callable[[int], Callable[[], UUID]]
) -> None:
    """Backup, export, import and merge write what was read, not what was understood."""
    ours = tmp_path / "ours.sqlite3"
    copyfile(path, ours)
    kinds = ("note-added", "slip-noted", "advice-given", "car-described")
    known = {one["kind"]: one["body"] for one in golden_events() if one["kind"] in kinds}
    more = [with_more({**body, "run": "r"} if "run" in body else body) for body in known.values()]
    write(path, *more)
    written = [json.dumps(body) for body in more]

    with Logbook.open(path, "pit") as log:
        assert log.state.notes
        assert any(isinstance(one.body, AdviceGiven) and one.body.advice for one in log.events())
        assert log.state.runs[-1].slip
        exported = as_json(log.events(), shipped())
    assert [one["body"] for one in json.loads(exported)["events"]][-4:] == more

    with Logbook.open(tmp_path / "imported.sqlite3", "pit") as log:
        log.take_in(read_json(exported, "e.json"), None, now=NOW, ids=fresh_ids(50))
    assert bodies_in(tmp_path / "imported.sqlite3")[-4:] == written

    with Logbook.open(ours, "pit") as log:
        found = merge(log.events(), read_log(path))
        log.take_in(found.events, found.closing, now=NOW, ids=fresh_ids(60))
    assert bodies_in(ours)[-4:] == written

    backup(folder, tmp_path / "b.zip")
    (member,) = (m for m in zipfile.ZipFile(tmp_path / "b.zip").namelist() if "sqlite" in m)
    zipfile.ZipFile(tmp_path / "b.zip").extract(member, tmp_path)
    assert bodies_in(tmp_path / member)[-4:] == written


@pytest.mark.parametrize("newer", [NEW_KIND, NEW_VERSION])
def test_an_event_of_a_newer_program_makes_the_log_read_only(
    path: Path, tmp_path: Path, newer: dict[str, Any]
) -> None:
    """It is kept, one sentence says what it is and what to do, and nothing is written."""
    write(path, newer)
    before = path.read_bytes()
    with Logbook.open(path, "pit") as log:
        assert log.state.settings == starts(CAR)
        assert log.state.baseline
        assert len(log.state.runs) == 1
        with pytest.raises(ReadOnlyLogError) as caught:
            log.append([NoteAdded(text="x")], now=NOW, ids=lambda: UUID(int=77))
        with pytest.raises(ReadOnlyLogError):
            log.take_in([], None, now=NOW, ids=lambda: UUID(int=77))
        last = log.events()[-1]
    assert isinstance(last.body, Unread)
    assert (kind_of(last), fields_of(last)) == (newer["kind"], newer)
    sentence = str(caught.value)
    assert sentence.startswith(f"Read-only: a newer Setdown wrote {newer['kind']}")
    assert "Update this one to go on." in sentence
    assert path.read_bytes() == before


def test_what_hangs_on_an_unread_event_is_listed_and_the_rest_is_read(path: Path) -> None:
    """Strictness ends where this program no longer knows everything."""
    answered = {"kind": "answered", "run": "of the newer kind", "prompt": "p", "value": "v"}
    write(path, NEW_KIND, answered, {"kind": "recounted", "adjuster": KNOB, "found": 3.0})
    with Logbook.open(path, "pit") as log:
        assert [one.event.body.kind for one in log.state.unfitting] == ["answered"]
        assert log.state.settings[KNOB] == 3.0
        assert len(log.state.unread) == 1


def test_before_an_unread_event_a_misfit_is_still_a_fault(path: Path) -> None:
    """A newer event later on excuses nothing that came before it."""
    write(path, {"kind": "turn-done", "change": "none", "adjuster": KNOB}, NEW_KIND)
    with pytest.raises(LogError, match="event 4 does not fit"):
        Logbook.open(path, "pit")


def test_logs_are_not_joined_while_one_cannot_be_read(path: Path, tmp_path: Path) -> None:
    """A merge settles counts: it is refused where they may hang on what is not understood."""
    other = tmp_path / "other.sqlite3"
    copyfile(path, other)
    write(other, NEW_KIND)
    for ours, theirs in ((path, other), (other, path)):
        with pytest.raises(MergeError, match="a newer Setdown wrote tyre-swapped here"):
            merge(read_log(ours), read_log(theirs))


def test_an_export_of_a_newer_program_is_imported_whole(path: Path, tmp_path: Path) -> None:
    """An unread event travels: it is there when the program is updated."""
    write(path, NEW_KIND, NEW_VERSION)
    exported = as_json(read_log(path), shipped())
    with Logbook.open(tmp_path / "new.sqlite3", "pit") as log:
        log.take_in(read_json(exported, "e.json"), None, now=NOW, ids=lambda: UUID(int=9))
        assert len(log.state.unread) == 2
    assert bodies_in(tmp_path / "new.sqlite3") == bodies_in(path)


def newer_note(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let this program be one whose notes say who wrote them, and say it with other words."""

    class NoteOfToday(NoteAdded):
        version: ClassVar[int] = 2
        text: str = Field(alias="words")
        by: str = ""

    monkeypatch.setitem(KINDS, "note-added", NoteOfToday)
    monkeypatch.setitem(
        UPCASTS, ("note-added", 1), lambda old: {**old, "words": old["text"], "by": "someone"}
    )


def test_an_older_version_is_read_by_its_upcast_and_stays_as_it_was(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Old fields become today's on the way in; what is written on is what was read."""
    old, new = {"kind": "note-added", "text": "x", "run": None}, {**NEW_VERSION, "words": "y"}
    newer_note(monkeypatch)
    write(path, old, new)
    with Logbook.open(path, "pit") as log:
        assert [note.text for note in log.state.notes] == ["x", "y"]
        first, second = log.events()[-2:]
    assert (first.body.by, second.body.by) == ("someone", "")  # type: ignore[union-attr]
    assert [written_body(first), written_body(second)] == [json.dumps(old), json.dumps(new)]


def test_a_new_event_says_its_version_from_the_second_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """Version 1 is not written, so that the logs of today and of yesterday are the same."""
    (event, *_) = read_events(golden_events()[:1])
    assert "version" not in fields_of(event)
    newer_note(monkeypatch)
    note = event.model_copy(update={"body": KINDS["note-added"](words="x")})
    assert list(fields_of(note).items())[:2] == [("kind", "note-added"), ("version", 2)]
    assert body_of(fields_of(note)) == note.body


def read_events(rows: list[dict[str, Any]]) -> list[Any]:
    keys = ("id", "device", "seq", "at")
    return [
        log_format.read_event({key: row[key] for key in keys}, json.dumps(row["body"]))
        for row in rows
    ]


def test_another_body_is_never_written_as_the_one_that_was_read() -> None:
    """A copy with another body is a new event."""
    (event, *_) = read_events(golden_events()[:1])
    other = event.model_copy(update={"body": Recounted(adjuster=KNOB, found=1.0)})
    assert json.loads(written_body(other))["kind"] == "recounted"
    assert written_body(event.model_copy(update={"device": "x"})) == written_body(event)


@pytest.mark.parametrize("kind", ["advice-given", "car-described"])
def test_stored_data_outlives_the_class_that_computes_with_it(kind: str) -> None:
    """A class whose field has another name, one more and one less reads what was stored."""
    body = next(one["body"] for one in golden_events() if one["kind"] == kind)
    word = {"advice-given": "title", "car-described": "name"}[kind]
    stored = KINDS[kind].model_validate(body, extra="ignore").stored

    class Today(BaseModel):
        model_config = ConfigDict(extra="forbid", populate_by_name=True)
        called: str = Field(alias=word)
        new: int = 7

    today = Today.model_validate(stored, extra="ignore")
    assert (today.called, today.new) == (body[word] if word in body else stored[word], 7)
    assert stored == body["advice" if kind == "advice-given" else "car"]


def test_opening_reads_no_advice_before_it_is_asked_for(tmp_path: Path) -> None:
    """A long season opens as fast as its counts can be folded."""
    path = tmp_path / "log.sqlite3"
    copyfile(GOLDEN / "log-1.sqlite3", path)
    with Logbook.open(path, "a later laptop", create=False) as log:
        given = [run.settled_last for run in log.state.runs if run.settled_last]
    assert given
    assert not any("advice" in one.__dict__ for one in given)
    assert given[0].advice.title


@pytest.mark.parametrize("kind", ["advice-given", "car-described"])
def test_what_is_read_late_is_checked_before_it_comes_in(
    kind: str, path: Path, tmp_path: Path
) -> None:
    """A damaged advice of another log is refused at the door, not found on the screen."""
    body = next(one["body"] for one in golden_events() if one["kind"] == kind)
    part = {"advice-given": "advice", "car-described": "car"}[kind]
    damaged = {**body, part: {"title": 3}, **({"run": "r"} if "run" in body else {})}
    events = json.loads(as_json(read_log(path), shipped()))
    event = {**events["events"][-1], "id": str(UUID(int=500)), "seq": 99, "body": damaged}
    events["events"].append(event)
    with pytest.raises(ExportError, match=r"event 4: body"):
        read_json(json.dumps(events).encode(), "e.json")
    if kind == "advice-given":
        other = tmp_path / "other.sqlite3"
        copyfile(path, other)
        write(other, damaged)
        with Logbook.open(path, "pit") as log, pytest.raises(LogError, match="a damaged event"):
            log.take_in(read_log(other)[-1:], None, now=NOW, ids=lambda: UUID(int=9))


def test_every_kind_and_version_stands_in_a_golden_log() -> None:
    """What a crew may have in a log is opened by the tests of every later version."""
    rows = [
        json.loads(row)["body"]
        for log in GOLDEN.glob("log-*.jsonl")
        for row in log.read_text().splitlines()
    ]
    found = {(body["kind"], body.get("version", 1)) for body in rows}
    wanted = {(kind, body.version) for kind, body in KINDS.items()}
    assert not wanted - found, (
        f"{sorted(wanted - found)} stand in no golden log. Make a log that holds them, then run: "
        "PYTHONPATH=. python tests/support/golden_log.py LOG.sqlite3"
    )


def test_fields_of_an_event_change_only_with_its_version() -> None:
    """The words that lie in the logs of the crews are frozen by kind and version."""
    frozen = json.loads(FROZEN.read_text())
    for key, found in shapes().items():
        kind, version = key.split()
        body = KINDS[kind].__name__
        assert key in frozen, f"{key} is new. {HOW.format('nothing more to do.')}"
        up = (
            f"give {body} (or the event that holds it) `version = {int(version) + 1}`, and UPCASTS "
            f"in rules/log/log_format.py an entry for ({kind!r}, {version}); same_fields where all "
            "that is new has a default that means as before. A field only renamed keeps its old "
            "word as its alias, and needs neither."
        )
        assert found == frozen[key], f"the fields of {key} changed. {HOW.format(up)}"


def test_every_version_that_was_ever_written_can_be_read() -> None:
    """No kind is dropped, and each older version has its upcast."""
    for key in json.loads(FROZEN.read_text()):
        kind, version = key.split()
        assert kind in KINDS, f"{kind} stands in the logs of crews: it stays"
        for older in range(int(version), KINDS[kind].version):
            assert (kind, older) in UPCASTS, f"{kind} {older}: wanted an upcast"


def test_no_field_of_an_event_is_called_as_its_version() -> None:
    """`kind` and `version` say how a body is read."""
    for body in KINDS.values():
        words = {field.alias or name for name, field in body.model_fields.items()}
        assert "version" not in words, body


def test_no_assert_checks_what_comes_from_a_file() -> None:
    """A fault is an exception with a name: an assert is not there when Python is told to hurry."""
    for room in ("rules/log", "profiles"):
        for path in (ROOT / room).rglob("*.py"):
            tree = ast.parse(path.read_text("utf-8"))
            assert not any(isinstance(node, ast.Assert) for node in ast.walk(tree)), path


def test_what_needs_a_car_before_there_is_one_is_a_named_fault() -> None:
    """A merge lists it as a misfit."""
    with pytest.raises(NoCarError) as caught:
        _ = State().described_car
    assert isinstance(caught.value, MISFITS)


def test_advice_made_here_is_stored_as_it_is_read_again() -> None:
    """One class on the way in and out: nothing of an advice is lost in the log."""
    stored = next(one["body"] for one in golden_events() if one["kind"] == "advice-given")
    given = AdviceGiven.model_validate(stored)
    assert AdviceGiven(run=given.run, advice=given.advice).stored == given.stored


def test_a_log_of_a_newer_program_is_found_like_any_other(path: Path, folder: DataFolder) -> None:
    """Reading it elsewhere gives its events too."""
    write(path, NEW_KIND)
    with other_events(folder.root, folder, "demo") as found:
        assert kind_of(found[-1]) == "tyre-swapped"
