"""Constant power from a standing start against the published closed forms.

G. T. Fox, "On the physics of drag racing", American Journal of Physics 41, 311 (1973), from
memory; the numbers were computed from its equations with a general-purpose library. The capped ones
are also held against scipy's integration of the equation of motion.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from rules.passes.air_effect import air_part
from rules.passes.slip import BEAMS_M, TRAP_M, Slip
from rules.passes.splits import effective_power, grip_from_sixty, run_to, stripe_cost
from rules.units import FOOT_M, HORSEPOWER_W, POUND_KG, STANDARD_GRAVITY_M_S2

MILE_AN_HOUR = 5280 * FOOT_M / 3600
QUARTER = 1320 * FOOT_M
POWER = 500 * HORSEPOWER_W / (3500 * POUND_KG)
CAPS = [(None, 9.18706, 146.946), (1.0, 10.25911, 145.749), (0.5, 12.84207, 136.763)]


@pytest.mark.parametrize(("cap", "seconds", "miles"), CAPS)
def test_the_published_car(cap: float | None, seconds: float, miles: float) -> None:
    grip = () if cap is None else (cap * STANDARD_GRAVITY_M_S2,)
    run = run_to(QUARTER, POWER, *grip)
    assert run.time_s == pytest.approx(seconds, abs=1e-5)
    assert run.speed_m_s / MILE_AN_HOUR == pytest.approx(miles, abs=1e-3)


@given(q=st.floats(20, 2000), d=st.floats(10, 402))
def test_time_by_speed_is_one_and_a_half_distances(q: float, d: float) -> None:
    run = run_to(d, q)
    assert run.time_s * run.speed_m_s == pytest.approx(1.5 * d, rel=1e-12)


def test_one_percent_of_power_is_a_third_of_a_percent_of_time() -> None:
    more = run_to(QUARTER, POWER * 1.01).time_s / run_to(QUARTER, POWER).time_s - 1
    assert more == pytest.approx(-0.0033, abs=5e-5)
    assert air_part(9.0, 1.10, 1.111).seconds / 9.0 == pytest.approx(-0.0033, abs=5e-5)
    assert abs(air_part(1.3, 1.10, 1.05, sixty=True).seconds) < 0.003


@pytest.mark.parametrize("cap", [0.4, 1.0, 2.0])
def test_the_capped_launch_against_integration(cap: float) -> None:
    grip = cap * STANDARD_GRAVITY_M_S2

    def there(_: float, state: list[float]) -> float:
        return state[0] - QUARTER

    there.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(
        lambda _, state: [state[1], min(grip, POWER / max(state[1], 1e-9))],
        (0, 60),
        [0.0, 0.0],
        events=there,
        rtol=1e-9,
        atol=1e-9,
        max_step=0.05,
    )
    run = run_to(QUARTER, POWER, grip)
    assert run.time_s == pytest.approx(done.t_events[0][0], abs=1e-4)
    assert run.speed_m_s == pytest.approx(done.y_events[0][0][1], abs=1e-3)


@given(q=st.floats(60, 1500), cap=st.floats(0.4, 3.0))
def test_grip_and_power_are_found_again(q: float, cap: float) -> None:
    grip = cap * STANDARD_GRAVITY_M_S2
    sixty = run_to(BEAMS_M["sixty_s"], q, grip).time_s
    if sixty > run_to(BEAMS_M["sixty_s"], q).time_s * 1.0001:
        again = run_to(BEAMS_M["sixty_s"], q, grip_from_sixty(sixty, q)).time_s
        assert again == pytest.approx(sixty, abs=1e-6)
    early, late = (
        run_to(BEAMS_M[beam] - TRAP_M / 2, q).speed_m_s for beam in ("eighth_s", "quarter_s")
    )
    assert effective_power(Slip(eighth_speed_m_s=early, quarter_speed_m_s=late)) == pytest.approx(
        q, rel=1e-9
    )
    assert effective_power(Slip(quarter_speed_m_s=late)) == pytest.approx(q, rel=1e-9)


def test_what_the_sixty_foot_costs_at_the_stripe() -> None:
    """More than it is itself and less than twice as much: common practice, no source."""
    cost = stripe_cost(1.90, 1.91, POWER, QUARTER)
    assert 0.010 < cost < 0.020
    assert stripe_cost(1.91, 1.90, POWER, QUARTER) == pytest.approx(-cost)


def test_a_sixty_foot_beyond_the_power_is_refused() -> None:
    with pytest.raises(ValueError, match=r"60-foot: found 0\.5; wanted more than"):
        grip_from_sixty(0.5, POWER)
    with pytest.raises(ValueError, match="wanted above 0"):
        run_to(0.0, POWER)
    with pytest.raises(ValueError, match="wanted above 0"):
        air_part(9.0, 0.0, 1.1)
