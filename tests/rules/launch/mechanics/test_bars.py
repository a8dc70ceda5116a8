"""Wheelie bars against the multibody engine, and in closed form.

The engine finds the bar's place by its own kinematics and its speed by its own Jacobian; its steps
of 0.5 ms sample the time of contact no finer than that, so one sample is allowed there.
"""

from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from rules.launch.mechanics import LaunchParameterError, LaunchStatus, launch_many, launch_scalars
from rules.launch.mechanics.bars import Bars
from rules.launch.mechanics.parameters import columns
from rules.launch.mechanics.run import Launches
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases, felt, first_alone, shares
from tests.support.sample import sampled

BASE = cases()[0].params
BARS = {"bar_height": 0.10, "bar_behind": 1.4, "bar_rate": 2e5, "bar_damping": 3e3}
ENGINE_STEP_S = 0.0005


def barred_cars() -> list[dict[str, Any]]:
    rng = np.random.default_rng(7)
    cars = random_cars(16, seed=41, t_end=2.0, thrust=(0.85, 1.2))
    for car in cars:
        car |= {
            "bar_height": float(rng.uniform(0.04, 0.2)),
            "bar_behind": float(rng.uniform(0.9, 1.9)),
            "bar_rate": float(rng.uniform(5e4, 6e5)),
            "bar_damping": float(rng.uniform(0.0, 8e3)),
        }
    return cars


CARS = barred_cars()


@lru_cache(maxsize=1)
def launches() -> Launches:
    return launch_many(CARS, step_s=0.0005)


def test_the_bars_of_enough_cars_touch() -> None:
    found = launches()
    assert sum(status is LaunchStatus.OK for status in found.status) >= 13
    assert 8 <= np.nansum(found.columns["bar_touched"]) <= 15


@pytest.mark.long
@pytest.mark.parametrize("number", sampled(((number,) for number in range(len(CARS))), one_in=16))
def test_a_car_with_bars_launches_as_in_the_engine(number: int) -> None:
    pytest.importorskip("mujoco")
    from tests.support.launch.engine import Engine
    from tests.support.launch.plain import read

    if launches().status[number] is not LaunchStatus.OK:
        pytest.skip("it left the model")
    found = launches().scalars(number)
    wanted = read(Engine(CARS[number], ENGINE_STEP_S).run(), CARS[number])
    contact, sampled_s = found.pop("bar_contact_s"), wanted.pop("bar_contact_s")
    assert contact == pytest.approx(sampled_s, rel=0.01, abs=2 * ENGINE_STEP_S)
    used = shares(found, wanted)
    assert {name: share for name, share in used.items() if share > 1.0} == {}


def test_a_batch_at_a_coarse_step_holds_the_bars() -> None:
    fine, coarse = launches(), launch_many(CARS, step_s=0.002)
    ok = [a is b is LaunchStatus.OK for a, b in zip(fine.status, coarse.status, strict=True)]
    for name, floor in (("bar_force_max", 60.0), ("bar_gap_min", 5e-4), ("front_lift_max", 2e-3)):
        a, b = fine.columns[name][ok], coarse.columns[name][ok]
        assert (np.abs(a - b) <= np.maximum(0.02 * np.abs(a), floor)).all(), name


def test_bars_that_never_touch_change_nothing() -> None:
    without, high = first_alone(), launch_many([{**BASE, **BARS, "bar_height": 1.9}])
    for name, column in without.columns.items():
        if not name.startswith("bar_"):
            assert column[0] == high.columns[name][0] or np.isnan(column[0])
    found = high.scalars(0)
    assert (found["bar_force_max"], found["bar_contact_s"], found["bar_touched"]) == (0.0, 0.0, 0)
    assert found["bar_gap_min"] is not None
    assert found["bar_gap_min"] > 0.5


def test_a_car_without_bars_launches_the_same_beside_one_with_bars() -> None:
    assert felt({**BASE, **BARS}) == []


def test_bars_take_the_lift_and_the_load_off_the_rear_tyre() -> None:
    """Lower bars touch sooner, hold the nose down and lift the rear; the trade says the same."""
    rows = [{**BASE, **BARS, "bar_height": height} for height in (0.5, 0.12, 0.08, 0.04)]
    found = launch_many(rows).columns
    assert list(found["bar_touched"]) == [0, 1, 1, 1]
    assert (np.diff(found["front_lift_max"]) < 0).all()
    assert (np.diff(found["bar_force_max"][1:]) > 0).all()
    assert found["rear_load_min_0p1_1s"][3] < found["rear_load_min_0p1_1s"][0]


def test_a_car_that_goes_over_is_held_by_its_bars() -> None:
    over = {**BASE, "F_launch": 45_000.0, "mu": 3.5}
    run = launch_many([over, {**over, **BARS, "bar_rate": 4e5}])
    assert run.status == (LaunchStatus.OVERTURNED, LaunchStatus.OK)


def test_the_push_is_rate_times_depth_and_its_moment_the_lever() -> None:
    """Level and at rest, sunk by 30 mm: N = 2e5 * 0.03, lever = -(b + behind), by hand."""
    cars, step = columns([{**BASE, **BARS}]), 0.001
    bars = Bars(cars, step, 1)
    zero, one = np.zeros(1), np.ones(1)
    fz, turn = np.zeros(1), np.zeros(1)
    z = np.array([BASE["hs"] - BARS["bar_height"] - 0.03])
    bars.push(1, z, zero, one, zero, zero, fz, turn)
    assert fz[0] / step**2 == pytest.approx(6000.0)
    lever = BASE["L"] - BASE["a"] + BARS["bar_behind"]
    assert turn[0] / step**2 == pytest.approx(-6000.0 * lever)


def test_bars_come_whole_or_not_at_all() -> None:
    with pytest.raises(LaunchParameterError) as caught:
        launch_scalars({**BASE, "bar_height": -0.1, "bar_rate": 2e5})
    text = str(caught.value)
    for words in ("bar_height: found -0.1", "bar_behind: missing", "bar_damping: missing"):
        assert words in text
