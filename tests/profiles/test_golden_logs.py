"""A log that a crew has today opens in every later version, and means what it meant.

`tests/golden/log-N.sqlite3` is a log of format N with every kind of event of its time, written
over an invented day; `log-N.jsonl` is the same to read, and `log-N.state.json` what it adds up to.
They are frozen: a later version changes its reading, never these files.
`tests/support/golden_log.py` makes the three out of a log.
"""

import json
import sqlite3
from pathlib import Path
from shutil import copyfile

import pytest

from profiles.logbook import Logbook
from rules.log.events.event import Event
from rules.log.state import State
from tests.support.golden_log import what_is_kept

GOLDEN = Path(__file__).parents[1] / "golden"
LOGS = sorted(path.stem for path in GOLDEN.glob("log-*.sqlite3"))


def opened(name: str, folder: Path) -> tuple[State, list[Event], Path]:
    path = folder / f"{name}.sqlite3"
    copyfile(GOLDEN / path.name, path)
    with Logbook.open(path, "a later laptop", create=False) as log:
        return log.state, log.events(), path


def test_there_is_a_golden_log() -> None:
    assert "log-1" in LOGS


@pytest.mark.parametrize("name", LOGS)
def test_a_frozen_log_means_what_it_meant(name: str, tmp_path: Path) -> None:
    state, _, _ = opened(name, tmp_path)
    kept = json.loads((GOLDEN / f"{name}.state.json").read_text())
    assert json.loads(json.dumps(what_is_kept(state))) == kept


@pytest.mark.parametrize("name", LOGS)
def test_opening_changes_nothing_that_was_written(name: str, tmp_path: Path) -> None:
    _, _, path = opened(name, tmp_path)
    written = [json.loads(line) for line in (GOLDEN / f"{name}.jsonl").read_text().splitlines()]
    query = "SELECT id, device, seq, at, kind, body FROM events ORDER BY position"
    rows = list(sqlite3.connect(path).execute(query))
    keys = ("id", "device", "seq", "at", "kind")
    assert [(*row[:5], json.loads(row[5])) for row in rows] == [
        (*(line[key] for key in keys), line["body"]) for line in written
    ]


@pytest.mark.parametrize("name", LOGS)
def test_advice_given_then_can_be_read(name: str, tmp_path: Path) -> None:
    _, events, _ = opened(name, tmp_path)
    given = [event.body.advice for event in events if event.body.kind == "advice-given"]
    assert given
    assert all(advice.title and advice.basis for advice in given)


def test_a_forecast_given_then_can_be_read(tmp_path: Path) -> None:
    bodies = [event.body for name in LOGS for event in opened(name, tmp_path)[1]]
    given = [body.advice.expected for body in bodies if body.kind == "advice-given"]
    assert any(expected and expected.effects for expected in given)
