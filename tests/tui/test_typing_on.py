"""A number box objects while it is typed in; what was refused is replaced, never added to."""

import pytest
from drive import Rig
from textual.widgets import Input


def line(rig: Rig) -> str:
    return rig.app.screen.query_one(Input).value


async def test_what_can_never_fit_is_said_at_once(rig: Rig) -> None:
    await rig.keys("i", *"99")
    assert rig.message == ""
    await rig.keys(*"99")
    assert "Wanted: 0 to " in rig.message
    assert rig.events() == []


async def test_what_was_refused_is_selected_and_the_next_key_replaces_it(rig: Rig) -> None:
    await rig.keys("i", *"9999", "enter")
    assert line(rig) == "9999"
    await rig.keys("3", "0", "enter")
    assert rig.state.call_at is not None
    assert rig.state.minutes_left == 30


@pytest.mark.parametrize("letter", ["a", "x", "e", " ", "ä"])
async def test_letters_never_enter_a_number_box(rig: Rig, letter: str) -> None:
    await rig.keys("i", "1")
    await rig.pilot.press("space" if letter == " " else letter)
    await rig.pilot.pause()
    if rig.app.screen.query("#typed"):
        assert line(rig) == "1"
    assert rig.events() == []
