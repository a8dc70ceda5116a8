"""A dyno table at the screen: typed or picked as a file, drawn before it is kept, one row again."""

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from drive import Rig, at_the_screen, make_desk

from rules.crew.sheets.rounds import answered, filling, open_field
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.stock_table import typed_rows
from rules.question import UNKNOWN
from tui.screens.file_picker import FilePicker

CSV = "speed [mm/s],0 [N],6 [N],12 [N]\n50,100,200,400\n250,300,600,1200\n500,500,900,1800\n"


@pytest.fixture
async def stock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Rig]:
    (tmp_path / "stack 2.csv").write_text(CSV)
    (tmp_path / "runs").mkdir()
    (tmp_path / "notes.md").write_text("no table")
    monkeypatch.chdir(tmp_path)
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("j", "6", "2", "1")
        await rig.type("Stack 2")
        await rig.choose("no")
        yield rig


def rows(rig: Rig) -> tuple[str, ...]:
    return typed_rows(filling(STOCK, rig.state), "rebound")


def _row(rig: Rig, words: str) -> int:
    return next(at for at, row in enumerate(rig.rows) if words in row)


async def test_a_file_is_picked_and_its_curves_are_seen_before_they_are_kept(stock: Rig) -> None:
    await stock.choose("file")
    assert "F6 pick a file" in stock.said
    await stock.keys("f6")
    picker = stock.app.screen
    assert isinstance(picker, FilePicker)
    assert [one.name for one in picker.offered] == ["runs", "stack 2.csv"]
    assert _row(stock, "stack 2.csv") - _row(stock, "+ runs") == 1
    await stock.pilot.resize_terminal(100, 30)
    await stock.keys("enter")
    assert "No folder and no table in here" in stock.said
    await stock.keys("backspace")
    assert _row(stock, "stack 2.csv") - _row(stock, "+ runs") == 2
    await stock.keys("down", "enter")
    assert rows(stock) == tuple(CSV.splitlines())
    if "From which end" in stock.said:
        await stock.keys("1")
    assert "are these its curves?" in stock.said
    assert "at the knob's count" in stock.said
    assert all(f"at {count}" in stock.said for count in (0, 6, 12))
    assert "FORCE, lb" in stock.said


async def test_a_path_that_is_none_is_refused_and_one_that_is_typed_is_taken(stock: Rig) -> None:
    await stock.choose("file")
    await stock.type("nowhere.csv")
    assert "nowhere.csv: the file: found no such file" in stock.said
    await stock.type("stack 2.csv")
    assert rows(stock) == tuple(CSV.splitlines())


async def test_one_row_is_said_again_alone_and_the_curves_are_looked_at_again(stock: Rig) -> None:
    await stock.choose("yes")
    for row in ("0, 6, 12", "2, 22, 45, 90", "10, 67, 135, 270", "20, 100, 200, 400", "end"):
        await stock.type(row)
    assert rows(stock)[0] == "speed [in/s], 0 [lb], 6 [lb], 12 [lb]"
    await stock.keys("f5")
    await stock.choose("rebound row 2")
    await stock.type("10, 70, 135")
    assert "row 2" in stock.said
    assert "found 3 cells, wanted 4" in stock.said
    await stock.type("10, 70, 135, 270")
    assert rows(stock)[2] == "10, 70, 135, 270"
    assert rows(stock)[3] == "20, 100, 200, 400"


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (132, 40)])
async def test_the_curves_fit_any_window_and_the_question_stays(size: tuple[int, int]) -> None:
    desk = make_desk()
    rows = ("0, 6, 12", "2, 22, 45, 90", "10, 67, 135, 270", "end")
    for value in ("valving", "front", "Stack 2", "no", "yes", *rows, UNKNOWN):
        one = open_field(STOCK, filling(STOCK, desk.state))
        assert one is not None
        desk.record(answered(STOCK, desk.state, one.key, value))
    async with at_the_screen(desk, size) as rig:
        await rig.keys("j", "6")
        assert "are these its curves?" in rig.said
        assert "y Yes" in rig.said
        assert all(len(row) <= size[0] for row in rig.text.splitlines())
