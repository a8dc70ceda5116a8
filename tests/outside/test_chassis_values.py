"""Chassis numbers against published or closed-form values; the source stands beside each.

[M] formula from memory, the primary source was not opened. [C] number computed from it with a
general-purpose library or by hand; tolerances are those of the digits given.
"""

from math import hypot, log, pi

import pytest

from rules.car import chassis
from rules.units import INCH_M, POUND_FORCE_N, POUND_KG

G = 9.80665


def test_load_transfer() -> None:
    # Gillespie, Fundamentals of Vehicle Dynamics [M]; 3500 lb, 22 in, 108 in, 1 g: 712.96 lb [C].
    moved = chassis.load_transfer(3500 * POUND_KG, G, 22 * INCH_M, 108 * INCH_M)
    assert moved / POUND_FORCE_N == pytest.approx(712.96, abs=0.005)


def test_wheelie_threshold() -> None:
    # Moments about the rear contact [M]; 55 % front of 108 in over 22 in: 2.70 g [C].
    assert chassis.wheelie_threshold(0.55 * 108, 22) == pytest.approx(2.70, abs=0.0005)


def test_anti_squat() -> None:
    # Milliken and Milliken, Race Car Vehicle Dynamics [M]; 40 in ahead, 9 in up: 110.5 % [C].
    assert chassis.anti_squat(9, 40, 22, 108) == pytest.approx(110.5, abs=0.05)


def test_wheel_rate() -> None:
    # Milliken and Milliken [M]; 200 lb/in at a motion ratio of 0.7: 98 lb/in per wheel [C].
    assert chassis.wheel_rate(200, 0.7, springs=1) == pytest.approx(98.0)
    assert chassis.wheel_rate(200, 0.7) == pytest.approx(196.0)


def test_frequency_and_damping_ratio() -> None:
    # Rao, Mechanical Vibrations [M]; 300 kg, 30 kN/m, 1200 N s/m: 10 rad/s, 0.2 [C].
    assert 2 * pi * chassis.frequency(30_000, 300) == pytest.approx(10.0)
    assert chassis.damping_ratio(1200, 30_000, 300) == pytest.approx(0.2)


def test_the_motorcycle_example() -> None:
    # Rao, Mechanical Vibrations, motorcycle: 200 kg, damped period 2 s, amplitude quartered in
    # half a cycle: zeta 0.4037, k 2358.28 N/m, c 554.52 N s/m [C]; the book prints 2358.2652 and
    # 554.4981 [M], from a rounded ratio.
    zeta = log(16) / hypot(2 * pi, log(16))
    assert zeta == pytest.approx(0.4037, abs=5e-5)
    omega = 2 * pi / 2.0 / (1 - zeta**2) ** 0.5
    rate = 200 * omega**2
    assert rate == pytest.approx(2358.28, abs=0.01)
    assert chassis.frequency(rate, 200) == pytest.approx(omega / 2 / pi)
    assert 2 * zeta * 200 * omega == pytest.approx(554.52, abs=0.01)
    assert chassis.damping_ratio(554.52, rate, 200) == pytest.approx(zeta, rel=1e-5)


def test_effective_front_mass() -> None:
    # A uniform slender rod pivoting about one end, seen at the other: m / 3 (parallel axes).
    rod = chassis.effective_front_mass(12.0, 12.0 * 3.0**2 / 12, 1.5, 1e-9, 3.0)
    assert rod == pytest.approx(4.0)
    # Two point masses over the axles at ground level: only the front one counts.
    assert chassis.effective_front_mass(2.0, 2.0 * 1.5**2, 1.5, 1e-9, 3.0) == pytest.approx(1.0)


def test_landing_energy() -> None:
    # A dropped mass: 0.5 m v^2 with v^2 = 2 g h, plus its weight over the travel, is m g (h + s).
    energy = chassis.landing_energy(100.0, (2 * G * 0.3) ** 0.5, 100.0 * G, 0.0, 0.5, 2.7, 0.05)
    assert energy == pytest.approx(100.0 * G * 0.35)
    # Thrust at the wheelie threshold leaves gravity nothing to do.
    balanced = 1000.0 * G * 1.35 / 0.5
    assert chassis.landing_energy(
        500.0, 0.0, 1000.0 * G * 1.35 / 2.7, balanced, 0.5, 2.7, 0.1
    ) == pytest.approx(0.0, abs=1e-9)


def test_clearance_is_a_straight_line_between_the_axles() -> None:
    # Geometry: at an axle the drop is that axle's, halfway the mean; ahead it leans the other way.
    assert chassis.drop_of_part(0.0, 0.08, 0.02, 2.7) == pytest.approx(0.08)
    assert chassis.drop_of_part(-2.7, 0.08, 0.02, 2.7) == pytest.approx(0.02)
    assert chassis.drop_of_part(-1.35, 0.08, 0.02, 2.7) == pytest.approx(0.05)
    assert chassis.drop_of_part(0.9, 0.08, 0.02, 2.7) == pytest.approx(0.10)
    squash = chassis.tyre_squash(15_000.0, 7_000.0, 400_000.0)
    assert squash == pytest.approx(0.02)
    left = chassis.clearance_at_full_bump(0.11, 0.9, 0.065, 0.0, squash, 0.0, 2.7)
    assert left == pytest.approx(0.11 - 0.085 * 4 / 3)
    assert left < 0.0


def test_the_sprung_centre_lies_above_the_whole_cars() -> None:
    mass, height = chassis.whole_cg(((1250.0, 0.56), (75.0, 0.32), (140.0, 0.36)))
    assert mass == 1465.0
    assert height == pytest.approx(0.5286, abs=5e-5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: chassis.load_transfer(0.0, 1.0, 0.5, 2.7),
        lambda: chassis.wheelie_threshold(1.0, float("nan")),
        lambda: chassis.wheel_rate(-1.0, 0.7),
        lambda: chassis.frequency(1.0, True),
        lambda: chassis.damping_ratio(-1.0, 1.0, 1.0),
        lambda: chassis.anti_squat(0.2, 0.0, 0.5, 2.7),
        lambda: chassis.landing_energy(1.0, 1.0, 1.0, 0.0, 0.5, 2.7, -0.1),
        lambda: chassis.whole_cg(()),
    ],
)
def test_numbers_that_no_car_has_are_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=r"wanted"):
        call()
