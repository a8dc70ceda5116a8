"""The motion against closed forms: rest, drop, vibration, load transfer, balance, energy."""

from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from rules.car.chassis import damping_ratio, frequency, load_transfer
from rules.launch.mechanics import launch_many
from rules.launch.mechanics.motion import Motion
from rules.launch.mechanics.parameters import columns
from rules.launch.mechanics.stretch import (
    BUMP_F,
    DROOP_F,
    PITCH,
    QF,
    QR,
    TYRE_F,
    TYRE_R,
    X,
    Z,
)
from rules.launch.mechanics.valve import Valve
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases

BASE = cases()[0].params
NO_DAMPING = {stroke: {"kb": 1.0, "F0": 1e6, "chs": 1e8} for stroke in ("comp", "reb")}
LINEAR_ISH = {stroke: {"kb": 1e12, "F0": 0.0, "chs": 3000.0} for stroke in ("comp", "reb")}


def history(params: dict[str, Any], step_s: float, steps: int, start: Any = None) -> Any:
    motion = Motion(columns([params]), step_s, steps)
    if start is not None:
        start(motion)
    return motion.advance(steps)


def test_a_car_without_thrust_stays_at_rest_to_machine_precision() -> None:
    still = [{**car, "F_launch": 0.0, "t_end": 2.0} for car in (BASE, *random_cars(20, seed=1))]
    run = launch_many(still, trace_s=0.1).traces
    assert run is not None
    assert np.abs(run.x).max() < 1e-12
    assert np.abs(run.front_comp).max() < 1e-12
    assert np.abs(run.rear_comp).max() < 1e-12
    assert np.abs(run.rear_load / run.rear_load[:, :1] - 1.0).max() < 1e-11


def test_static_loads_are_those_of_the_scales() -> None:
    stretch = history({**BASE, "F_launch": 0.0}, 0.001, 1)
    whole = (BASE["ms"] + BASE["mf"] + BASE["mr"]) * BASE["g"]
    front, rear = stretch.force(TYRE_F)[1, 0], stretch.force(TYRE_R)[1, 0]
    assert front + rear == pytest.approx(whole, rel=1e-14)
    moment = BASE["ms"] * BASE["g"] * (BASE["L"] - BASE["a"]) + BASE["mf"] * BASE["g"] * BASE["L"]
    assert front * BASE["L"] == pytest.approx(moment, rel=1e-14)


def stiff(share: float) -> dict[str, Any]:
    """A car locked on hard springs and tyres, pushed at a share of its wheelie threshold."""
    total = BASE["ms"] + BASE["mf"] + BASE["mr"]
    height = (BASE["ms"] * BASE["hs"] + BASE["mf"] * BASE["rf"] + BASE["mr"] * BASE["rr"]) / total
    ahead = (BASE["ms"] * (BASE["L"] - BASE["a"]) + BASE["mf"] * BASE["L"]) / total
    hard = {"kf": 5e6, "kr": 5e6, "ktf": 1e7, "ktr": 1e7, "ctf": 2e4, "ctr": 2e4}
    valve = {"kb": 1e12, "F0": 0.0, "chs": 5e4}
    return {
        **BASE, **hard, "P": 2e7, "mu": 10.0, "t_ramp": 1.0, "t_end": 2.0,
        "F_launch": total * BASE["g"] * ahead / height * share,
        "damper": {axle: {"comp": valve, "reb": valve} for axle in ("front", "rear")},
        "_height": height,
    }  # fmt: skip


@pytest.mark.parametrize("share", [0.9, pytest.param(0.5, marks=pytest.mark.sweep)])
def test_locked_load_transfer_is_m_a_h_over_l(share: float) -> None:
    car = stiff(share)
    height = car.pop("_height")
    run = launch_many([car], step_s=0.0002, trace_s=0.5).traces
    assert run is not None
    total = car["ms"] + car["mf"] + car["mr"]
    moved = load_transfer(total, car["F_launch"] / total, height, car["L"])
    assert run.rear_load[0, -1] - run.rear_load[0, 0] == pytest.approx(moved, rel=0.01)


def test_the_front_lifts_just_above_the_wheelie_threshold_and_not_below() -> None:
    below, above = stiff(0.985), stiff(1.015)
    for car in (below, above):
        del car["_height"]
    run = launch_many([below, above], step_s=0.0005, trace_s=0.1).traces
    assert run is not None
    assert run.gap[0].max() < 0.0
    assert not run.gap[1].max() <= 0.0


def nudged(motion: Motion) -> None:
    """Start the front stroke off its rest by 0.5 mm, the axle moved, the body still."""
    motion.places[:2, QF] += 0.0005


@lru_cache(maxsize=2)
def undamped(steps: int) -> Any:
    """Return how the front axle hops without damping, in steps of 0.05 ms."""
    return history(hopping(NO_DAMPING), 0.00005, steps, nudged).place[:, QF, 0].copy()


def hopping(damper: dict[str, Any]) -> dict[str, Any]:
    """A body too heavy to move, so that the front axle hops by itself between tyre and spring."""
    return {
        **BASE, "ms": 20_000.0, "Iyy": 200_000.0, "F_launch": 0.0, "ctf": 0.0, "ktf": 4e6,
        "kf": 1e6, "front_bump": 1.0, "front_droop": 1.0,
        "damper": {**BASE["damper"], "front": damper},
    }  # fmt: skip


