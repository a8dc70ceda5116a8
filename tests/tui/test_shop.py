"""The shop on the screen: sheets by keyboard, into the log and the car file, resumable anywhere."""

from collections.abc import AsyncIterator
from functools import partial
from pathlib import Path

import pytest
from drive import (
    BOOK,
    DEMO,
    METRIC,
    Clock,
    Rig,
    at_the_screen,
    counted_ids,
    counted_names,
    make_desk,
)

from profiles.edit_car import edit_car
from profiles.files import SHIPPED_CARS, add_car, load_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.car.model import Car
from rules.crew.sheets.all import MENU, SHEETS
from rules.crew.sheets.rounds import filling, open_field
from rules.crew.sheets.sheet import Sheet, prompt_of
from rules.crew.sheets.walk import round_the_car
from rules.log.events.car import CarDescribed
from rules.paper.shop_page import blank_fields
from rules.shop.fit_items import ITEMS
from rules.units import POUND_KG
from tui.desk import Desk
from tui.lines import prompt_rows, spoken_prompt
from tui.pages.log import log_page
from tui.screens.sheet import FRAME_ROWS, SheetScreen
from tui.widgets.asker import Asker


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    folder = DataFolder(tmp_path)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    return folder


@pytest.fixture
def kept_desk(folder: DataFolder) -> Desk:
    """A desk whose car file is kept in a folder, with a meeting on."""
    log = Logbook.in_memory("tests")
    keep = partial(edit_car, folder, "demo")
    desk = Desk(log, BOOK, Clock(), counted_ids(), counted_names(), keep=keep)
    desk.describe(load_car(folder.car_file("demo")))
    desk.answer("meeting", "Invented meeting")
    desk.answer("session", "test")
    return desk


@pytest.fixture
async def shop(kept_desk: Desk) -> AsyncIterator[Rig]:
    async with at_the_screen(kept_desk) as rig:
        await rig.keys("j")
        yield rig


def asked(rig: Rig) -> str:
    return rig.app.screen.query_one(Asker).prompt.id


async def weigh(rig: Rig, total_rear: str = "755") -> None:
    await rig.keys("2", "1")
    for typed in ("half", "850", "830 lb", "770", total_rear):
        await rig.type(typed)
    await rig.keys("1")
    for typed in ("130", "330"):
        await rig.type(typed)
    await rig.keys("2")


async def test_the_menu_says_how_far_each_sheet_is(shop: Rig) -> None:
    for number, sheet in enumerate(MENU[:8], 1):
        assert f"{number} {sheet.name}: " in shop.said
    await shop.keys("2", "1")
    await shop.type("full")
    await shop.keys("escape")
    assert "2 Scales: 7 of 9 left" in shop.said
    await shop.keys("escape")
    assert "what did the car do?" in shop.said


async def test_a_weighing_goes_into_the_car_file_and_the_log(shop: Rig, folder: DataFolder) -> None:
    await weigh(shop)
    assert "3205 lb in all" in shop.said
    assert "right rear: 750 lb -> 755 lb" in shop.said
    assert "front unsprung: 130 lb, a guess -> 130 lb" in shop.said
    assert "Finish, and put 4 into the car file" in shop.said
    await shop.keys("1")
    assert "2 Scales: weighed 4 May" in shop.said
    car = load_car(folder.car_file("demo"))
    assert car.masses.total_kg == pytest.approx(3205 * POUND_KG, rel=1e-5)
    assert shop.desk.car == car
    assert shop.kinds()[-2:] == ["car-described", "sheet-closed"]
    text = folder.car_file("demo").read_text("utf-8")
    assert "# four corner scales, level ground, car rolled before reading" in text
    page = "\n".join(log_page(shop.desk))
    assert "weight as raced, driver aboard: 3200 lb ->" in " ".join(page.split())
    assert "Scales: finished." in page


async def test_finished_without_the_car_file_it_stays_as_it_is(
    shop: Rig, folder: DataFolder
) -> None:
    before = folder.car_file("demo").read_bytes()
    await weigh(shop)
    await shop.keys("2")
    assert folder.car_file("demo").read_bytes() == before
    assert shop.desk.car == DEMO
    assert shop.state.sheets["scales"][0].closed is not None


