"""The commands `export`, `sheet` and `merge`: what they print, write and leave alone."""

from collections.abc import Callable
from pathlib import Path

import pytest
from drive import make_desk
from roads import with_a_log

from profiles.files import SHIPPED_CARS, add_car
from profiles.logfile import copy_log
from profiles.only_read import read_log
from profiles.paths import data_folder
from rules.crew.actions import ACTION
from rules.log.events.event import Event
from rules.log.merge import state_of
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE
from tui.desk import Desk
from tui.pages.log import log_page
from tui.pages.reports import counts_page

Run = Callable[..., int]
Out = pytest.CaptureFixture[str]
KNOB = "left front rebound"


@pytest.fixture(autouse=True)
def log(data: Path) -> Path:
    folder = data_folder(data)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    path = folder.log_file("demo")
    desk = make_desk(path)
    with_a_log(desk)
    desk.log.close()
    return path


@pytest.fixture
def other(log: Path, tmp_path: Path) -> Path:
    """Another laptop's log, which began as a copy of ours and went on."""
    path = tmp_path / "other.sqlite3"
    copy_log(log, path)
    go_on(path, 2000, "8")
    return path


def go_on(path: Path, first_id: int, found: str) -> None:
    desk = make_desk(path, first_id=first_id)
    for raw in (
        {"action": "note", "text": f"Noted with {found}"},
        {"action": "recount", "adjuster": KNOB, "found": found},
    ):
        desk.act(ACTION.validate_python(raw))
    desk.log.close()


def ids(events: list[Event]) -> list[int]:
    return [event.id.int for event in events]


def test_export_writes_tables_and_json_and_replaces_nothing(
    run: Run, tmp_path: Path, capsys: Out
) -> None:
    out = tmp_path / "out"
    assert run("export", "demo") == USAGE
    assert run("export", "demo", "--csv", out, "--json", out / "all.json") == OK
    names = {path.name for path in out.iterdir()}
    assert names == {"passes.csv", "changes.csv", "verdicts.csv", "all.json"}
    kept = {path: path.read_bytes() for path in out.iterdir()}
    assert run("export", "demo", "--csv", out) == LOG_FAULTS
    assert "is there already; nothing was written (--force replaces)" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in out.iterdir()} == kept
    assert run("export", "demo", "--csv", out, "--force") == OK


def test_sheet_prints_or_writes_one_page(run: Run, tmp_path: Path, capsys: Out) -> None:
    assert run("sheet", "demo") == OK
    assert "# Invented door car: event sheet" in capsys.readouterr().out
    md, html = tmp_path / "s.md", tmp_path / "s.html"
    assert run("sheet", "demo", "--md", md, "--html", html) == OK
    assert "Every change and its verdict" in md.read_text("utf-8")
    assert html.read_text("utf-8").startswith("<!doctype html>")
    assert run("sheet", "demo", "--md", md) == LOG_FAULTS


def test_the_demonstration_car_has_a_sheet_of_its_own(run: Run, data: Path, capsys: Out) -> None:
    assert run("sheet", "demo", "--demo") == CAR_FAULTS
    folder = data_folder(data, demo=True)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    make_desk(folder.log_file("demo")).log.close()
    assert run("sheet", "demo", "--demo") == OK
    assert "None was made." in capsys.readouterr().out


def test_a_car_or_a_log_that_is_not_there(run: Run, log: Path, capsys: Out) -> None:
    assert run("sheet", "nobody") == CAR_FAULTS
    log.unlink()
    assert run("sheet", "demo") == LOG_FAULTS
    assert "found no log yet" in capsys.readouterr().err
    assert run("export", "demo", "--json", log.parent / "x.json") == LOG_FAULTS
    assert run("merge", "demo", log) == LOG_FAULTS


def test_merge_shows_first_and_stores_when_told(
    run: Run, log: Path, other: Path, capsys: Out
) -> None:
    go_on(log, 1000, "6")
    before = log.read_bytes()
    assert run("merge", "demo", other) == OK
    told = capsys.readouterr().out
    assert "2 events to take in" in told
    assert "note: Noted with 8" in told
    assert "left front extension: one laptop had 6, the other 8: recount" in told
    assert "Dry run" in told
    assert log.read_bytes() == before
    ours = read_log(log)
    assert run("merge", "demo", other, "--store") == OK
    (copy,) = log.parent.glob("log-before-merge-*.sqlite3")
    assert read_log(copy) == ours
    assert {*ids(read_log(log))} > {*ids(ours), *ids(read_log(other))}
    assert state_of(read_log(log)).to_recount == {KNOB: {}}
    kept = log.read_bytes()
    assert run("merge", "demo", other, "--store") == OK
    assert "Nothing new" in capsys.readouterr().out
    assert log.read_bytes() == kept


def test_merge_of_a_log_that_is_further_on_asks_nothing(
    run: Run, log: Path, other: Path, capsys: Out
) -> None:
    assert run("merge", "demo", other, "--store") == OK
    assert "it is simply further on" in capsys.readouterr().out
    assert read_log(log) == read_log(other)


def test_merge_refuses_what_is_no_log_of_this_car(
    run: Run, log: Path, tmp_path: Path, capsys: Out
) -> None:
    before = log.read_bytes()
    apart = tmp_path / "apart.sqlite3"
    make_desk(apart, first_id=500).log.close()
    assert run("merge", "demo", apart, "--store") == LOG_FAULTS
    assert f"{apart}: first event: the two logs did not begin as one" in capsys.readouterr().err
    junk = tmp_path / "junk"
    junk.write_bytes(b"junk")
    for wrong in (junk, tmp_path / "none", tmp_path):
        assert run("merge", "demo", wrong, "--store") == LOG_FAULTS
        assert str(wrong) in capsys.readouterr().err
    assert log.read_bytes() == before
    assert not list(log.parent.glob("log-before-merge-*"))


def test_a_merged_log_is_shown_on_the_counts_and_the_log_page(
    run: Run, log: Path, other: Path
) -> None:
    go_on(log, 1000, "6")
    assert run("merge", "demo", other, "--store") == OK
    desk: Desk = make_desk(log, first_id=3000)
    counts = "\n".join(counts_page(desk.state))
    assert "one laptop had 6, the other 8: recount" in counts
    told = " ".join(" ".join(log_page(desk)).split())
    assert "Merge" in told
    assert "left front extension 6 here, 8 there: recount" in told
    assert desk.prompt.id == f"recount:{KNOB}"
    desk.answer(desk.prompt.id, "7")
    assert "recount" not in "\n".join(counts_page(desk.state))
    desk.log.close()
