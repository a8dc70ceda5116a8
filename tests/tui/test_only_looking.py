"""A log that can only be looked at: the first rows say why, looking works, recording says why."""

import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from drive import BOOK, START, Rig, make_desk

from profiles.files import SHIPPED_CARS, add_car
from profiles.open_windows import Window
from profiles.paths import DataFolder, data_folder
from rules.log.events.meeting import NoteAdded
from tests.support.windows import opened
from tui.app import SetdownApp
from tui.keys import KEYS, LOOKING
from tui.opening import Opened, open_car
from tui.screens.pit import PitScreen


@pytest.fixture
def folder(data: Path) -> DataFolder:
    """A data folder with a car that is at an event."""
    folder = data_folder(data)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    make_desk(folder.log_file("demo")).log.close()
    return folder


@contextmanager
def window(folder: DataFolder, who: str, minutes: int = 0) -> Iterator[Opened]:
    """Open a car in a window as the program does."""
    me = Window(who, START + timedelta(minutes=minutes))
    with opened(folder, me) as log:
        yield open_car(folder, "demo", log, BOOK)


def said_above(rig: Rig) -> str:
    """Return the words of the rows that stand above the question."""
    return rig.said.split("This log can only be looked at.")[0]


@asynccontextmanager
async def at(opened: Opened, pages: bool = True) -> AsyncIterator[Rig]:
    app = SetdownApp(opened.desk, settle_s=0.0, pages=opened.pages if pages else ())
    async with app.run_test(size=(80, 24)) as pilot:
        rig = Rig(opened.desk, app, pilot)
        await pilot.pause()
        yield rig


async def test_the_second_window_says_it_looks_and_takes_over(folder: DataFolder) -> None:
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        async with at(second) as rig:
            assert "ann on pit answers for this car" in rig.said
            assert "2031-05-04 09:00" in rig.said
            assert "To answer here: Escape, then 1." in rig.said
            await rig.keys("escape")
            assert "Read-only: ann on pit answers for this car" in said_above(rig)
            assert "This log can only be looked at." in rig.said
            for key in {one.key for one in KEYS if one.id not in LOOKING}:
                rig.app.screen.say("")
                await rig.keys(key)
                assert rig.message.startswith("Read-only: ann on pit answers")
            await rig.keys("k")
            assert "as baseline" in rig.said
            await rig.keys("escape", "l", "escape", "backspace")
            assert rig.state.held is not None
            await rig.keys("1", "enter")
            assert rig.state.held is None
            assert "can only be looked at" not in rig.said
            events = rig.state.events
        async with at(first, pages=False) as rig:
            assert "can only be looked at" not in rig.said
            await rig.keys("1", "enter")
            assert "This log can only be looked at." in rig.said
            assert "bob on trailer answers for this car" in rig.said
            assert rig.state.events == events


async def test_what_the_other_answers_is_seen_at_the_next_key(folder: DataFolder) -> None:
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        async with at(second) as rig:
            await rig.keys("escape")
            first.desk.answer(first.desk.prompt.id, first.desk.prompt.choices[0].id)
            await rig.keys("k")
            assert rig.state.events == first.desk.state.events


async def test_the_car_file_is_left_alone_once_the_place_is_taken(folder: DataFolder) -> None:
    """An edit of the car file is part of an answer: neither is begun."""
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        second.desk.answer_here()
        before = folder.car_file("demo").read_bytes()
        with pytest.raises(OSError, match="bob on trailer"):
            first.desk.edit([])
        assert folder.car_file("demo").read_bytes() == before


async def test_a_hand_edit_is_taken_in_with_the_place(folder: DataFolder) -> None:
    with window(folder, "ann on pit"), window(folder, "bob on trailer", 5) as second:
        file = folder.car_file("demo")
        file.write_text(file.read_text().replace("cg_height = 22 ", "cg_height = 23 "))
        known = second.desk.car
        second.desk.answer_here()
        assert second.desk.car != known


async def test_a_log_locked_by_another_program_opens(folder: DataFolder) -> None:
    hold = (
        "import sqlite3, sys; log = sqlite3.connect(sys.argv[1], isolation_level=None); "
        "log.execute('BEGIN EXCLUSIVE'); print('held', flush=True); sys.stdin.read()"
    )
    command = [sys.executable, "-c", hold, str(folder.log_file("demo"))]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe) as other:
        assert other.stdout is not None
        assert other.stdout.readline()
        with window(folder, "ann on pit") as opened:
            async with at(opened) as rig:
                await rig.keys("escape")
                assert "another program holds this log" in rig.said
                await rig.keys("1", "enter")
                assert rig.state.held is not None
                other.kill()
                other.wait()
                await rig.keys("1", "enter")
                assert rig.state.held is None
                assert "can only be looked at" not in rig.said


async def test_advice_that_finds_the_place_taken_shows_it(folder: DataFolder) -> None:
    """What was worked out meanwhile is not recorded, and the screen does not wait for it."""
    with window(folder, "ann on pit") as first, window(folder, "bob on trailer", 5) as second:
        async with at(first) as rig:
            second.desk.answer_here()
            note = NoteAdded(text="worked out meanwhile")
            pit = rig.app.screen
            assert isinstance(pit, PitScreen)
            pit.post_message(PitScreen.WorkedOut(rig.state, [note]))
            await rig.pilot.pause()
            assert "This log can only be looked at." in rig.said
            assert "bob on trailer answers for this car" in rig.said
            assert not rig.state.notes
