"""The form for what a phone, an O-ring and a tape say: typed, recorded, shown where it belongs."""

import pytest
from drive import Rig, at_the_screen, make_desk

from rules.log.events.passes import Measured
from tui.pages.log import log_page


async def test_a_lift_from_a_picture_stands_beside_its_question(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    await rig.keys("enter")
    assert "how high did the front tires get?" in rig.said
    rig.events()
    await rig.keys("h")
    assert "What did you measure on pass 1?" in rig.said
    await rig.choose("lift")
    assert "Height of that tire in the picture?" in rig.said
    await rig.type("130")
    await rig.type("80")
    assert rig.message == "Recorded for pass 1: 16.0 in, give or take 0.6: 12 to 24 in."
    assert "Measured: 16.0 in, give or take 0.6: 12 to 24 in." in rig.said
    (body,) = rig.events()
    assert isinstance(body, Measured)
    assert body.value == pytest.approx(80 / 130 * 26 * 0.0254)
    await rig.choose("big")
    rows = log_page(rig.desk)
    assert any("Height of the front tire, in a picture: 16.0 in" in row for row in rows)


async def test_a_ring_at_the_stop(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    await rig.keys("h")
    await rig.choose("front ring")
    assert "From the seal to the ring" in rig.said
    await rig.type("2.8")
    assert "Was it braked hard before the ring was read?" in rig.said
    await rig.choose("no")
    assert "at least 3.1 in" in rig.message
    assert "at the stop" in rig.message
    assert rig.state.runs[-1].measured["front ring"].inputs["ratio"] == 0.9


async def test_an_impossible_picture_is_asked_again(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    rig.events()
    await rig.keys("h")
    await rig.choose("touchdown")
    for text in ("130", "10", "40", "5", "60"):
        await rig.type(text)
    assert "not falling" in rig.message
    assert rig.events() == []
    await rig.keys("escape")
    assert rig.events() == []


async def test_a_number_out_of_bounds_is_refused(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    await rig.keys("h")
    await rig.choose("airborne")
    await rig.type("0")
    assert "wanted 1 to 10000" in rig.message


async def test_before_any_pass_there_is_nothing_to_choose() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("H")
        assert "There is nothing to choose from yet." in rig.said
        await rig.keys("escape")
        assert rig.events() == []
