"""The public function: batch and single, statuses, bad input, curves, sensitivities."""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.launch.mechanics import (
    BeyondTheModelError,
    LaunchParameterError,
    LaunchStatus,
    launch_many,
    launch_scalars,
)
from rules.launch.mechanics.run import LARGEST_STEP_S
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases, first_alone
from tests.support.sample import examples

BASE = cases()[0].params


def base() -> Mapping[str, float | int | None]:
    """What the first reference case does alone."""
    return first_alone().scalars(0)


def firmer(axle: str, stroke: str, factor: float) -> dict[str, Any]:
    car = deepcopy(BASE)
    valve = car["damper"][axle][stroke]
    car["damper"][axle][stroke] = {name: value * factor for name, value in valve.items()}
    return car


@examples(3, 8)
@given(st.integers(0, 2**31), st.integers(2, 5))
def test_a_car_launches_alike_alone_and_in_company(seed: int, count: int) -> None:
    cars = random_cars(count, seed=seed, t_end=1.0)
    together = launch_many(cars, step_s=0.002)
    for number, car in enumerate(cars):
        alone = launch_many([car], step_s=0.002)
        assert alone.status[0] is together.status[number]
        for name, column in alone.columns.items():
            assert column[0] == pytest.approx(together.columns[name][number], rel=1e-9, nan_ok=True)


def test_runs_of_different_length_and_stiffness_mix() -> None:
    base = {**BASE, "t_end": 2.2}
    cars = [base, {**base, "t_end": 1.5}, {**base, "kbs": 9e6, "mf": 20.0}, base]
    run = launch_many(cars)
    assert run.scalars(0) == run.scalars(3)
    assert run.step_s[2] < run.step_s[0] == run.step_s[1] == 0.001
    short = run.scalars(1)
    assert short["body_front_rise_2p0s"] is None
    assert short["rear_load_max_1s"] == run.scalars(0)["rear_load_max_1s"]


def test_more_cars_than_fit_one_block_come_back_in_order() -> None:
    cars = [{**BASE, "F_launch": 18_000.0 + 10.0 * i, "t_end": 0.3} for i in range(1100)]
    x = launch_many(cars, step_s=0.004).columns["pitch_max"]
    assert (np.diff(x) > 0).all()


def test_a_car_that_goes_over_is_said_to_and_gets_no_number() -> None:
    over = {**BASE, "F_launch": 45_000.0, "mu": 3.5}
    run = launch_many([BASE, over, BASE])
    assert run.status == (LaunchStatus.OK, LaunchStatus.OVERTURNED, LaunchStatus.OK)
    assert all(np.isnan(column[1]) for column in run.columns.values())
    assert run.scalars(0) == run.scalars(2) == base()
    with pytest.raises(BeyondTheModelError, match="overturned"):
        run.scalars(1)
    with pytest.raises(BeyondTheModelError):
        launch_scalars({**over, "t_end": 2.0}, step_s=0.001)


@pytest.mark.parametrize("apart_s", [0.3, pytest.param(0.1, marks=pytest.mark.sweep)])
def test_a_run_that_ends_on_the_way_over_is_beyond_the_model(apart_s: float) -> None:
    over = {**BASE, "F_launch": 45_000.0, "mu": 3.5}
    ends = np.arange(0.5, 2.6, apart_s)
    found = launch_many([{**over, "t_end": float(end)} for end in ends], step_s=0.002).status
    assert set(found) == {LaunchStatus.OK, LaunchStatus.BEYOND, LaunchStatus.OVERTURNED}


@pytest.mark.filterwarnings("error::RuntimeWarning")
def test_a_firm_damper_on_a_light_axle_is_lost_by_no_coarse_step() -> None:
    """The coarsest step overflows on this car; what it does is what the finest says of it."""
    car = {
        **BASE,
        **{"ms": 1062.5, "mf": 40.902, "hs": 0.52048, "front_droop": 0.13565, "ktf": 434970.0},
        **{"rf": 0.2823, "rr": 0.34106, "kr": 26618.0, "kds": 512260.0, "cds": 5237.6},
        **{"F_launch": 30102.0, "P": 243200.0, "mu": 4.1189, "CdA": 0.74583},
        "damper": {
            "front": {
                "comp": {"kb": 240760.0, "F0": 5833.5, "chs": 21854.0},
                "reb": {"kb": 120440.0, "F0": 668.58, "chs": 1766.1},
            },
            "rear": {
                "comp": {"kb": 419680.0, "F0": 913.98, "chs": 2897.5},
                "reb": {"kb": 3993900.0, "F0": 1597.7, "chs": 1809.1},
            },
        },
    }
    coarse = launch_many([BASE, car, BASE], step_s=LARGEST_STEP_S, radians=0.8)
    fine = launch_many([car], step_s=0.0005)
    assert coarse.status == (LaunchStatus.OK,) * 3
    assert coarse.step_s[1] < coarse.step_s[0]
    assert coarse.scalars(1)["pitch_max"] == pytest.approx(fine.scalars(0)["pitch_max"], rel=1e-3)


def test_a_gravity_that_crushes_everything_is_no_number_either() -> None:
    odd = {**BASE, "kbs": 0.0, "kf": 500.0, "kr": 500.0, "ktf": 1e4, "ktr": 1e4, "F_launch": 1e6,
           "P": 2e7, "mu": 10.0}  # fmt: skip
    assert launch_many([odd]).status[0] is not LaunchStatus.OK


