"""The car file edited by keyboard: knobs and levers added, taken out, and edits taken back."""

from collections.abc import AsyncIterator
from functools import partial
from pathlib import Path

import pytest
from drive import BOOK, DEMO, METRIC, Clock, Rig, at_the_screen, counted_ids, counted_names

from profiles.edit_car import edit_car
from profiles.files import SHIPPED_CARS, add_car, load_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.car.file_before import NO_FILE, FileBefore
from rules.car.model import Car
from rules.crew.sheets.all import MENU
from rules.crew.sheets.describe.knobs import KNOBS
from rules.crew.sheets.edit.add_lever import KINDS
from rules.crew.sheets.edit.edit_sheet import EDIT, edit_sheet
from rules.crew.sheets.rounds import answered, filling, open_field
from rules.crew.sheets.sheet import Sheet, prompt_of
from rules.log.folds.fold import fold
from rules.question import Given, Prompt
from tui.desk import Desk
from tui.lines import prompt_rows, spoken_prompt
from tui.opening import file_before
from tui.pages.log import log_page
from tui.screens.sheet import FRAME_ROWS


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    folder = DataFolder(tmp_path)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    return folder


@pytest.fixture
async def shop(folder: DataFolder) -> AsyncIterator[Rig]:
    """The shop of a car that is kept in a folder, with a meeting on."""
    keep, before = (partial(one, folder, "demo") for one in (edit_car, file_before))
    log = Logbook.in_memory("tests")
    desk = Desk(log, BOOK, Clock(), counted_ids(), counted_names(), keep=keep, before=before)
    desk.describe(load_car(folder.car_file("demo")))
    desk.answer("meeting", "Invented meeting")
    desk.answer("session", "test")
    async with at_the_screen(desk) as rig:
        await rig.keys("j")
        yield rig


async def add_a_knob(rig: Rig) -> None:
    await rig.keys("1", "7", "1", "1")  # edit, add a knob, front, firmer clockwise
    await rig.mark("both")
    await rig.type("12")
    await rig.type("5")


async def test_a_knob_and_a_lever_come_into_the_file_from_the_keys_alone(
    shop: Rig, folder: DataFolder
) -> None:
    text = folder.car_file("demo").read_text("utf-8")
    await add_a_knob(shop)
    await shop.keys("2", "8")  # along with it: a lever
    await shop.choose("tyre pressure")
    await shop.keys("1", *["enter"] * 3)  # front, its proposed name, a number, psi
    for typed in ("1", "20", "40", "18", "30", "3"):
        await shop.type(typed)
    await shop.keys("2", "enter", "enter")  # not lifted, no tools, that is all
    assert "New: left front both." in shop.said
    assert "Finish, and put 3 into the car file" in shop.said
    await shop.keys("1")
    assert "1 Edit the car file: edited 4 May" in shop.said
    car = load_car(folder.car_file("demo"))
    assert shop.desk.car == car
    assert [len(damper.knobs) for damper in car.dampers] == [4, 4, 2, 2]
    lever = car.levers[-1]
    assert (lever.id, lever.unit, lever.makers_minimum) == ("front tire pressure", "psi", 18)
    assert shop.state.settings["right front both"] == 5
    assert shop.state.settings["front tire pressure"] == 30
    assert shop.kinds()[-2:] == ["car-described", "sheet-closed"]
    kept = folder.car_file("demo").read_text("utf-8")
    assert set(text.splitlines()) <= set(kept.splitlines())
    page = " ".join(" ".join(log_page(shop.desk)).split())
    assert "Left front both, clicks: not there -> 12" in page


async def test_the_last_edit_is_shown_taken_back_and_brought_again(
    shop: Rig, folder: DataFolder
) -> None:
    first = folder.car_file("demo").read_bytes()
    await shop.keys("1", "9")
    assert "2 Take back the last edit of the file - not now: there is no file before" in shop.said
    await shop.keys("2")
    assert "there is no file before this one" in shop.message
    await shop.keys("escape")
    await add_a_knob(shop)
    await shop.keys("enter", "1")
    second = folder.car_file("demo").read_bytes()
    for before, now, words in (
        (second, first, "Left front both, clicks: 12 -> not there"),
        (first, second, "Left front both, clicks: not there -> 12"),
    ):
        assert folder.car_file("demo").read_bytes() == before
        await shop.keys("1", "9", "2")
        assert words in shop.said
        assert folder.car_file("demo").read_bytes() == before
        await shop.keys("1")
        assert folder.car_file("demo").read_bytes() == now
        assert shop.kinds()[-2:] == ["car-described", "sheet-closed"]
    assert set(shop.state.to_recount) == {"left front both", "right front both"}
    assert fold(shop.desk.log.events()).car == shop.desk.car


