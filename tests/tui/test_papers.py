"""From the screen too: sheets, the day, tables, a backup, another car, and where it all lies."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from drive import DEMO, Rig, at_the_screen, counted_ids, counted_names
from roads import timed_day

from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder, data_folder
from rules.book import shipped
from tui.desk import Desk
from tui.papers import Papers
from tui.screens.papers import ANOTHER_CAR

WHEN = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def kept(tmp_path: Path) -> tuple[Desk, DataFolder, Path]:
    """A car in a data folder with a day on it, and the folder that is written to."""
    from drive import Clock

    folder = data_folder(tmp_path / "data")
    add_car(folder, SHIPPED_CARS / "demo.toml")
    to = tmp_path / "here"
    to.mkdir()
    log = Logbook.open(folder.log_file("demo"), "tests")
    desk = Desk(log, shipped(), clock=Clock(), event_ids=counted_ids(), names=counted_names())
    desk.describe(DEMO)
    desk.answer("meeting", "Invented event")
    desk.answer("session", "test")
    timed_day(desk)
    desk.papers = lambda: Papers(folder, "demo", log, desk.book, lambda: WHEN, to)
    return desk, folder, to


async def written(rig: Rig, digit: str) -> str:
    await rig.keys("z", digit)
    return rig.message


@pytest.mark.parametrize(
    ("digit", "names", "words"),
    [
        ("1", ["sheet-20310504-120000.html"], "Where the car stands"),
        ("2", ["card-20310504-120000.html"], "Baseline"),
        ("3", ["day-20310504-120000.txt"], "60-FOOT BY PASS, s"),
    ],
)
async def test_sheet_card_and_day(
    kept: tuple[Desk, DataFolder, Path], digit: str, names: list[str], words: str
) -> None:
    desk, _, to = kept
    async with at_the_screen(desk) as rig:
        said = await written(rig, digit)
        assert [path.name for path in to.iterdir()] == [f"setdown-demo-{one}" for one in names]
        assert names[0] in said.replace("\n", "")
        assert words in next(to.iterdir()).read_text(encoding="utf-8")
        assert rig.events() == []


async def test_the_day_on_paper_is_plain_and_whole(kept: tuple[Desk, DataFolder, Path]) -> None:
    desk, _, to = kept
    async with at_the_screen(desk) as rig:
        await written(rig, "3")
    text = next(to.iterdir()).read_text(encoding="utf-8")
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 78
    assert "| before pass 5: rear compression 7 > 10" in text
    assert "quicker" in text
    assert "330 to eighth" in text


async def test_tables_and_a_backup(kept: tuple[Desk, DataFolder, Path]) -> None:
    desk, _, to = kept
    async with at_the_screen(desk) as rig:
        await written(rig, "4")
        assert {path.suffix for path in to.iterdir()} == {".csv", ".json"}
        await rig.keys("escape")
        await written(rig, "5")
        assert (to / "setdown-backup-20310504-120000.zip").stat().st_size > 0


async def test_nothing_that_is_there_is_replaced(kept: tuple[Desk, DataFolder, Path]) -> None:
    desk, _, to = kept
    async with at_the_screen(desk) as rig:
        await written(rig, "1")
        before = next(to.iterdir()).read_bytes()
        await rig.keys("1")
        assert "is there already; nothing was written" in " ".join(rig.message.split())
        assert next(to.iterdir()).read_bytes() == before


async def test_where_it_lies_and_another_car(kept: tuple[Desk, DataFolder, Path]) -> None:
    desk, folder, _ = kept
    async with at_the_screen(desk, size=(132, 40)) as rig:
        await rig.keys("z", "7")
        assert str(folder.log_file("demo")) in rig.text.replace("\n", "")
        await rig.keys("escape", "6")
        assert rig.app.return_value == ANOTHER_CAR


async def test_a_car_that_is_kept_nowhere_says_so(rig: Rig) -> None:
    await rig.keys("z")
    assert "not kept in a data folder" in rig.message
