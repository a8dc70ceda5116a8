"""Time and place on top: which car, event and pass, the minutes to the call, what is open."""

from dataclasses import replace

import pytest
from drive import Clock, at_the_screen, make_desk, to_work_order
from roads import BY_NAME

from rules.car.model import Car
from rules.crew.actions import ACTION
from tui.drawn.header import header


def call_in(desk: object, minutes: int) -> None:
    desk.act(ACTION.validate_python({"action": "minutes to call", "minutes": minutes}))  # type: ignore[attr-defined]


async def test_it_says_where_and_when_and_ticks_down_between_answers() -> None:
    desk = make_desk()
    call_in(desk, 38)
    async with at_the_screen(desk) as rig:
        assert "Invented door car · Invented meeting · pass 1 next" in rig.rows[0]
        assert rig.rows[0].endswith("call 09:38, in 38 min")
        assert isinstance(desk.clock, Clock)
        desk.clock.wait(7)
        rig.app.screen.draw_frame()  # type: ignore[attr-defined]
        await rig.pilot.pause()
        assert rig.rows[0].endswith("call 09:38, in 31 min")
        assert rig.events() == []


async def test_the_call_turns_into_a_warning_when_the_open_work_takes_longer() -> None:
    desk = make_desk()
    call_in(desk, 12)
    async with at_the_screen(desk) as rig:
        await to_work_order(rig)
        assert "! call" not in rig.rows[0]
        rig.clock.wait(6)
        rig.app.screen.draw_frame()  # type: ignore[attr-defined]
        await rig.pilot.pause()
        assert "! call 09:12, in 6 min: the work takes longer" in rig.rows[0]
        rig.clock.wait(6)
        rig.app.screen.draw_frame()  # type: ignore[attr-defined]
        await rig.pilot.pause()
        assert "! call 09:12: now" in rig.rows[0]


@pytest.mark.parametrize(
    ("road", "says"),
    [
        ("prompt", "■ nothing open · all at baseline"),
        ("tick list", "! INSPECT FIRST: After a hard landing"),
        ("work order", "► OPEN: 1 of 2 done, 5 min to go · front extension, both sides"),
        ("before the pass", "► OPEN: waits for its pass · front extension, both sides: 3 clicks"),
        ("counts", "■ nothing open · 2 off baseline: front extension +3, left rear extension -2"),
    ],
)
def test_it_says_what_is_open(road: str, says: str) -> None:
    desk = BY_NAME[road].desk()
    rows = header(desk.state, desk.prompt, 80, None).plain.split("\n")
    assert rows[1].strip().startswith(says)


@pytest.mark.parametrize("width", [40, 60, 80, 132])
def test_long_names_go_before_the_pass_and_the_call(width: int) -> None:
    desk = make_desk(meeting="An invented meeting with quite a name to it")
    call_in(desk, 38)
    car = desk.car.model_copy(update={"name": "An invented door car with a long name"})
    state = replace(desk.state, car=car)
    rows = header(state, None, width, None).plain.split("\n")
    assert [len(row) <= width for row in rows] == [True, True]
    assert "call 09:38, in 38 min" in rows[0]
    assert width < 60 or "pass 1 next" in rows[0]


@pytest.mark.parametrize(("width", "height"), [(60, 20), (80, 24), (132, 40)])
async def test_a_car_without_knobs_in_its_file_is_not_said_to_have_none(
    width: int, height: int
) -> None:
    """What nobody knows is not in the file; that says nothing of the car."""
    bare = Car.parse({"id": "ours", "name": "Ours", "units": "us"})
    async with at_the_screen(make_desk(car=bare), size=(width, height)) as rig:
        assert "all at baseline" not in rig.text
        assert "no knob or lever in the car file" in rig.text
        assert "pass 1 next" in rig.rows[0]
        assert "Pass 1" in rig.text
        if width > 60:
            assert "none in file" in rig.text
