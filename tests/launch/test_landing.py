"""The landing budget against closed forms and the launch itself; where the nose settles."""

import numpy as np
import pytest

from rules.chassis import effective_front_mass
from rules.launch import launch_many
from rules.launch.landing import landing_budget, nose_at_rest, settled
from rules.launch.valve import Valve
from tests.launch.reference import cases

BASE = cases()[0].params
NOTHING = Valve(kb=1e-6, f0=1e9, chs=1e8)


def test_without_damping_a_spring_takes_the_energy() -> None:
    # 0.5 m v^2 = 0.5 k s^2 about the static position: s = v sqrt(m / k).
    budget = landing_budget(400.0, 2.0, 400 * 9.81, 160_000.0, NOTHING, 0.0, 0.065)
    assert budget.needs == pytest.approx(2.0 * np.sqrt(400 / 160_000), rel=1e-3)
    assert budget.spare == pytest.approx(0.065 - budget.needs)
    assert budget.energy == pytest.approx(0.5 * 400 * 4 + 400 * 9.81 * budget.needs, rel=1e-3)


def test_a_force_in_proportion_to_speed_gives_m_v_over_c() -> None:
    # m dv = -c ds without spring or weight: s = m v / c, approached from below as v runs out.
    line = Valve(kb=1e12, f0=0.0, chs=8000.0)
    budget = landing_budget(400.0, 2.0, 1e-9, 1e-6, line, 0.0, 0.2, thrust_relief=0.0)
    assert budget.needs == pytest.approx(400 * 2.0 / 8000, rel=0.02)


def test_firmer_compression_needs_less_travel() -> None:
    needs = [
        landing_budget(
            400.0, 2.0, 6500.0, 38_000.0, Valve(6e5 * k, 900 * k, 3500 * k), -0.1, 0.065, 4000.0
        ).needs
        for k in (0.6, 1.0, 1.6)
    ]
    assert needs == sorted(needs, reverse=True)
    with pytest.raises(ValueError, match="wheel rate"):
        landing_budget(400.0, 2.0, 6500.0, 0.0, NOTHING, -0.1, 0.065)


def test_the_budget_is_near_the_launch_it_stands_for() -> None:
    """Within 20 %: it leaves out the tyre, the rear end and the pitch the car lands at."""
    p, found = BASE, launch_many([BASE]).scalars(0)
    valve = p["damper"]["front"]["comp"]
    mass = effective_front_mass(p["ms"], p["Iyy"], p["L"] - p["a"], p["hs"], p["L"])
    speed, peak = found["touchdown_axle_vz"], found["front_comp_max_after_td"]
    assert speed is not None
    assert peak is not None
    thrust = p["P"] / 24.0
    budget = landing_budget(
        mass, -speed, p["ms"] * p["g"] * (1 - p["a"] / p["L"]), p["kf"],
        Valve(valve["kb"], valve["F0"], valve["chs"]), -p["front_droop"], p["front_bump"],
        thrust * p["hs"] / p["L"],
    )  # fmt: skip
    assert budget.needs == pytest.approx(peak + p["front_droop"], rel=0.2)


def test_the_nose_at_rest_is_the_load_transfer_on_its_springs() -> None:
    rise = nose_at_rest(5000.0, 0.5, 2.5, 40_000.0, 400_000.0, 0.1, 4e5)
    assert rise == pytest.approx(1000.0 / 40_000 + 1000.0 / 400_000)
    beyond = nose_at_rest(50_000.0, 0.5, 2.5, 40_000.0, 1e12, 0.1, 4e5)
    assert beyond == pytest.approx(0.1 + 6000.0 / 4.4e5)


def test_settled_is_the_last_time_it_came_within_ten_millimetres() -> None:
    time = np.arange(6.0)
    nose = np.array([0.0, 0.005, 0.05, 0.012, 0.002, 0.001])
    found = settled(time, 10 * time, nose, 0.0)
    assert (found.time, found.distance) == (4.0, 40.0)
    assert settled(time, time, nose, 0.0, since=4.5).time == 5.0
    assert settled(time, time, nose + 1.0, 0.0).time is None
    with pytest.raises(ValueError, match="lengths"):
        settled(time, time[:2], nose, 0.0)


def test_the_launched_nose_settles_to_where_it_would_rest() -> None:
    p = {**BASE, "t_end": 8.0}
    run = launch_many([p], trace_s=0.02).traces
    assert run is not None
    speed = np.gradient(run.x[0], run.time)
    thrust = np.minimum(p["F_launch"], p["P"] / np.maximum(speed, 0.1))
    height = 0.5286
    rest = nose_at_rest(thrust, height, p["L"], p["kf"], p["ktf"], p["front_droop"], p["kds"])
    found = settled(run.time, run.x[0], run.nose[0], rest, since=1.4)
    assert found.time is not None
    assert 1.4 < found.time < 4.0
