"""Opening a car whose file was edited by hand: the difference is shown, a fault costs nothing."""

from pathlib import Path

import pytest
from drive import BOOK, screen_text

from profiles.files import SHIPPED_CARS, CarFileError, add_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.car.edits import Edit
from rules.units import INCH_M, Quantity
from tui.app import SetdownApp
from tui.opening import Opened, open_car
from tui.pages.log import log_page


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    folder = DataFolder(tmp_path)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    return folder


@pytest.fixture
def log() -> Logbook:
    return Logbook.in_memory("tests")


def opened(folder: DataFolder, log: Logbook) -> Opened:
    return open_car(folder, "demo", log, BOOK)


def by_hand(folder: DataFolder, before: str, after: str) -> None:
    path = folder.car_file("demo")
    text = path.read_text("utf-8")
    assert before in text
    path.write_text(text.replace(before, after), "utf-8")


def test_a_file_as_it_was_shows_nothing(folder: DataFolder, log: Logbook) -> None:
    assert opened(folder, log).pages == []
    assert opened(folder, log).pages == []


def test_a_hand_edit_is_shown_before_and_after_and_taken_in(
    folder: DataFolder, log: Logbook
) -> None:
    opened(folder, log)
    by_hand(folder, "cg_height = 22 ", "cg_height = 23 ")
    again = opened(folder, log)
    rows = again.pages[0][1]
    assert "Geometry, height of the center of gravity: 22 in -> 23 in" in rows
    assert again.desk.car.geometry.cg_height_m == pytest.approx(23 * INCH_M)
    page = " ".join(" ".join(log_page(again.desk)).split())
    assert "22 in -> 23 in" in page
    assert opened(folder, log).pages == []


def test_the_tools_own_edit_is_no_hand_edit(folder: DataFolder, log: Logbook) -> None:
    desk = opened(folder, log).desk
    desk.edit([Edit(("geometry", "cg_height"), 0.6, "CG height", Quantity.LENGTH)])
    assert desk.car.geometry.cg_height_m == pytest.approx(0.6, rel=1e-5)
    assert opened(folder, log).pages == []


def test_a_faulty_hand_edit_is_named_and_the_last_good_car_opens(
    folder: DataFolder, log: Logbook
) -> None:
    good = opened(folder, log).desk.car
    by_hand(folder, "cg_height = 22 ", "cg_hight = 22 ")
    again = opened(folder, log)
    title, rows = again.pages[0]
    assert title == "The car file has faults"
    assert any("cg_hight" in row for row in rows)
    assert again.desk.car == good
    by_hand(folder, "cg_hight = 22 ", "cg_height = 22 ")
    assert opened(folder, log).pages == []


def test_a_faulty_file_that_no_log_knows_is_refused(folder: DataFolder, log: Logbook) -> None:
    folder.car_file("demo").write_text("[[[", "utf-8")
    with pytest.raises(CarFileError):
        opened(folder, log)


async def test_the_page_stands_before_anything_else(folder: DataFolder, log: Logbook) -> None:
    opened(folder, log)
    by_hand(folder, "cg_height = 22 ", "cg_height = 23 ")
    again = opened(folder, log)
    app = SetdownApp(again.desk, settle_s=0, pages=again.pages)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "22 in -> 23 in" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "Which event is this?" in screen_text(app)


async def test_the_shop_can_be_the_first_screen(folder: DataFolder, log: Logbook) -> None:
    app = SetdownApp(opened(folder, log).desk, settle_s=0, shop=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "The shop: what shall be done?" in screen_text(app)
