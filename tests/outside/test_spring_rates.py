"""Spring rates against the textbook oscillator, an energy balance by hand, and quadrature.

[M] textbook formula, from memory, the source was not opened. [C] computed by hand or with a
general-purpose library.
"""

from functools import partial
from math import pi, sqrt

import pytest
from scipy.integrate import quad

from rules.car.model import Car
from rules.launch.cloud.on_paper import on_paper
from rules.launch.mechanics.valve import Valve
from rules.shop.rate_ranges import damper_work, landing_at, rates_for_hertz, rates_for_touchdown
from rules.shop.spring_rates import Landing, rates_for_landing, spring_work
from rules.units import INCH_M, POUND_FORCE_N, STANDARD_GRAVITY_M_S2

G = STANDARD_GRAVITY_M_S2
LB_PER_IN = POUND_FORCE_N / INCH_M


def invented(front_kg: float, ratio: float, bump: float, droop: float, peak_g: float) -> Car:
    """An invented car of 1200 kg and 2.7 m, 60 kg and 140 kg of it unsprung."""
    rear = (1200.0 - 2.0 * front_kg) / 2.0
    corners = {
        "left_front": front_kg, "right_front": front_kg, "left_rear": rear, "right_rear": rear,
    }  # fmt: skip
    return Car.parse(
        {
            "setdown_car": 1, "id": "x", "name": "Invented", "units": "metric",
            "masses": {"total": 1200.0, "front_unsprung": 60.0, "rear_unsprung": 140.0,
                       "pitch_inertia": 1500.0, **corners},
            "geometry": {"wheelbase": 2.7, "sprung_cg_height": 0.5},
            "front": {"motion_ratio": ratio, "bump_travel": bump, "droop_travel": droop},
            "launch": {"peak_g": peak_g},
        }
    )  # fmt: skip


def test_a_rate_over_the_cars_is_about_that_of_the_oscillator() -> None:
    """[M] f = sqrt(k / m) / 2 pi (Rao, Mechanical Vibrations); k = 2 K MR^2 (Milliken, Milliken).

    [C] 300 kg on 30 kN/m swing with 10 rad/s; at a ratio of 0.5 that is 60 kN/m a spring.
    """
    car = invented(180.0, 0.5, 0.07, 0.07, 1.0)
    rates = rates_for_hertz(car, {}, "front", (10.0 / (2.0 * pi), 10.0 / (2.0 * pi)))
    assert rates.least is not None
    assert rates.least.middle == pytest.approx(60e3, rel=0.01)
    assert rates.least.low < 60e3 < rates.least.high
    # A mass to 2 %, scales to 0.5 % and a ratio to 1 %: within 5 % of it, nine cars in ten.
    assert rates.least.high / rates.least.low < 1.10


def test_two_hundred_pounds_an_inch_at_seven_tenths() -> None:
    """[M] Milliken and Milliken: 200 lb/in at a ratio of 0.7 are 98 lb/in at the wheel [C]."""
    hertz = sqrt(2.0 * 98.0 * LB_PER_IN / 500.0) / (2.0 * pi)
    rates = rates_for_hertz(invented(280.0, 0.7, 0.07, 0.07, 1.0), {}, "front", (hertz, hertz))
    assert rates.least is not None
    assert rates.least.middle == pytest.approx(200.0 * LB_PER_IN, rel=0.01)


@pytest.mark.parametrize(
    ("relief", "droop", "bump", "rates"),
    [
        # 450 J of motion; W s and the fall without thrust are the same: 450 / 0.00595, and no
        # looser than 6000 / 0.05.
        (0.0, 0.05, 0.12, (75_630.25, 120_000.0)),
        # 2000 N of thrust take 340 J off it: 110 / 0.00595.
        (2000.0, 0.05, 0.12, (18_487.39, 120_000.0)),
        # 4000 N take more off than there is: any spring that stays tight.
        (4000.0, 0.05, 0.12, (0.0, 120_000.0)),
        # With less bump than droop a stiffer spring takes up less: none, or no stiffer than that.
        (0.0, 0.12, 0.05, None),
        (4000.0, 0.12, 0.05, (0.0, 38_655.46)),
        # As much bump as droop: the rate does not count, only that it stays tight.
        (4000.0, 0.08, 0.08, (0.0, 75_000.0)),
    ],
)
def test_the_energy_of_a_landing_by_hand(
    relief: float, droop: float, bump: float, rates: tuple[float, float] | None
) -> None:
    """[M] Energy balance 0.5 m v^2 + (W - F h / L) s = W s + k (bump^2 - droop^2) / 2.

    [C] 400 kg at 1.5 m/s, 6000 N of sprung load.
    """
    energy = 0.5 * 400.0 * 1.5**2 + (6000.0 - relief) * (droop + bump)
    landing = Landing(energy, 6000.0, droop, bump)
    found = rates_for_landing(landing, 0.0)
    assert found == (None if rates is None else pytest.approx(rates, abs=0.01))
    for rate in found or ():
        if rate > 0.0:
            work = quad(partial(_force, rate), -droop, bump)[0]
            assert spring_work(rate, 6000.0, droop, bump) == pytest.approx(work, rel=1e-7)
            if rate < 6000.0 / droop - 1.0:
                assert work == pytest.approx(energy)


def _force(rate: float, travel: float) -> float:
    return max(0.0, 6000.0 + rate * travel)


def test_the_landing_of_a_whole_car_by_hand() -> None:
    """[M] m_eff = (Iyy + m (b^2 + h^2)) / L^2 about the rear contact, of the sprung mass.

    [C] 1000 kg sprung, 500 of them in front: b = 1.35 m; (1500 + 1000 (1.8225 + 0.25)) / 7.29 =
    490.05 kg; at 0.8 m/s 156.82 J, and 500 g over 0.16 m.
    """
    car = invented(280.0, 1.0, 0.10, 0.06, 1.0)
    found = landing_at(on_paper(car).params, 0.8, 0.0)
    assert found.energy == pytest.approx(156.82 + 500.0 * G * 0.16, abs=0.01)
    assert found.static == pytest.approx(500.0 * G)
    # Springs alone, without thrust: 156.82 / ((0.01 - 0.0036) / 2) at the wheel, half of it each.
    rates = rates_for_touchdown(car, {}, 0.8, thrust=False)
    assert rates.alone is not None
    assert rates.alone.low < 156.82 / 0.0032 / 2.0 < rates.alone.high


def test_what_a_damper_takes_of_a_steady_stop() -> None:
    """[C] F = c v with v = v0 sqrt(1 - x / s): the integral over s is 2/3 c v0 s."""
    line = Valve(kb=1e12, f0=0.0, chs=8000.0)
    assert damper_work(line, 2.0, 0.15) == pytest.approx(2 / 3 * 8000.0 * 2.0 * 0.15, rel=1e-3)
