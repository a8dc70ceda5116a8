"""The launch takes the curves of another valving from stock, or says that it knows none."""

from typing import Any

import numpy as np
import pytest

from rules.car.adjusters import adjusters, starts
from rules.car.model import Car
from rules.launch.cloud.car_cloud import LaunchCars, launch_cars
from rules.launch.cloud.knobs import curve_of, is_modelled
from rules.launch.forecast import forecast
from rules.launch.mechanics import launch_many
from tests.support.dyno_tables import FIRM, SOFT
from tests.support.launch.car_questions import question

LEVER: dict[str, Any] = {
    "id": "front valving", "kind": "valving", "axle": "front", "start": "stack 1",
    "positions": ["stack 1", "stack 2", "stack 3"],
}  # fmt: skip
KNOB: dict[str, Any] = {
    "id": "rebound", "controls": "rebound", "clicks": 12, "start": 9, "count_from": "full soft",
}  # fmt: skip


def car(named: str = "stack 2", **knob: Any) -> Car:
    """An invented car: its own table in the file, or that of its start valving in stock."""
    own = knob or {"rebound_dyno": SOFT}
    corners = ("left front", "right front")
    stock = [{"kind": "valving", "axle": "front", "name": named, "rebound_dyno": FIRM}]
    if "rebound_dyno" not in own:
        stock.append({"kind": "valving", "axle": "front", "name": "stack 1", "rebound_dyno": SOFT})
    return Car.parse(
        {"id": "x", "name": "x", "units": "metric", "rear_suspension": "other"}
        | {"masses": {"total": 1400}, "geometry": {"wheelbase": 2.7}, "launch": {"peak_g": 1.5}}
        | {"front": {"spring_rate": 30_000, "motion_ratio": 0.8}}
        | {"dampers": [{"corner": one, "knobs": [KNOB | own]} for one in corners]}
        | {"levers": [LEVER], "stock": stock}
    )


def cloud(one: Car, **settings: float) -> LaunchCars:
    found = launch_cars(one, starts(one) | {k.replace("_", " "): v for k, v in settings.items()}, 8)
    assert isinstance(found, LaunchCars)
    return found


def rebound(one: Car, speed: float, **settings: float) -> float:
    """Return the front's rebound force [N] of the car on paper, at a piston speed [m/s]."""
    stroke = cloud(one, **settings).paper["damper"]["front"]["reb"]
    return float(curve_of(stroke).force(np.array([speed / 0.8]))[0])


COUNTS = {"left_front_rebound": 3, "right_front_rebound": 3}
COUNTS_OF = ("left front rebound", "right front rebound")


@pytest.mark.parametrize("own", [{}, {"minutes": 5}], ids=["own table", "table in stock"])
def test_the_new_table_is_taken_at_the_counts_of_now(own: dict[str, Any]) -> None:
    """Nine clicks of SOFT are three of FIRM at 50 mm/s; at 250 mm/s FIRM has 2^0.5 times there."""
    one = car(**own)
    before, after = rebound(one, 0.05), rebound(one, 0.05, front_valving=1, **COUNTS)
    assert after == pytest.approx(before, rel=1e-6)
    fast = rebound(one, 0.25, front_valving=1, **COUNTS) / rebound(one, 0.25)
    assert fast == pytest.approx(849 * 2**0.5 / (300 * 2**1.5), rel=1e-3)
    assert rebound(one, 0.05, front_valving=1) == pytest.approx(2 * before, rel=1e-6)
    assert cloud(one, front_valving=1).not_modelled == ()


def test_the_cloud_launches_with_it() -> None:
    run = launch_many(cloud(car(), front_valving=1).cars, step_s=0.002)
    assert np.isfinite(run.columns["front_lift_max"]).any()


def test_of_a_valving_without_tables_nothing_is_known() -> None:
    one = car()
    found = cloud(one, front_valving=2)
    assert found.not_modelled == ("front valving",)
    assert found.cars == cloud(one).cars
    valving = adjusters(one)["front valving"]
    assert [is_modelled(one, valving, value) for value in (0, 1, 2)] == [True, True, False]
    asked = question(one, ("front valving",), True, 2, "front-carries", stand="small")
    told = forecast(asked)
    assert (told.standing, told.step) == ("not modelled", 2)
    assert "knows nothing of the new valving" in told.reason


def test_clicks_go_on_as_on_the_known_valving_where_the_new_one_is_not() -> None:
    one = car()
    assert cloud(one, front_valving=2, **COUNTS).cars == cloud(one, **COUNTS).cars


def test_a_new_table_that_stops_short_of_the_count_is_said() -> None:
    short = ["speed [mm/s], 0 [N], 6 [N]", "50, 200, 400", "250, 849, 1697"]
    whole = car()
    stock = [one.model_copy(update={"rebound_dyno": tuple(short)}) for one in whole.stock]
    one = whole.model_copy(update={"stock": tuple(stock)})
    knobs = ("left front rebound", "right front rebound")
    assert cloud(one).not_modelled == ()
    assert cloud(one, front_valving=1).not_modelled == knobs
    assert cloud(one, front_valving=1, **COUNTS).not_modelled == ()
    fitted = adjusters(one)[knobs[0]]
    assert is_modelled(one, fitted, 9)
    assert not is_modelled(one, fitted, 9, starts(one) | {"front valving": 1})


@pytest.mark.long
def test_a_step_past_the_end_of_a_knobs_table_is_left_to_the_trade() -> None:
    """The knob of 12 clicks stands at 9; its table is taken to end at 10."""
    short = ["speed [mm/s], 0 [N], 10 [N]", "50, 100, 300", "250, 300, 900"]
    one = car(rebound_dyno=short)
    asked = question(one, COUNTS_OF, True, 2, "front-carries", stand="small")
    told = forecast(asked)
    assert (told.standing, told.step) == ("not modelled", 2)
    assert "does not reach that far" in told.reason
    within = forecast(question(one, COUNTS_OF, True, 1, "front-carries", stand="small"))
    assert within.standing != "not modelled"