async def test_an_edit_that_makes_a_fault_is_refused_by_name(shop: Rig, folder: DataFolder) -> None:
    before = folder.car_file("demo").read_bytes()
    await shop.keys("1", "2", "1")
    await shop.type("4000")
    await shop.keys("1", "enter")
    assert "Fault: masses.total: found 4000 lb; wanted the corners' sum, 3200 lb" in shop.said
    await shop.keys("1")
    assert "not now: the faults first" in shop.said
    assert shop.message == "Finish, and put 1 into the car file: the faults first."
    assert folder.car_file("demo").read_bytes() == before
    await shop.keys("backspace", "backspace", "backspace")
    await shop.type("3210 lb")
    await shop.keys("1", "enter", "1")
    assert "1 value is in the car file" in shop.message


async def test_backspace_takes_back_one_answer_after_the_other(shop: Rig) -> None:
    await shop.keys("2", "1")
    await shop.type("full")
    await shop.keys("backspace")
    assert asked(shop) == "fuel"
    await shop.keys("backspace")
    assert asked(shop) == "driver"
    await shop.keys("backspace")
    assert "The shop: what shall be done?" in shop.said
    assert shop.kinds() == ["sheet-answered"] * 2 + ["sheet-taken-back"] * 2


async def test_a_wrong_value_says_what_is_wanted_and_keeps_what_was_typed(shop: Rig) -> None:
    await shop.keys("2", "1", "enter")
    await shop.type("850 in")
    assert "Left front: found '850 in'; wanted a number" in " ".join(shop.message.split())
    assert asked(shop) == "left front"


async def test_a_sheet_goes_on_where_it_was_left_in_another_program(kept_desk: Desk) -> None:
    async with at_the_screen(kept_desk) as rig:
        await rig.keys("j", "4")
        await rig.type("14 1/2 in")
        await rig.type("12 in")
    async with at_the_screen(kept_desk) as rig:
        await rig.keys("j")
        assert "4 Travel survey: 52 of 54 left" in rig.said
        await rig.keys("4")
        assert "Picked up where it was left." in rig.said
        assert asked(rig) == "front coil-over"
        assert "14 1/2 in" in rig.said


async def test_a_failed_fit_check_blocks_the_pits_until_it_is_ticked(shop: Rig) -> None:
    await shop.keys("5")
    for key in ITEMS:
        await shop.choose("fail" if key == "hoses" else "pass")
        if key == "hoses":
            await shop.type("Left rear, near the header")
    assert "STOP" in shop.said
    await shop.choose("finish")
    assert "Advice waits: Fit check failed: a hose or reservoir is in the way." in shop.said
    await shop.keys("escape")
    assert "Fit check that failed" in shop.said
    await shop.all_ok()
    assert shop.desk.prompt.id == "symptoms"


async def test_a_walk_round_the_car_declares_a_baseline(shop: Rig) -> None:
    await shop.keys("7")
    for one in round_the_car(shop.state):
        value = one.show(shop.state.settings[one.id])
        if one.positions:
            await shop.choose(value)
        else:
            await shop.type("9" if one.id == "left front rebound" else value.split()[0])
    await shop.type("28 psi")
    while open_field(SHEETS["baseline walk"], filling(SHEETS["baseline walk"], shop.state)):
        await (shop.type("Friday") if asked(shop) == "name" else shop.keys("enter"))
    assert "left front extension: found 9, the book has 8" in shop.said
    await shop.choose("finish")
    assert shop.state.baseline is not None
    assert shop.state.baseline.name == "Friday"
    assert shop.state.baseline.settings["left front rebound"] == 9
    assert shop.state.baseline.facts == {"left front tyre": "28 psi"}


async def test_an_early_answer_is_corrected_without_going_back_over_the_others(shop: Rig) -> None:
    await weigh(shop)
    assert "3205 lb in all" in shop.said
    await shop.choose("correct")
    assert "Which answer shall be said again?" in shop.said
    assert "3 Left front: 850 lb" in shop.said
    await shop.keys("backspace")
    assert "Finish this sheet?" in shop.said
    await shop.keys("f5", "3")
    assert asked(shop) == "left front"
    await shop.type("860")
    assert "3215 lb in all" in shop.said
    assert shop.kinds()[-2:] == ["sheet-taken-back", "sheet-answered"]


