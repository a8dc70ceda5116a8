"""The rear axle on its links against the multibody engine, and by hand.

The engine's axle hangs on rods, or on a bar with a pivot, and knows of no instant centre; where the
lines of the rods cross, and how that place wanders, `rules.car.instant_centre` says.
"""

from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from rules.car.instant_centre import InstantCentre, crossing
from rules.launch.cloud.link_moves import LINK_SPREAD
from rules.launch.mechanics import LaunchParameterError, LaunchStatus, launch_many, launch_scalars
from rules.launch.mechanics.links import Links
from rules.launch.mechanics.parameters import columns
from rules.launch.mechanics.run import Launches
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases, felt
from tests.support.sample import sampled

BASE = cases()[0].params
ENGINE_STEP_S = 0.0005
# How far the launch may be off, as a share, or in the number's own unit: its stated doubt.
DOUBT = {
    "front_lift_max": (0.07, 0.002),
    "rear_ext_max_0p3s": (0.05, 0.001),
    "rear_comp_max": (0.05, 0.005),
    "rear_sep_0p1s": (0.05, 0.0005),
    "rear_sep_0p2s": (0.05, 0.0025),
    "body_front_rise_0p2s": (0.01, 0.0005),
    "rear_load_min_0p1_1s": (0.03, 100.0),
    "rear_load_max_1s": (0.03, 100.0),
    "t_60ft": (0.001, 0.0),
}
Ends = dict[str, tuple[float, float]]


def with_centre(car: dict[str, Any], centre: InstantCentre) -> dict[str, Any]:
    """Return a car with its links known by where they cross."""
    rates = centre.rates(car["rr"])
    assert rates is not None
    turn, slope = rates
    place = {"e": centre.ahead, "d": centre.height}
    return {**car, **place, "ic_turn_rate": turn, "ic_slope_rate": slope}


def centre_of(ends: Ends) -> InstantCentre:
    if "pivot" in ends:
        return InstantCentre(*ends["pivot"], (0.0, 0.0))
    found = crossing(ends)  # type: ignore[arg-type]
    assert found is not None
    return found


