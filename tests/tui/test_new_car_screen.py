"""Describing a new car on the screen: keys counted, stopped and gone on with, opened at its end."""

from pathlib import Path

import pytest
from drive import BOOK, screen_text
from newcomer import KNOWS_ONLY, PRESSES, PROMPTS, describing, press

from profiles.drafts import take_in
from profiles.files import load_car
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.crew.sheets.describe.new_car import NEW_CAR
from tui.opening import open_car


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    return DataFolder(tmp_path)


async def test_weight_wheelbase_and_knobs_make_a_car_in_few_keys(folder: DataFolder) -> None:
    async with describing(folder) as (app, pilot, desk):
        await press(app, pilot, *KNOWS_ONLY[:-1])
        text = screen_text(app)
        assert "What to measure next, and how" in text
        assert "1. " in text
        assert "2. " in text
        await press(app, pilot, KNOWS_ONLY[-1])
        state = desk.state
    assert app.return_value is True
    assert len(state.sheets[NEW_CAR.id][0].answers) == PROMPTS <= 30
    assert len(KNOWS_ONLY) == PRESSES
    car_id = take_in(folder, state)
    car = load_car(folder.car_file(car_id))
    assert [len(damper.knobs) for damper in car.dampers] == [3, 3, 2, 2]
    with Logbook.open(folder.log_file(car_id), "tests", create=False) as log:
        opened = open_car(folder, car_id, log, BOOK)
        assert opened.pages == []
        assert opened.desk.prompt.id == "meeting"
        assert opened.desk.state.settings["left front rebound"] == 8
        assert not opened.desk.resumed


async def test_left_half_way_it_goes_on_there(folder: DataFolder) -> None:
    async with describing(folder) as (app, pilot, _):
        await press(app, pilot, *KNOWS_ONLY[:15], "escape")
    assert app.return_value is False
    async with describing(folder) as (app, pilot, _):
        assert "How long is the wheelbase?" in screen_text(app)
        assert "3200 lb" in screen_text(app)
        await press(app, pilot, "backspace")
        assert "What does the whole car weigh?" in screen_text(app)


async def test_f3_says_how_each_number_is_found_out(folder: DataFolder) -> None:
    async with describing(folder) as (app, pilot, _):
        await press(app, pilot, "f3")
        text = " ".join(screen_text(app).split())
        assert "Wheelbase: Tape from wheel centre to wheel centre" in text.replace(
            "center", "centre"
        )
        assert "Never force an end." in text


async def test_f9_stops_at_any_time_after_the_knobs(folder: DataFolder) -> None:
    async with describing(folder) as (app, pilot, desk):
        await press(app, pilot, "f9")
        assert "What is the car called?" in screen_text(app)
        await press(app, pilot, *KNOWS_ONLY[:-2], "2", *"1650", "enter")
        assert "F9  finish" in screen_text(app)
        await press(app, pilot, "f9")
        assert "Make the car file, and open the car" in screen_text(app)
        await press(app, pilot, "backspace")
        assert "F9  finish" in screen_text(app)
        await press(app, pilot, "f9", "1")
        state = desk.state
    car = load_car(folder.car_file(take_in(folder, state)))
    assert "masses.left_front" in car.guesses
