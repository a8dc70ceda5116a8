"""Every time that a person reads is local, with its offset kept, west of Greenwich too."""

import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from drive import Clock, make_desk
from roads import timed_pass

from profiles.exports import as_json, csv_files
from profiles.local_time import here, now_here
from rules.book import shipped
from rules.log.merge import state_of
from rules.paper.baseline_card import baseline_card
from rules.paper.event_sheet import event_sheet
from rules.paper.page import as_html, as_markdown
from tui.desk import Desk
from tui.pages.day import day_lines
from tui.pages.log import log_page
from tui.pages.reports import counts_page

ROOT = Path(__file__).parents[2]
DUSK = datetime(2031, 5, 4, 23, 6, tzinfo=UTC)
WEST = timezone(timedelta(hours=-6))
# In the notation of POSIX a zone west of Greenwich has a plus: six hours behind UTC.
WESTERN = "XXX+6"


@pytest.fixture(params=[WESTERN, "YYY-10", "UTC0"])
def zone(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield request.param
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def west(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", WESTERN)
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def a_day(path: Path) -> Desk:
    """Return a desk whose log was written in UTC, as logs once were; its pass ran at dusk."""
    desk = make_desk(path)
    assert isinstance(desk.clock, Clock)
    desk.clock.now = DUSK - timedelta(minutes=25)
    timed_pass(desk, 1.43)
    desk.answer("symptoms", ("it-is-good",))
    return desk


def test_no_other_module_writes_a_time() -> None:
    paths = [path for room in ("rules", "profiles", "tui") for path in (ROOT / room).rglob("*.py")]
    assert len(paths) > 100
    for path in paths:
        if path.name != "moments.py":
            found = re.findall(r"strftime|:%[YmdHM]|[( ]UTC\b.*{", path.read_text("utf-8"))
            assert not found, f"{path}: {found}"


@pytest.mark.usefixtures("west")
def test_dusk_in_the_west_is_the_same_day(tmp_path: Path) -> None:
    """23:06 in UTC is 17:06 there, on every page, also in a log that was kept in UTC."""
    desk = a_day(tmp_path / "log.sqlite3")
    book, events = shipped(), desk.log.events()
    files = csv_files(state_of(events), book)
    pages = {
        "log": "\n".join(log_page(desk)),
        "day": "\n".join(day_lines(desk.state, book, 78)),
        "sheet": as_markdown(event_sheet(desk.state, book)).replace("\\", ""),
        "html": as_html(event_sheet(desk.state, book)),
        "csv": files["passes.csv"].decode("utf-8-sig"),
        "json": as_json(events, book).decode(),
    }
    for name, page in pages.items():
        assert "17:06" in page, name
        assert "23:06" not in page, name
        assert "05-05" not in page, name
    assert "Times are local: UTC -06:00." in pages["log"]
    assert "Times are local: UTC -06:00." in pages["day"]
    assert "2031-05-04 17:06 -06:00" in pages["sheet"]
    assert "2031-05-04T17:06:00-06:00" in pages["csv"]
    card = as_markdown(baseline_card(desk.state)).replace("\\", "")
    assert "Declared 2031-05-04 03:00 -06:00" in card
    assert counts_page(desk.state)


@pytest.mark.usefixtures("zone")
def test_a_moment_keeps_the_offset_it_was_written_with(tmp_path: Path) -> None:
    """Whatever the reader's zone: what was written at -06:00 is read at -06:00."""
    desk = make_desk(tmp_path / "log.sqlite3")
    assert isinstance(desk.clock, Clock)
    desk.clock.now = DUSK.astimezone(WEST)
    desk.answer("symptoms", ("it-is-good",))
    desk.log.close()
    again = make_desk(tmp_path / "log.sqlite3", first_id=1000)
    (run,) = again.state.runs
    assert run.at == DUSK
    assert run.at.utcoffset() == timedelta(hours=-6)
    assert "05-04 17:06" in "\n".join(log_page(again))


@pytest.mark.usefixtures("west")
def test_the_clock_of_this_laptop_carries_its_offset() -> None:
    assert now_here().utcoffset() == timedelta(hours=-6)
    assert here(DUSK).hour == 17
    assert here(DUSK) == DUSK


@pytest.mark.usefixtures("west")
def test_the_first_meeting_is_offered_the_local_day() -> None:
    """After dusk in the west it is still today, whatever day the car was described on."""
    desk = make_desk(meeting="")
    assert isinstance(desk.clock, Clock)
    desk.clock.now = (DUSK + timedelta(days=1, hours=3)).astimezone(WEST)
    assert desk.prompt.default == "2031-05-05"
    desk.answer("meeting", "")
    assert desk.state.meeting is not None
    assert desk.state.meeting.name == "2031-05-05"