def linked_cars() -> list[tuple[dict[str, Any], Ends]]:
    """Draw cars on four links, every sixth on a ladder bar, with any anti-squat from 15 % up."""
    rng = np.random.default_rng(3)

    def u(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    drawn = []
    for number, car in enumerate(random_cars(24, seed=51, t_end=1.2, thrust=(0.7, 0.95))):
        while True:
            axle = car["rr"]
            ends = {
                "upper front": (u(0.4, 0.7), axle + u(-0.08, 0.1)),
                "upper rear": (u(0.0, 0.08), axle + u(0.09, 0.2)),
                "lower front": (u(0.55, 1.1), axle - u(0.05, 0.18)),
                "lower rear": (u(0.0, 0.1), axle - u(0.1, 0.2)),
            }
            if number % 6 == 5:
                ends = {"pivot": (u(0.8, 1.5), u(0.1, 0.35))}
            centre = centre_of(ends)
            if 0.3 <= centre.ahead <= 10.0 and 0.03 < centre.ratio < 0.45:
                break
        drawn.append((with_centre(car, centre), ends))
    return drawn


CARS = linked_cars()


@lru_cache(maxsize=1)
def launches() -> Launches:
    return launch_many([car for car, _ in CARS], step_s=0.0005)


def in_the_engine(car: dict[str, Any], ends: Ends) -> dict[str, float | int | None]:
    pytest.importorskip("mujoco")
    from tests.support.launch.linked_engine import LinkedEngine
    from tests.support.launch.plain import read

    return read(LinkedEngine(car, ends, ENGINE_STEP_S).run(), car)


def test_the_cars_are_far_apart() -> None:
    found = launches()
    assert all(status is LaunchStatus.OK for status in found.status)
    lift, squat = found.columns["front_lift_max"], found.columns["rear_comp_max"]
    assert np.sum(lift > 0.05) >= 10
    assert np.sum(squat > 0.01) >= 8
    assert np.sum(squat == 0.0) >= 8


@pytest.mark.long
@pytest.mark.parametrize("number", sampled(((number,) for number in range(len(CARS))), one_in=12))
def test_a_car_on_links_launches_as_in_the_engine(number: int) -> None:
    found, wanted = launches().scalars(number), in_the_engine(*CARS[number])
    for name, (share, least) in DOUBT.items():
        value, truth = found[name], wanted[name]
        if truth is None:
            assert value is None
            continue
        assert value == pytest.approx(truth, rel=share, abs=least), name


@pytest.mark.long
def test_a_link_put_in_another_hole_does_what_it_does_in_the_engine() -> None:
    """What a change of holes does is right within the spread that the cloud gives it."""
    holes = [
        {
            "upper front": (0.62, height),
            "upper rear": (0.05, 0.50),
            "lower front": (0.85, 0.24),
            "lower rear": (0.08, 0.22),
        }
        for height in (0.36, 0.42)
    ]
    cars = [with_centre({**BASE, "t_end": 1.2}, centre_of(ends)) for ends in holes]
    found = launch_many(cars, step_s=0.0005).columns
    truth = [in_the_engine(car, ends) for car, ends in zip(cars, holes, strict=True)]
    for name in ("front_lift_max", "rear_sep_0p1s", "rear_sep_0p2s", "rear_load_min_0p1_1s"):
        before, after = (one[name] for one in truth)
        assert before is not None
        assert after is not None
        change = found[name][1] - found[name][0]
        assert change == pytest.approx(after - before, rel=LINK_SPREAD), name
        assert change < 0.0


def test_a_held_ratio_is_further_from_the_engine_than_known_links() -> None:
    """What holding d / e leaves out: a rear that squats 90 mm instead of 4."""
    names = {"ic_turn_rate", "ic_slope_rate"}
    held = [{key: one for key, one in car.items() if key not in names} for car, _ in CARS]
    squat = launch_many(held, step_s=0.0005).columns["rear_comp_max"]
    assert np.max(np.abs(squat - launches().columns["rear_comp_max"])) > 0.08


def test_a_coarse_step_holds_the_links() -> None:
    coarse = launch_many([car for car, _ in CARS], step_s=0.002).columns
    for name, floor in (("front_lift_max", 2e-3), ("rear_comp_max", 1e-3), ("t_60ft", 1e-3)):
        a, b = launches().columns[name], coarse[name]
        there = np.isfinite(a)
        assert (np.abs(a - b)[there] <= np.maximum(0.02 * np.abs(a[there]), floor)).all(), name


def test_a_car_without_known_links_launches_the_same_beside_one_with_them() -> None:
    assert felt(CARS[0][0]) == []


def lifted(q: float, pitch: float, load: float = 10e3) -> tuple[float, float]:
    """Return up and moment over a thrust of 20 kN, the rear tyre 10 mm above where it touches."""
    linked = {**BASE, "d": 0.2, "e": 1.0, "rr": 0.35, "ic_turn_rate": 2.0, "ic_slope_rate": -1.5}
    links = Links(columns([linked]), np.array([0.35]), 1.0)
    up = np.zeros(1)
    one = np.ones(1)
    s, c = np.sin(pitch) * one, np.cos(pitch) * one
    links.lift(q * one, 0.0 * one, load * one, s, c, 20e3 * one, up)
    return float(up[0]), float(links.moment[0])


def test_what_the_thrust_lifts_by_hand() -> None:
    """Level at static: F (0.35 - (1 - k) 0.15); 40 mm up: turn 1.08, slope -0.21; by hand."""
    k = BASE["mr"] / (BASE["ms"] + BASE["mf"] + BASE["mr"])
    up, moment = lifted(0.0, 0.0)
    assert up == pytest.approx(20e3 * (0.35 - (1 - k) * 0.15))
    assert moment == 0.0
    up, moment = lifted(0.04, 0.0)
    assert up == pytest.approx(20e3 * (1.08 * 0.35 - (1 - k) * 0.21))
    assert moment == pytest.approx((BASE["mr"] * 9.81 - 10e3) * 0.04 * (-0.15 - 0.03))
    up, _ = lifted(0.0, 0.1)
    tan, cos = np.tan(0.1), np.cos(0.1)
    wanted = 20e3 * (0.35 / cos + (1 - k) * (tan - 0.15)) - 10e3 * 0.15 * tan
    assert up == pytest.approx(wanted)


def test_links_come_whole_or_not_at_all() -> None:
    with pytest.raises(LaunchParameterError, match=r"ic_slope_rate: missing"):
        launch_scalars({**BASE, "ic_turn_rate": 1.0})