async def test_a_file_before_with_faults_is_refused_and_named(
    shop: Rig, folder: DataFolder
) -> None:
    path = folder.car_file("demo")
    path.with_name(f"{path.name}.previous").write_text("[[[", "utf-8")
    await shop.keys("1", "9", "2")
    assert "the file before has faults" in " ".join(shop.message.split())
    assert "line 1" in " ".join(shop.message.split())


async def test_a_wrong_knob_goes_out_again_but_not_under_an_open_change(
    shop: Rig, folder: DataFolder
) -> None:
    text = folder.car_file("demo").read_text("utf-8")
    await add_a_knob(shop)
    await shop.keys("enter", "1")
    await shop.keys("1", "9", "1")
    await shop.choose("left front both")
    await shop.keys("enter")
    assert "front knob, both sides: taken out of the file." in shop.said
    await shop.keys("1")
    assert folder.car_file("demo").read_text("utf-8") == text
    assert shop.desk.car == DEMO
    await shop.keys("escape", "t")
    await shop.choose("left front rebound")
    await shop.type("10")
    await shop.keys("1")
    assert shop.state.open_change is not None
    await shop.keys("j", "1", "9", "1", "1")
    assert "is open on it" in " ".join(shop.message.split())


async def test_two_values_that_need_each_other_go_in_together(
    shop: Rig, folder: DataFolder
) -> None:
    await shop.keys("1", "2", "1")
    await shop.type("3300")
    await shop.keys("1", "2")
    for number, weight in enumerate(("880", "850", "800", "770"), 2):
        await shop.keys("2", str(number))
        await shop.type(weight)
        await shop.keys("1", "2" if number < 5 else "enter")
    assert "Finish, and put 5 into the car file" in shop.said
    assert "Fault" not in shop.said
    await shop.keys("1")
    assert load_car(folder.car_file("demo")) == shop.desk.car
    assert shop.kinds().count("car-described") == 1


def roads(car: Car) -> list[tuple[Sheet, dict[str, Given]]]:
    """Return answers by key that lead through every question of the sheet."""
    knob = {f"{axle} {what} {key}": "1" for axle in ("front", "rear") for what in KNOBS
            for key in ("range", "count")}  # fmt: skip
    typed: dict[str, Given] = {"id": "one more", "unit": "psi", "high": "2", "positions": "a; b"}
    return [
        (edit_sheet(FileBefore(car)), {"table": "take back"}),
        (EDIT, {"table": "take out"}),
        *((EDIT, {**knob, "table": "add a knob", "axle": axle}) for axle in ("front", "rear")),
        *(
            (EDIT, {**typed, "table": "add a lever", "kind": kind, "sort": sort})
            for kind in KINDS
            for sort in ("numbers", "names")
        ),
    ]


@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
def test_every_question_of_an_edit_stands_whole(car: Car) -> None:
    for sheet, told in roads(car):
        desk = Desk(Logbook.in_memory("tests"), BOOK, Clock(), counted_ids(), counted_names())
        desk.describe(car)
        while one := open_field(sheet, filling(sheet, desk.state)):
            fits(spoken_prompt(desk.state, prompt_of(one)))
            free = [choice.id for choice in one.choices if not choice.why_not]
            usual: Given = (one.default or free[0]) if free else "1"
            if one.kind == "many":
                usual = tuple(free[:1])
            desk.record(answered(sheet, desk.state, one.key, told.get(one.key, usual)))


def fits(prompt: Prompt) -> None:
    assert prompt_rows(prompt, 78) + FRAME_ROWS + 2 <= 24, prompt.id
    text = prompt.question + prompt.hint + "".join(choice.label for choice in prompt.choices)
    assert text.isascii()
    assert "{" not in text


def test_a_desk_without_a_file_has_nothing_to_take_back() -> None:
    assert Desk(Logbook.in_memory("tests"), BOOK).before() == NO_FILE
    assert EDIT in MENU
