"""What is left half answered waits, and is forgotten once anything was recorded."""

import pytest
from drive import at_the_screen, make_desk
from roads import BY_NAME

from tui.screens.questions import PICKED_UP


async def test_a_form_that_was_left_goes_on_where_it_stood() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("r", "8")
        asked = rig.text
        await rig.keys("escape")
        assert rig.message == "Nothing was recorded; what was answered waits."
        await rig.keys("r")
        assert rig.message == PICKED_UP
        assert rig.text.splitlines()[2:8] == asked.splitlines()[2:8]
        await rig.keys("7", "enter")
        assert rig.kinds() == ["recounted"]


async def test_after_a_record_the_same_form_begins_anew() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("r", "8", "escape")
        await rig.keys("n", *"Invented", "enter")
        await rig.keys("r")
        assert "What did you recount?" in rig.text


async def test_backspace_goes_back_through_a_form_that_was_picked_up() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("r", "8", "escape", "r", "backspace")
        assert "What did you recount?" in rig.text


@pytest.mark.parametrize("road", ["resumed", "fit list"])
async def test_what_is_gone_on_with_says_so_in_reverse_until_the_next_answer(road: str) -> None:
    async with at_the_screen(BY_NAME[road].desk()) as rig:
        await rig.keys(*BY_NAME[road].press)
        message = rig.app.screen.query_one("#message")
        assert message.has_class("-picked-up")
        assert rig.message.startswith("Picked up ")
        await rig.keys("1")
        assert not message.has_class("-picked-up")


async def test_a_notice_does_not_hide_that_it_goes_on() -> None:
    desk = BY_NAME["resumed"].desk()
    desk.notice = "Your own rule pages have faults and are left out: see setdown book check."
    async with at_the_screen(desk) as rig:
        assert "Picked up at: Pass 1: how high did the front" in rig.message
        assert desk.notice in " ".join(rig.message.split())
