"""A sheet moves a number that does not fit its window, at 80 and at 60 columns."""

import re

import pytest
from drive import DEMO, METRIC, at_the_screen, make_desk

from rules.car.model import Car
from rules.crew.sheets.all import SHEETS
from tui.screens.sheet import SheetScreen

NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.mark.parametrize("width", [80, 60])
@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
async def test_answers_and_edits_stand_whole(car: Car, width: int) -> None:
    async with at_the_screen(make_desk(car=car), size=(width, 24)) as rig:
        screen = SheetScreen(rig.desk, next(iter(SHEETS.values())), 0.0)
        await rig.app.push_screen(screen)
        await rig.pilot.pause()
        label = "damper length at full droop, right rear, taken twice"
        for words in ("123456.7 lb", "98765.4 N, give or take 1234.5, measured 17.25 in apart"):
            for name in (label, "left front"):
                rows = screen.laid.answer(name, words)
                assert max(map(len, rows)) <= screen.width
                assert NUMBER.findall(words) == NUMBER.findall(" ".join(rows))
