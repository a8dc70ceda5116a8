"""Slip of the rear tyres against the multibody engine, and in closed form.

In the engine wheels and drive are a mass on a slide of its own; the slip is moved on between its
steps by the exact solution at constant speeds, half a step before and half a step after each.
"""

from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from rules.launch.mechanics import LaunchParameterError, LaunchStatus, launch_many, launch_scalars
from rules.launch.mechanics.parameters import columns
from rules.launch.mechanics.run import Launches
from rules.launch.mechanics.slip import TyreSlip, wind_up
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases, felt, shares
from tests.support.sample import sampled

BASE = cases()[0].params
SLIP = {"slip_mass": 100.0, "slip_relax": 0.3, "slip_peak": 0.15, "slip_slide": 0.8}
ENGINE_STEP_S = 0.0005


def slipping_cars() -> list[dict[str, Any]]:
    rng = np.random.default_rng(11)
    cars = random_cars(16, seed=43, t_end=2.0, thrust=(0.6, 0.82))
    for car in cars:
        total = (car["ms"] + car["mf"] + car["mr"]) * car["g"]
        car["mu"] = car["F_launch"] / total * float(rng.uniform(1.0, 1.6))
        car |= {
            "slip_mass": float(rng.uniform(40, 250)),
            "slip_relax": float(rng.uniform(0.15, 0.6)),
            "slip_peak": float(rng.uniform(0.08, 0.25)),
            "slip_slide": float(rng.uniform(0.6, 0.95)),
        }
    return cars


CARS = slipping_cars()


@lru_cache(maxsize=1)
def launches() -> Launches:
    return launch_many(CARS, step_s=0.0005)


def test_some_of_the_cars_spin_and_some_hook() -> None:
    found = launches()
    assert sum(status is LaunchStatus.OK for status in found.status) >= 13
    spun = found.columns["spin_s_after_0p1s"]
    assert np.nansum(spun > 0.1) >= 3
    assert np.nansum(spun == 0.0) >= 3


@pytest.mark.parametrize("number", sampled(((number,) for number in range(len(CARS))), one_in=16))
def test_a_slipping_car_launches_as_in_the_engine(number: int) -> None:
    pytest.importorskip("mujoco")
    from tests.support.launch.engine import Engine
    from tests.support.launch.plain import read

    if launches().status[number] is not LaunchStatus.OK:
        pytest.skip("it left the model")
    found = launches().scalars(number)
    wanted = read(Engine(CARS[number], ENGINE_STEP_S).run(), CARS[number])
    spun, sampled_s = found.pop("spin_s_after_0p1s"), wanted.pop("spin_s_after_0p1s")
    assert spun == pytest.approx(sampled_s, rel=0.01, abs=2 * ENGINE_STEP_S)
    used = shares(found, wanted)
    assert {name: share for name, share in used.items() if share > 1.0} == {}


def test_a_batch_at_a_coarse_step_holds_the_slip() -> None:
    fine, coarse = launches(), launch_many(CARS, step_s=0.002)
    ok = [a is b is LaunchStatus.OK for a, b in zip(fine.status, coarse.status, strict=True)]
    for name, floor in (("slip_max", 2e-3), ("spin_s_after_0p1s", 4e-3), ("t_60ft", 1e-3)):
        a, b = fine.columns[name][ok], coarse.columns[name][ok]
        there = np.isfinite(a)
        assert (np.abs(a - b)[there] <= np.maximum(0.01 * np.abs(a[there]), floor)).all(), name


def test_a_tyre_that_only_holds_launches_the_same_beside_one_that_slips() -> None:
    assert felt({**BASE, **SLIP}) == []


@pytest.mark.long
@pytest.mark.parametrize("end_s", [2.0, pytest.param(BASE["t_end"], marks=pytest.mark.sweep)])
def test_a_tyre_with_grip_to_spare_passes_on_the_thrust(end_s: float) -> None:
    """Stiff, light and never near its peak, it is the tyre that only holds."""
    stiff = {"slip_mass": 5.0, "slip_relax": 0.05, "slip_peak": 0.03, "slip_slide": 0.9}
    holds = {**BASE, "mu": 10.0, "t_end": end_s}
    found = launch_many([holds, {**holds, **stiff}], step_s=0.0005)
    for name in ("front_lift_max", "t_60ft", "front_comp_max_after_td"):
        a, b = found.columns[name]
        assert b == pytest.approx(a, rel=0.02), name
    assert found.columns["spin_s_after_0p1s"][1] == 0.0


def test_a_spinning_tyre_that_loses_grip_is_slower_and_lifts_less() -> None:
    rows = [{**BASE, **SLIP, "mu": 2.2, "slip_slide": left} for left in (1.0, 0.9, 0.7)]
    found = launch_many(rows).columns
    assert (np.diff(found["t_60ft"]) > 0).all()
    assert (np.diff(found["slip_max"]) > 0).all()
    assert (np.diff(found["front_lift_max"]) < 0).all()


def pushed(x: float, **more: float) -> float:
    """Return thrust over grip at rest, the tread `x` peaks of slip wound up."""
    step, one = 0.001, np.ones(1)
    slip = TyreSlip(columns([{**BASE, **SLIP, **more}]), step, 1)
    slip.kept[0] = x * SLIP["slip_peak"]
    fx = np.zeros(1)
    slip.push(1, 0 * one, 0 * one, one, 0 * one, 0 * one, 1e-4 * one, fx)
    return float(fx[0]) / BASE["mu"]


def test_the_curve_rises_to_its_peak_and_falls_to_what_sliding_leaves() -> None:
    """f(0.5) = 0.6875, f(1) = 1, f(3) = s + (1 - s) 0.6, and far out s; odd; by hand from (4)."""
    assert [pushed(x) for x in (0.0, 0.5, 1.0, 3.0)] == pytest.approx([0, 0.6875, 1.0, 0.92])
    assert pushed(1e6) == pytest.approx(0.8, rel=1e-3)
    assert pushed(-0.5) == pytest.approx(-0.6875)


def test_a_standing_tyre_winds_up_as_a_spring() -> None:
    """A slope of 3/2 mu N / s_peak over L is a rate [N/m]; under the drive's mass, by hand."""
    load = BASE["g"] * (BASE["ms"] * BASE["a"] / BASE["L"] + BASE["mr"])
    rate = 1.5 * BASE["mu"] * load / 0.15 / 0.3
    assert wind_up(columns([{**BASE, **SLIP}]))[0] == pytest.approx(np.sqrt(rate / 100.0))
    assert wind_up(columns([BASE]))[0] == 0.0


def test_the_slip_grows_by_its_relaxation_length() -> None:
    """From rest with the car held: L s' = u - |u| s, so s = 1 - e^(-rolled / L)."""
    step, steps = 0.0005, 400
    slip = TyreSlip(columns([{**BASE, **SLIP, "mu": 0.0}]), step, steps)
    one, fx = np.ones(1), np.zeros(1)
    rolled = 0.0
    for row in range(1, steps + 1):
        rolled += float(slip._tread[0])
        slip.push(row, 0 * one, 0 * one, one, 2e4 * step**2 * one, 1e9 * one, 1e-4 * one, fx)
    assert rolled > 0.5
    assert slip.kept[steps, 0] == pytest.approx(1 - np.exp(-rolled / SLIP["slip_relax"]), rel=1e-3)


def test_slip_comes_whole_or_not_at_all() -> None:
    with pytest.raises(LaunchParameterError, match=r"slip_peak: found 3.*slip_slide: missing"):
        launch_scalars({**BASE, "slip_mass": 50.0, "slip_relax": 0.3, "slip_peak": 3.0})
