"""What the front does once grip comes back: never less than where the tyre is lost."""

import numpy as np
import pytest

from rules.car.adjusters import starts
from rules.launch.belief.faults import Launched, launched
from rules.launch.belief.grip_back import MORE_GRIP, if_it_holds
from rules.launch.belief.learning import STEP_S
from rules.launch.belief.particles import Cars, drawn
from rules.launch.cloud.on_paper import Params
from rules.launch.mechanics.run import launch_many
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
COUNT = 24


def cars(grip: float, thrust: float = 1.2) -> list[Params]:
    found = Cars(DEMO, drawn(DEMO, COUNT, np.random.default_rng(4))).on(starts(DEMO), 0, 0)
    return [{**one, "mu": one["mu"] * grip, "F_launch": one["F_launch"] * thrust} for one in found]


def seen(grip: float) -> Launched:
    batch = cars(grip)
    return launched(launch_many(batch, step_s=STEP_S), batch)


def test_grip_lets_the_front_of_a_lost_tyre_rise_and_a_big_stand_is_counted() -> None:
    lost = seen(0.75)
    assert np.median(lost.columns["spin_s_after_0p1s"]) > 0.3
    found = if_it_holds(cars(0.75), lost, np.ones(COUNT))
    assert found.stand.middle > np.median(lost.columns["front_lift_max"]) + 0.05
    assert found.up > 0.1


def test_where_the_tyre_holds_already_nothing_comes_back() -> None:
    held = seen(2.0)
    assert np.all(held.columns["spin_s_after_0p1s"] < 0.08)
    found = if_it_holds(cars(2.0), held, np.ones(COUNT))
    assert found.up == 0.0
    assert found.stand.middle == pytest.approx(np.median(held.columns["front_lift_max"]), abs=1e-5)


def test_the_least_grip_that_holds_is_taken_first() -> None:
    assert MORE_GRIP[0] == 1.0
    assert sorted(MORE_GRIP) == list(MORE_GRIP)