def test_every_fault_is_named_at_once() -> None:
    bad = {**BASE, "ms": "x", "Iyy": float("nan"), "a": 5.0, "rf": True, "zz": 1.0}
    del bad["g"]
    bad["damper"] = {"front": {"comp": {"kb": -1.0, "F0": 1.0}}}
    with pytest.raises(LaunchParameterError) as caught:
        launch_scalars(bad)
    text = str(caught.value)
    for words in (
        "ms: found 'x'", "Iyy: found nan", "a: found 5.0 m", "rf: found True", "'zz': no such",
        "g: missing", "damper.rear: missing", "damper.front.reb: missing",
        "damper.front.comp.kb: found -1.0", "damper.front.comp.chs: missing",
    ):  # fmt: skip
        assert words in text


@pytest.mark.parametrize(
    ("dips", "words"),
    [
        ("abc", "dips: found 'abc'"),
        (3, "dips: found 3"),
        ([[1.0, 0.2]], "dips row 1: found [1.0, 0.2]"),
        ([[1.0, 1.5, 0.1]], "dips row 1 share lost: found 1.5"),
        ([[1.0, "x", 0.1]], "dips row 1 share lost: found 'x'"),
        ([[0.1, 0.1, 0.1]] * 50, "wanted up to 20"),
    ],
)
def test_odd_gear_changes_are_refused(dips: Any, words: str) -> None:
    with pytest.raises(LaunchParameterError) as caught:
        launch_scalars({**BASE, "dips": dips})
    assert words in str(caught.value)


names = sorted({*BASE} - {"dips", "damper"})


@given(
    st.sampled_from(names),
    st.one_of(
        st.floats(max_value=-10.0), st.floats(min_value=1e9), st.just(float("nan")), st.none(),
        st.text(max_size=5), st.booleans(), st.lists(st.floats(), max_size=2), st.just(10**400),
    ),
)  # fmt: skip
def test_any_odd_parameter_is_refused_by_name(name: str, value: Any) -> None:
    with pytest.raises(LaunchParameterError, match=f"(^|; ){name}: found"):
        launch_many([{**BASE, name: value}])


def test_cars_are_counted_in_the_faults_of_a_batch() -> None:
    with pytest.raises(LaunchParameterError, match="car 2: mu: found -1"):
        launch_many([BASE, {**BASE, "mu": -1}])
    with pytest.raises(LaunchParameterError, match="at least one"):
        launch_many([])


def test_a_run_too_short_for_a_stretch_of_time_tells_the_part_it_ran() -> None:
    short, whole = launch_many([{**BASE, "t_end": 0.9}]).scalars(0), base()
    assert short["rear_load_max_1s"] == pytest.approx(whole["rear_load_max_1s"])
    assert short["rear_load_min_0p1_1s"] is not None
    assert launch_scalars({**BASE, "t_end": 0.05})["rear_load_min_0p1_1s"] is None


@pytest.mark.parametrize(
    ("step", "grid"),
    [(0.01, None), (0.0, None), ("x", None), (None, None), (0.001, 0.0005), (0.001, 2)],
)
def test_odd_steps_are_refused(step: Any, grid: float | None) -> None:
    with pytest.raises(LaunchParameterError):
        launch_many([BASE], step_s=step, trace_s=grid)


def test_curves_agree_with_the_scalars() -> None:
    run = launch_many([BASE], trace_s=0.01)
    curves = run.traces
    assert curves is not None
    assert len(curves.time) == 401
    found = run.scalars(0)
    assert curves.gap.max() == pytest.approx(found["front_lift_max"], rel=1e-3)
    assert curves.nose[0, 20] == pytest.approx(found["body_front_rise_0p2s"], rel=1e-9)
    assert -curves.rear_comp[0, 10] == pytest.approx(found["rear_sep_0p1s"], rel=1e-9)


def test_a_knob_moves_what_its_end_of_the_car_does() -> None:
    """The sensitivities of the baseline, from the engine the reference cases came from."""
    comp = [firmer("front", "comp", k) for k in (0.6, 1.0, 1.6)]
    reb = [firmer("front", "reb", k) for k in (0.6, 1.0, 1.6)]
    rear = [firmer("rear", "reb", k) for k in (0.6, 1.0, 1.6)]
    run = launch_many([*comp, *reb, *rear]).columns
    assert run["front_comp_max_after_td"][:3] * 1000 == pytest.approx([80, 68, 36], abs=1.0)
    assert np.ptp(run["front_lift_max"][:3]) < 0.005
    assert run["front_lift_max"][3:6] == pytest.approx([0.68, 0.40, 0.19], abs=0.01)
    assert run["rear_sep_0p1s"][6:] * 1000 == pytest.approx([9.6, 6.6, 3.7], abs=0.1)


def test_the_step_converges_in_second_order() -> None:
    """Where no stop is met, halving the step quarters the error."""
    smooth = {**BASE, "front_droop": 1.0, "front_bump": 1.0, "t_end": 0.2, "t_ramp": 0.25}

    def at(step: float) -> float:
        return float(launch_many([smooth], step_s=step).columns["body_front_rise_0p2s"][0])

    exact = at(0.00005)
    errors = [abs(at(step) - exact) for step in (0.004, 0.002, 0.001)]
    assert errors[0] / errors[1] > 3.0
    assert errors[1] / errors[2] > 3.0
