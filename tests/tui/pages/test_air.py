"""The air as a crew reads it: noted, converted, asked back, and what it explains."""

import pytest
from drive import METRIC, at_the_screen, make_desk
from roads import timed_pass

from rules.crew.actions import ACTION
from rules.log.conditions import air_at
from rules.question import ActionError
from tui.desk import Desk


async def test_the_air_and_what_it_explains(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("a")
        told = rig.said
        assert "Density altitude" in told
        assert "of the pressure is water vapor" in told
        assert "lb/ft3, of it dry" in told, "a US crew has no kilograms to the cubic metre"
        assert "Since pass 1, quarter: The air alone makes it" in told
        assert "60-foot, nearly free of the air: The air alone" in told
        assert "quarter: Expected" in told
        assert "You choose the dial-in; this only informs." in told
        await rig.keys("a")
        assert "which lane?" in rig.said
        await rig.keys("escape")
        assert rig.events() == []


def test_the_density_is_that_of_the_published_formula(timed: Desk) -> None:
    # 20 C, 50 %, 1013.25 hPa: CIPM-2007 gives 1.19931 kg/m3; 735 ft by the standard atmosphere.
    for given in (
        {"air_temperature": 68, "humidity": 50, "pressure": 29.9212524},
        {"air_temperature": 68, "dew_point": 48.67, "pressure": 29.9212524},
    ):
        action = {"action": "conditions", "pressure_kind": "station pressure", **given}
        timed.act(ACTION.validate_python(action))
        air = air_at(timed.state.runs[-1])
        assert air is not None
        assert air.density_kg_m3 == pytest.approx(1.19931, rel=6e-4)
        assert air.density_altitude_m / 0.3048 == pytest.approx(735, abs=8)


def test_a_sea_level_barometer_is_converted_and_an_unnamed_pressure_says_nothing() -> None:
    desk = make_desk(car=METRIC)
    timed_pass(desk, 1.43)
    action = {"action": "conditions", "air_temperature": 30, "humidity": 40, "pressure": 1013.25}
    desk.act(ACTION.validate_python(action))
    assert air_at(desk.state.runs[-1]) is None
    action |= {"pressure_kind": "altimeter setting", "elevation": 1500}
    desk.act(ACTION.validate_python(action))
    air = air_at(desk.state.runs[-1])
    assert air is not None
    # U.S. Standard Atmosphere 1976 at 1500 geopotential metres.
    assert air.station_pressure_pa == pytest.approx(84556.0, abs=1.0)


def test_a_station_pressure_that_cannot_be_one_is_asked_back() -> None:
    desk = make_desk(car=METRIC)
    timed_pass(desk, 1.43)
    action = {"action": "conditions", "pressure": 1013, "pressure_kind": "station pressure"}
    action["elevation"] = 1500
    with pytest.raises(ActionError, match="looks reduced to sea level; name pressure in keep"):
        desk.act(ACTION.validate_python(action))
    assert desk.state.runs[-1].conditions is None
    desk.act(ACTION.validate_python({**action, "keep": ["pressure"]}))
    assert desk.state.runs[-1].conditions is not None


async def test_the_form_asks_it_back_too() -> None:
    desk = make_desk(car=METRIC)
    timed_pass(desk, 1.43)
    async with at_the_screen(desk) as rig:
        await rig.keys("a", "1", "enter", "enter", "enter", *"1013", "enter", "1")
        await rig.keys(*"1500", "enter", "enter")
        assert "looks reduced to sea level. What is it?" in rig.said
        await rig.keys("1")
        assert rig.events() == []
        await rig.keys("b")
        assert "How does the engine breathe?" in rig.said
        await rig.keys("0")
        noted = rig.state.runs[-1].conditions
        assert noted is not None
        assert noted.pressure_kind == "sea-level barometer"
