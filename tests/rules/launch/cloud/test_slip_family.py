"""The rear tyres' slip in a cloud of cars: only where it is asked for, and spread far."""

import numpy as np
import pytest

from rules.car.model import Car
from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
from rules.launch.cloud.ensemble import SLIP
from rules.launch.mechanics import launch_many
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
DRAWN = deviates(DEMO, 64, SEED)


def test_slip_is_added_and_nothing_else_moves() -> None:
    holding = typical_cars(DEMO, {}, DRAWN).cars
    slipping = typical_cars(DEMO, {}, DRAWN, slip=True).cars
    for one, other in zip(slipping, holding, strict=True):
        assert not SLIP.keys() & other.keys()
        assert SLIP.keys() <= one.keys()
        assert {k: v for k, v in one.items() if k not in SLIP} == other
    mass = np.log([car["slip_mass"] for car in slipping])
    assert np.std(mass) == pytest.approx(SLIP["slip_mass"][1], rel=0.25)


def test_some_of_the_cars_spin_and_some_do_not() -> None:
    run = launch_many(typical_cars(DEMO, {}, DRAWN, slip=True).cars, step_s=0.002).columns
    spun = run["spin_s_after_0p1s"][np.isfinite(run["spin_s_after_0p1s"])]
    assert 0.02 < np.mean(spun > 0.05) < 0.9
    assert (run["slip_max"][np.isfinite(run["slip_max"])] <= 1.0).all()


def test_a_bias_slick_winds_up_further_than_a_radial() -> None:
    raw = DEMO.model_dump(by_alias=True)
    cars = [
        typical_cars(Car.parse(raw | {"rear": raw["rear"] | {"tyre": kind}}), {}, DRAWN, slip=True)
        for kind in ("bias slick", "radial", None)
    ]
    bias, radial, unknown = (cloud.paper for cloud in cars)
    for name in ("slip_relax", "slip_peak", "slip_slide"):
        assert bias[name] > unknown[name] >= radial[name]
