"""The generic damper family: inversion, monotonicity, wheel, fit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.launch.mechanics.valve import (
    Valve,
    effective_motion_ratio,
    fit_two_points,
    fit_valve,
)

valves = st.builds(
    Valve, kb=st.floats(1e4, 1e8), f0=st.floats(0.0, 5000.0), chs=st.floats(200.0, 50_000.0)
)
speeds = st.floats(1e-6, 5.0)


@given(valves, speeds)
def test_speed_undoes_force(valve: Valve, speed: float) -> None:
    assert valve.speed(valve.force(speed)) == pytest.approx(speed, rel=1e-9)


@given(valves, speeds)
def test_one_force_is_the_same_as_in_a_row(valve: Valve, speed: float) -> None:
    assert float(valve.force(speed)) == pytest.approx(valve.force([speed])[0], rel=1e-14)


@given(valves, speeds, speeds)
def test_force_never_falls_with_speed(valve: Valve, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert valve.force(low) <= valve.force(high) * (1 + 1e-12)


@given(valves, speeds, st.floats(1.0, 5.0))
def test_a_firmer_number_never_softens_the_curve(v: Valve, speed: float, factor: float) -> None:
    force = valve_force = float(v.force(speed))
    for firmer in (
        Valve(v.kb * factor, v.f0, v.chs),
        Valve(v.kb, v.f0 * factor, v.chs),
        Valve(v.kb, v.f0, v.chs * factor),
    ):
        assert float(firmer.force(speed)) >= valve_force * (1 - 1e-9)
    assert force >= 0.0


def test_the_bleed_alone_is_a_square_law_and_the_opening_is_where_it_says() -> None:
    valve = Valve(kb=600_000.0, f0=900.0, chs=3500.0)
    assert valve.force(0.02) == pytest.approx(240.0, rel=1e-14)
    assert valve.speed(900.0) == pytest.approx(np.sqrt(900 / 6e5), rel=1e-14)
    assert valve.speed(1600.0) == pytest.approx(np.sqrt(1600 / 6e5) + 0.2, rel=1e-14)
    assert np.array_equal(valve.force(np.zeros(3)), np.zeros(3))


@given(valves, speeds)
def test_damping_is_the_slope_of_the_curve(valve: Valve, speed: float) -> None:
    force = float(valve.force(speed))
    if abs(force - valve.f0) < 1e-3 * force:
        return
    step = speed * 1e-6
    slope = (float(valve.force(speed + step)) - float(valve.force(speed - step))) / (2 * step)
    assert valve.damping(speed) == pytest.approx(slope, rel=1e-3)


@given(valves, st.floats(0.3, 1.2), st.floats(0.0, 3.0))
def test_the_family_at_the_wheel_is_n_mr_f_of_mr_v(valve: Valve, ratio: float, v: float) -> None:
    # Virtual work: n MR F(MR v), for the two dampers of an axle.
    there = 2.0 * ratio * float(valve.force(ratio * v))
    assert float(valve.at_wheel(ratio).force(v)) == pytest.approx(there, rel=1e-9)


def test_a_leaning_damper_moves_by_the_cosine() -> None:
    assert effective_motion_ratio(0.8, np.radians(60.0)) == pytest.approx(0.4)
    with pytest.raises(ValueError, match="under 80 degrees"):
        effective_motion_ratio(0.8, np.radians(85.0))


@given(
    st.floats(1e5, 3e6), st.floats(100.0, 3000.0), st.floats(500.0, 10_000.0), st.floats(0.1, 3.0)
)
def test_the_fit_finds_the_family_that_made_the_points(
    kb: float, f0: float, chs: float, stretch: float
) -> None:
    made = Valve(kb, f0, chs)
    opens = float(made.speed(f0))
    at = opens * np.array([0.2, 0.5, 0.8, 1.5, 3.0, 6.0]) * (1.0 + 0.1 * stretch)
    fit = fit_valve(at, made.force(at))
    assert fit.worst < 1e-3
    assert np.allclose(fit.valve.force(at), made.force(at), rtol=1e-3)


def test_one_point_gives_a_bleed_through_it() -> None:
    fit = fit_valve([0.1], [500.0])
    assert fit.valve.force(0.1) == pytest.approx(500.0)


def test_two_points_lie_on_their_valve() -> None:
    valve = fit_two_points((0.05, 400.0), (0.25, 900.0))
    assert valve.force(np.array([0.05, 0.25])) == pytest.approx([400.0, 900.0])
    assert valve.f0 == 400.0


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ((0.05, 400.0), (0.25, 300.0), "faster, higher"),
        ((0.05, 400.0), (0.05, 500.0), "faster, higher"),
        ((0.0, 0.0), (0.25, 300.0), "faster, higher"),
        ((float("nan"), 1.0), (0.25, 300.0), "faster, higher"),
        ((0.05, 100.0), (0.10, 500.0), "square of the speed"),
    ],
)
def test_points_that_no_damper_has_are_refused(
    low: tuple[float, float], high: tuple[float, float], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        fit_two_points(low, high)


@pytest.mark.parametrize(
    "numbers", [(0.0, 1.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, float("nan")), (float("inf"), 1, 1)]
)
def test_numbers_that_no_valve_has_are_refused(numbers: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="wanted a number"):
        Valve(*numbers)