async def test_a_finished_sheet_is_corrected_and_completed(shop: Rig) -> None:
    await weigh(shop)
    await shop.choose("finish")
    await shop.keys("2")
    assert "This sheet was finished. What now?" in shop.said
    await shop.keys("2", "3")
    assert asked(shop) == "left front"
    await shop.type("860")
    assert "3215 lb in all" in shop.said
    await shop.choose("finish")
    assert shop.kinds()[-3:] == ["sheet-continued", "sheet-answered", "sheet-closed"]
    assert [one.of for one in shop.state.sheets["scales"]] == [None, 1]
    assert "Scales: the last one is corrected." in "\n".join(log_page(shop.desk))
    await shop.keys("2", "1")
    assert asked(shop) == "driver"


async def test_how_and_the_whole_sheet_are_pages(shop: Rig) -> None:
    await shop.keys("4", "f3")
    assert "Gas-charged" in shop.said
    await shop.keys("escape", "f4")
    assert "open left front travel: Not known yet" in shop.said
    await shop.keys("escape")
    assert isinstance(shop.app.screen, SheetScreen)
    assert shop.kinds() == []


async def test_owned_springs_come_onto_the_ladder(shop: Rig, folder: DataFolder) -> None:
    for name, rate in (("Blue", "150"), ("Red", "250")):
        await shop.keys("6", "1", "1")
        await shop.type(name)
        await shop.type(rate)
        await shop.keys(*["enter"] * 4)
        await shop.choose("Blue")
        await shop.choose("take")
    car = load_car(folder.car_file("demo"))
    assert [one.name for one in car.stock] == ["Blue", "Red"]
    bodies = [body for body in shop.events() if isinstance(body, CarDescribed)]
    assert len(bodies) == 2


UP_TO_THE_RIGHT = ("enter", "enter", "1")


async def test_a_survey_is_walked_through_with_one_key_for_the_right_side(shop: Rig) -> None:
    axle = (*UP_TO_THE_RIGHT, "enter", "enter")
    await shop.keys("4", *axle, *axle, *["enter"] * 36, *["1"] * 8)
    assert "Finish this sheet?" in shop.said
    answers = filling(SHEETS["travel survey"], shop.state).answers
    assert len(answers) == 54
    assert answers["front alike"] == answers["rear alike"] == "yes"


async def test_the_right_side_is_asked_where_it_is_measured_too(shop: Rig) -> None:
    await shop.keys("4", *UP_TO_THE_RIGHT)
    assert "Right front: as on the left, or measured too?" in shop.said
    await shop.keys("2")
    assert "Right front shock: how long is it at ride height?" in shop.said


async def test_spring_rates_are_worked_out_on_their_sheet(shop: Rig) -> None:
    await shop.keys("8")
    await shop.type("1.3")
    await shop.keys("enter")
    await shop.type("40")
    assert "front spring for 1.3 Hz: 160 to 170 lb/in each." in shop.said
    assert "Guessed: pitch inertia" in shop.said
    await shop.choose("finish")
    assert "8 Spring rates: worked out 4 May" in shop.said


@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
@pytest.mark.parametrize("sheet", MENU, ids=lambda sheet: sheet.id)
def test_every_question_of_every_sheet_stands_whole(car: Car, sheet: Sheet) -> None:
    desk = make_desk(car=car)
    for one in (*sheet.fields(filling(sheet, desk.state)), *blank_fields(sheet, desk.state)):
        prompt = spoken_prompt(desk.state, prompt_of(one))
        assert prompt_rows(prompt, 78) + FRAME_ROWS + 2 <= 24, one.key
        assert prompt_rows(prompt, 78) <= 14
        text = prompt.question + prompt.hint + "".join(c.label for c in prompt.choices)
        assert text.isascii()
        assert "{" not in text


async def test_two_digits_typed_fast_open_one_sheet(shop: Rig) -> None:
    """Both keys are in the queue before the screen follows: the second was read by nobody."""
    asker = shop.app.screen.query_one(Asker)
    taken = [Asker.Taken(asker.prompt, MENU[place].id) for place in (1, 3)]
    for message in taken:
        asker.post_message(message)
    await shop.pilot.pause()
    sheets = [one for one in shop.app.screen_stack if isinstance(one, SheetScreen)]
    assert [one.sheet.id for one in sheets] == ["scales"]
