"""A log that a newer program wrote into is looked at: nothing is asked, advised or written."""

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from uuid import UUID

import pytest
from drive import BOOK, DEMO, START, Rig, make_desk, screen_text

from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder, data_folder
from tui.app import SetdownApp
from tui.commands.stop import LOG_FAULTS, OK
from tui.keys import KEYS, LOOKING
from tui.opening import open_car

NEWER = {"kind": "wheel-swapped", "corner": "left rear"}


@pytest.fixture
def folder(data: Path) -> DataFolder:
    """A data folder with a car, a turn on it, and one event of a newer program."""
    folder = data_folder(data)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    path = folder.log_file("demo")
    with make_desk(path).log:
        pass
    with sqlite3.connect(path) as log:
        row = (str(UUID(int=900)), "newer", 1, START.isoformat(), NEWER["kind"], json.dumps(NEWER))
        columns = "id, device, seq, at, kind, body"
        log.execute(f"INSERT INTO events ({columns}) VALUES (?, ?, ?, ?, ?, ?)", row)
    log.close()
    return folder


async def test_counts_way_back_and_log_still_open(folder: DataFolder) -> None:
    """The page says what it is and what to do; the pit asks nothing, and answers change nothing."""
    path = folder.log_file("demo")
    car_file = folder.car_file("demo")
    car_file.write_text(car_file.read_text().replace("cg_height = 22 ", "cg_height = 23 "))
    before = path.read_bytes()
    with Logbook.open(path, "pit") as log:
        opened = open_car(folder, "demo", log, BOOK)
        app = SetdownApp(opened.desk, settle_s=0.0, pages=opened.pages)
        async with app.run_test(size=(80, 24)) as pilot:
            rig = Rig(opened.desk, app, pilot)
            await pilot.pause()
            assert "a newer Setdown wrote wheel-swapped here" in rig.said
            assert "Update this one to go on." in rig.said
            await rig.keys("escape")
            assert "This log can only be looked at." in rig.said
            assert "Update this one to go on." in rig.said
            await rig.keys("k")
            assert "as baseline" in rig.said
            await rig.keys("escape", "l")
            assert "by a newer Setdown: wheel-swapped" in rig.said
            await rig.keys("escape", "p")
            assert "back" in screen_text(app)
            await rig.keys("escape", "1", "enter", "backspace")
            for key in {one.key for one in KEYS if one.id not in LOOKING}:
                rig.app.screen.say("")
                await rig.keys(key)
                assert rig.message.startswith("Read-only: a newer Setdown wrote wheel-swapped")
                assert "This log can only be looked at." in rig.said
    assert path.read_bytes() == before


def test_consult_says_why_it_writes_nothing(
    folder: DataFolder,
    tmp_path: Path,
    run: Callable[..., int],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The headless twin refuses as the screen does."""
    answers = tmp_path / "a.toml"
    answers.write_text('run = "x"\n')
    path = folder.log_file("demo")
    before = path.read_bytes()
    car = SHIPPED_CARS / "demo.toml"
    assert run("consult", car, "--answers", answers, "--log", path) == LOG_FAULTS
    assert "Read-only: a newer Setdown wrote wheel-swapped here" in capsys.readouterr().err
    assert path.read_bytes() == before


def test_what_only_reads_goes_on(
    folder: DataFolder, tmp_path: Path, run: Callable[..., int]
) -> None:
    """Export and backup hold the unread event as it was written."""
    exported = tmp_path / "e.json"
    assert run("export", "demo", "--json", exported) == OK
    assert json.loads(exported.read_text())["events"][-1]["body"] == NEWER
    assert run("backup", tmp_path / "b.zip") == OK
    assert run("sheet", "demo") == LOG_FAULTS
    assert run("numbers", folder.car_file("demo"), "--log", folder.log_file("demo")) == LOG_FAULTS


def test_nothing_is_advised_while_an_event_is_unread(folder: DataFolder) -> None:
    """What is not understood may be a danger or a turn: no question, no advice, no work order."""
    with Logbook.open(folder.log_file("demo"), "pit") as log:
        desk = open_car(folder, "demo", log, BOOK).desk
        assert (desk.prompt.id, desk.prompt.choices, desk.prompt.about) == ("read-only", (), None)
        assert desk.work_out(desk.state) == []
        assert desk.car == DEMO
