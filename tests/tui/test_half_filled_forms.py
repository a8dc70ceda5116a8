"""What is left half answered waits, and is forgotten once anything was recorded."""

from drive import at_the_screen, make_desk

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
