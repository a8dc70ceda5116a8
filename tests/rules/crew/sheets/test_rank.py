"""What to measure next, and what is usual. Ranges are common practice, no source."""

import subprocess
import sys
from typing import Any

import pytest

from rules.car.model import Car
from rules.car.usual import TYPICAL, typically
from rules.crew.sheets.describe.rank import HOW, measure_next
from rules.crew.sheets.sheet import unusual
from rules.units import Quantity
from rules.wording import both_range, say

TABLES = ("masses", "geometry", "front", "rear", "launch")


def _car(**tables: object) -> Car:
    named = {"setdown_car": 1, "id": "invented", "name": "Invented", "units": "metric"}
    return Car.parse(named | {"rear_suspension": "four-link"} | tables)


def test_without_the_model_everything_unknown_comes_in_the_default_order() -> None:
    keys = [one.key for one in measure_next(_car(), cars=0)]
    said = ("launch.thrust", "front.spring_motion_ratio", "rear.spring_motion_ratio")
    no_need = ("geometry.bar_", "launch.change_")
    assert keys == [key for key in HOW if key not in said and not key.startswith(no_need)]
    assert keys[:2] == ["masses.total", "geometry.wheelbase"]


def test_what_is_measured_is_not_asked_again_and_a_guess_is() -> None:
    corners = dict.fromkeys(("left_front", "right_front", "left_rear", "right_rear"), 360.0)
    car = _car(
        masses=corners, geometry={"wheelbase": 2.7, "cg_height": 0.5},
        launch={"thrust": 20e3}, guesses=("geometry.cg_height",),
    )  # fmt: skip
    keys = [one.key for one in measure_next(car, cars=0)]
    assert not {"masses.total", "masses.left_front", "geometry.wheelbase"} & set(keys)
    assert "launch.peak_g" not in keys
    assert keys[0] == "geometry.ground_clearance"
    assert "geometry.cg_height" in keys
    half = _car(masses={"left_front": 360.0, "right_front": 360.0})
    assert "masses.left_front" in [one.key for one in measure_next(half, cars=0)]


def test_the_model_ranks_first_and_without_it_nothing_is_lost() -> None:
    car = _car(masses={"total": 1450.0}, geometry={"wheelbase": 2.7})
    ranked, plain = measure_next(car, cars=64), measure_next(car, cars=0)
    assert {one.key for one in ranked} == {one.key for one in plain}
    by_model = [one.by_model for one in ranked]
    assert 1 <= sum(by_model) <= 4
    assert by_model == sorted(by_model, reverse=True)
    assert measure_next(car, cars=64) == ranked
    empty = measure_next(_car(), cars=64)
    assert [one.key for one in empty][:2] == ["masses.total", "geometry.wheelbase"]


def test_every_how_fits_a_line() -> None:
    for how in HOW.values():
        assert len(say(how, "us")) <= 78
        assert how.isascii()
        assert how.endswith(".")


def test_a_rank_is_asked_for_without_loading_arrays_first() -> None:
    code = "import sys, rules.crew.sheets.describe.rank, rules.shop.survey, rules.shop.cg; "
    code += "import rules.shop.spring_rates, rules.typed, rules.car.usual; "
    code += "sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize("end", ["low", "high"])
def test_every_usual_value_of_the_file_is_one_the_file_takes(end: str) -> None:
    for key, field in TYPICAL.items():
        table, _, name = key.partition(".")
        if table in TABLES:
            raw: dict[str, Any] = {table: {name: getattr(field, end)}}
            part = Car.parse(
                {"setdown_car": 1, "id": "x", "name": "X", "units": "us"}
                | {"rear_suspension": "other"} | raw
            )  # fmt: skip
            assert getattr(part, table) is not None
        assert field.low < field.high


def test_ranges_are_said_with_their_label_and_doubted_outside() -> None:
    assert typically("geometry.wheelbase") == (
        "mostly {92 to 120 in|2337 to 3048 mm} (common practice, no source)"
    )
    assert typically("front.motion_ratio") == "mostly 0.5 to 1 (common practice, no source)"
    assert typically("front.tyre") == ""
    assert unusual("geometry.wheelbase", 2.7) is None
    assert unusual("front.tyre", 9.0) is None
    odd = unusual("geometry.wheelbase", 1.37)
    assert odd is not None
    assert odd.level == "look"
    assert "below" in odd.says
    assert both_range(-0.0001, 0.1, Quantity.LENGTH) == "{0 to 3.94 in|0 to 100 mm}"


def test_the_clearance_is_named() -> None:
    (asked,) = [one for one in measure_next(_car(), cars=0) if "clearance" in one.key]
    assert asked.name == "clearance under the lowest part"
