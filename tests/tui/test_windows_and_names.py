"""A second window is told at opening; names are taken as people type them."""

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from drive import at_the_screen, make_desk, to_work_order

from profiles.files import SHIPPED_CARS, add_car
from profiles.open_windows import Window, open_window
from profiles.paths import data_folder
from profiles.writing_place import WritingPlace
from rules.moments import stamp
from tui.app import SetdownApp
from tui.commands.car_names import car_named
from tui.commands.stop import CAR_FAULTS, OK, USAGE

NOW = datetime(2031, 5, 4, 17, 6, tzinfo=timezone(timedelta(hours=-6)))
Run = Callable[..., int]


def test_a_second_window_knows_who_and_since_when(tmp_path: Path) -> None:
    """A window that was closed, or died, is gone."""
    with open_window(tmp_path, NOW, "ann on pit") as first:
        assert first == []
        later = NOW + timedelta(minutes=5)
        with open_window(tmp_path, later, "bob on trailer") as second:
            assert second == [Window("ann on pit", NOW)]
            with open_window(tmp_path, later, "cy on phone") as third:
                assert [one.who for one in third] == ["ann on pit", "bob on trailer"]
        with open_window(tmp_path, later, "bob on trailer") as again:
            assert [one.who for one in again] == ["ann on pit"]
    with open_window(tmp_path, NOW, "ann on pit") as alone:
        assert alone == []


def test_a_window_that_stays_is_seen_when_the_first_one_goes(tmp_path: Path) -> None:
    first = open_window(tmp_path, NOW, "ann on pit")
    first.__enter__()
    with open_window(tmp_path, NOW, "bob on trailer"):
        first.__exit__(None, None, None)
        with open_window(tmp_path, NOW, "cy on phone") as third:
            assert [one.who for one in third] == ["bob on trailer"]


def test_a_folder_that_takes_no_writes_tells_of_nobody(tmp_path: Path) -> None:
    with open_window(tmp_path / "none", NOW, "ann on pit") as others:
        assert others == []


@pytest.mark.usefixtures("a_terminal")
def test_opening_says_it(run: Run, data: Path, opened: list[SetdownApp]) -> None:
    add_car(data_folder(data), SHIPPED_CARS / "demo.toml")
    assert run("open", "demo") == OK
    assert opened[-1].pages == []
    car = data / "real" / "cars" / "demo"
    with open_window(car, NOW, "ann on pit"):
        WritingPlace(car, Window("ann on pit", NOW)).take()
        assert run("open", "demo") == OK
    title, lines = opened[-1].pages[0]
    page = " ".join(lines)
    assert title == "This log can only be looked at"
    assert "ann on pit answers for this car" in page
    assert stamp(NOW) in page
    assert "program" not in page
    assert run("backup", data.parent / "b.zip") == OK


@pytest.mark.parametrize(
    "name", ["Blue Racer", "blue racer", "BLUE-RACER", " blue_racer ", "blue-racer"]
)
def test_capitals_and_blanks_name_the_same_car(name: str) -> None:
    assert car_named(name, ["blue-racer", "demo"]) == "blue-racer"


def test_a_name_that_fits_two_cars_names_neither() -> None:
    assert car_named("Blue Racer", ["blue-racer", "blue racer"]) is None
    assert car_named("blue racer", ["blue-racer", "blue racer"]) == "blue racer"
    assert car_named("red", ["blue racer"]) is None


@pytest.mark.usefixtures("a_terminal")
def test_demo_means_the_demonstration_car(
    run: Run, opened: list[SetdownApp], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("sheet", "--demo") == CAR_FAULTS
    assert "setdown demo" in capsys.readouterr().err
    assert run("demo") == OK
    assert run("sheet", "--demo") == OK
    assert "event sheet" in capsys.readouterr().out
    assert run("export", "--demo", "--csv", tmp_path / "csv") == OK
    assert run("sheet", "--demo", "Demo") == OK
    assert run("sheet", "DEMO", "--demo") == OK
    table = tmp_path / "passes.csv"
    table.write_text("Date,60 ft\n2031-05-04,1.312\n", "utf-8")
    assert run("import", "--demo", table) == OK
    assert run("import", table, "--demo") == OK
    assert run("import", "demo", table, "--demo") == OK
    assert run("import", "--demo") == USAGE


@pytest.mark.usefixtures("a_terminal")
def test_every_command_takes_a_name_as_typed(
    run: Run, data: Path, opened: list[SetdownApp]
) -> None:
    add_car(data_folder(data), SHIPPED_CARS / "demo.toml")
    assert run("open", "DEMO") == OK
    assert run("sheet", "Demo") == OK
    assert run("card", "Demo", "--sheet", "Travel Survey", "--blank", "--md", data / "x.md") == OK


async def test_override_with_nothing_to_override_says_so_before_it_asks() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("o")
        assert "Nothing here can be overridden; an inspection never can." in rig.said
        assert "why?" not in rig.said
        await rig.keys("1", "enter", "escape")
        assert rig.events() == []
        await to_work_order(rig)
        await rig.keys("o")
        assert "Nothing here can be overridden" in rig.said


async def test_the_footer_shows_only_what_works_in_a_text_box() -> None:
    async with at_the_screen(make_desk(meeting="")) as rig:
        foot = rig.rows[-1]
        assert "slip" not in foot
        assert "F1  keys" in foot
        await rig.type("s and p at dusk")
        assert rig.state.meeting is not None
        assert rig.state.meeting.name == "s and p at dusk"


async def test_refused_text_is_replaced_by_the_next_key() -> None:
    async with at_the_screen(make_desk()) as rig:
        await to_work_order(rig)
        await rig.choose("stops early")
        await rig.type("99")
        await rig.type("9")
        assert rig.state.settings["left front rebound"] == 9


async def test_what_is_marked_is_told_on_every_page_of_a_list() -> None:
    async with at_the_screen(make_desk()) as rig:
        _, second, *_ = (one.label for one in rig.desk.prompt.choices)
        await rig.keys("2")
        assert f"Marked: {second}" not in rig.said
        await rig.keys("9")
        assert f"Marked: {second}" in rig.said
        while f"2 ■ {second}" not in rig.said:
            await rig.keys("9")
        await rig.keys("2", "9")
        assert "Marked" not in rig.said