def swings(q: Any) -> tuple[Any, Any]:
    """Return places and sizes of the turning points."""
    turn = np.nonzero((q[1:-1] - q[:-2]) * (q[2:] - q[1:-1]) < 0)[0] + 1
    return turn, q[turn]


def test_wheel_hop_has_the_frequency_of_spring_and_tyre_together() -> None:
    car = hopping(NO_DAMPING)
    turn, _ = swings(undamped(8000))
    hop = frequency(car["kf"] + car["ktf"], car["mf"])
    cycles = (len(turn) - 1) / 2
    assert cycles / ((turn[-1] - turn[0]) * 0.00005) == pytest.approx(hop, rel=0.005)


def test_swings_die_down_by_the_logarithmic_decrement() -> None:
    car = hopping(LINEAR_ISH)
    q = history(car, 0.00002, 6000, nudged).place[:, QF, 0]
    _, sizes = swings(q)
    span = -np.diff(sizes) * (-1) ** np.arange(len(sizes) - 1)
    zeta = damping_ratio(3000.0, car["kf"] + car["ktf"], car["mf"])
    # Rao, Mechanical Vibrations, chapter 2 [M]: delta = 2 pi zeta / sqrt(1 - zeta^2), one cycle.
    delta = float(np.log(abs(span[0] / span[2])))
    assert delta / np.hypot(2.0 * np.pi, delta) == pytest.approx(zeta, rel=0.02)


@pytest.mark.parametrize("steps", [8_000, pytest.param(40_000, marks=pytest.mark.sweep)])
def test_the_axle_swings_undamped_without_losing_height(steps: int) -> None:
    q = undamped(steps)
    assert np.abs(q[-2000:]).max() == pytest.approx(np.abs(q[:2000]).max(), rel=0.01)


@pytest.mark.long
@pytest.mark.parametrize(
    ("step", "steps"), [(0.0002, 7_500), pytest.param(0.0001, 30_000, marks=pytest.mark.sweep)]
)
def test_energy_in_is_energy_stored_and_dissipated(step: float, steps: int) -> None:
    """Thrust's work = kinetic + potential + springs + what dampers, tyres and stops took."""
    p = {**BASE, "t_end": step * steps}
    one = history(p, step, steps)
    place = one.place[:, :, 0]
    speed = np.diff(place, axis=0) / step
    middle = (place[1:] + place[:-1]) / 2
    arm = (p["a"], p["a"] - p["L"])
    kinetic = 0.5 * p["ms"] * (speed[:, X] ** 2 + speed[:, Z] ** 2)
    kinetic = kinetic + 0.5 * p["Iyy"] * speed[:, PITCH] ** 2
    stored = p["ms"] * p["g"] * (middle[:, Z] - p["hs"])
    taken = np.zeros(len(speed))
    axles = []
    static = ((p["ms"] * p["g"]) * (1 - p["a"] / p["L"]), (p["ms"] * p["g"]) * p["a"] / p["L"])
    for i, (q, end) in enumerate(((QF, "f"), (QR, "r"))):
        above = p[f"r{end}"] - p["hs"] + place[:, q]
        x = place[:, X] + arm[i] * np.cos(place[:, PITCH]) - above * np.sin(place[:, PITCH])
        z = place[:, Z] + arm[i] * np.sin(place[:, PITCH]) + above * np.cos(place[:, PITCH])
        vx, vz = np.diff(x) / step, np.diff(z) / step
        kinetic = kinetic + 0.5 * p[f"m{end}"] * (vx**2 + vz**2)
        stored = stored + p[f"m{end}"] * p["g"] * ((z[1:] + z[:-1]) / 2 - p[f"r{end}"])
        stored = stored + static[i] * middle[:, q] + 0.5 * p[f"k{end}"] * middle[:, q] ** 2
        load = (one.force(i)[1:, 0] + one.force(i)[:-1, 0]) / 2
        taken = taken - np.cumsum(load * vz) * step
        rate = speed[:, q]
        if q == QF:  # The rear stops are not met in this run.
            stops = one.force(BUMP_F)[:, 0] - one.force(DROOP_F)[:, 0]
            taken = taken + np.cumsum((stops[1:] + stops[:-1]) / 2 * rate) * step
        damper = p["damper"]["front" if end == "f" else "rear"]
        comp, reb = (
            Valve(damper[one]["kb"], damper[one]["F0"], damper[one]["chs"])
            for one in ("comp", "reb")
        )
        force = comp.force(np.maximum(rate, 0)) + reb.force(np.maximum(-rate, 0))
        taken = taken + np.cumsum(force * np.abs(rate)) * step
        axles.append((x, z, vx, vz))
    cap = np.minimum(
        p["F_launch"] * np.minimum(1, (np.arange(steps) * step) / p["t_ramp"]),
        p["P"] / np.maximum(speed[:, X], 0.1),
    )
    rear = (one.force(TYRE_R)[1:, 0] + one.force(TYRE_R)[:-1, 0]) / 2
    cap = np.minimum(cap, p["mu"] * rear)
    ratio = p["d"] / p["e"]
    # The drive pushes the body at the ground point below the rear axle, and the axle itself.
    x, _, _, vz_axle = axles[1]
    lever = (x - place[:, X])[1:]
    spin = speed[:, PITCH]
    push_x = speed[:, X] + spin * middle[:, Z]
    push_z = speed[:, Z] + spin * lever
    thrust = np.cumsum(cap * push_x + cap * ratio * (push_z - vz_axle)) * step
    balance = kinetic + stored + taken - thrust
    assert np.abs(balance).max() < 0.003 * thrust[-1]
