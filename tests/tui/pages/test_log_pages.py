"""The log is read a page at a time, the newest first: the same rows, whatever its length."""

from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest
from drive import BOOK, Clock, counted_ids, counted_names

from profiles import log_on_disk
from profiles.logbook import Logbook
from tests.support.big_log import big_log, write_log
from tui.desk import Desk
from tui.pages import log, log_pages
from tui.pages.log_detail import everything
from tui.pages.log_pages import PAGE, joined, log_rows, pages

GOLDEN = Path(__file__).parents[2] / "golden"


def desk_of(path: Path) -> Desk:
    """Look at a log as it is."""
    log = Logbook.open(path, "tests")
    return Desk(log, BOOK, clock=Clock(), event_ids=counted_ids(1), names=counted_names())


@pytest.fixture(params=[*sorted(one.name for one in GOLDEN.glob("log-*.sqlite3")), "big"])
def desk(request: pytest.FixtureRequest, tmp_path: Path) -> Desk:
    path = tmp_path / "log.sqlite3"
    if request.param == "big":
        write_log(path, big_log(45))
    else:
        copyfile(GOLDEN / request.param, path)
    return desk_of(path)


def test_a_kind_that_is_not_read_has_no_row(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    told = log_rows(desk)
    monkeypatch.setattr(log_pages, "SILENT", ())
    assert told == log_rows(desk)


@pytest.mark.parametrize("most", [1, 7, 40])
def test_small_pages_make_the_same_rows(desk: Desk, most: int) -> None:
    rows: list[Any] = []
    for page in pages(desk, most, most):
        rows = joined(page, rows)
    whole = log_rows(desk)
    assert rows == whole
    assert [row.place for row in rows] == sorted(row.place for row in rows)


@pytest.mark.long
def test_the_first_page_reads_no_more_of_a_long_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_log(tmp_path / "log.sqlite3", big_log(700))
    desk = desk_of(tmp_path / "log.sqlite3")
    read = []
    read_event = log_on_disk.read_event

    def counted(header: Any, written: str) -> Any:
        read.append(header)
        return read_event(header, written)

    monkeypatch.setattr(log_on_disk, "read_event", counted)
    page = next(pages(desk))
    assert page.more
    assert len(page.rows) > 200
    assert len(read) == PAGE


def test_the_page_of_a_pass_says_the_same_without_the_state_of_then(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = [row for row in log_rows(desk) if row.kind == "pass"][::7]
    told = [everything(desk, row) for row in rows]
    monkeypatch.setattr(log, "TOLD_BY_THEMSELVES", ())
    assert told == [everything(desk, row) for row in rows]


def test_the_page_of_a_pass_reads_no_more_of_a_long_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_log(tmp_path / "log.sqlite3", big_log(30))
    desk = desk_of(tmp_path / "log.sqlite3")
    row = next(row for row in log_rows(desk) if row.number == "20")
    monkeypatch.setattr(log, "replayed", None)
    assert any("Invented note 20" in line for line in everything(desk, row))
