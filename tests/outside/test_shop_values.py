"""The shop's numbers against published forms, a physics engine and a general-purpose integrator.

[M] formula from memory, the primary source was not opened. [C] number computed from it with a
general-purpose library or by hand. (opened) read in the source itself.
"""

from math import atan, cos, pi, radians, sin, sqrt, tan
from typing import NamedTuple

import mujoco
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from rules.car.chassis import effective_front_mass, frequency, landing_energy, wheel_rate
from rules.crew.sheets.cg import FEWEST
from rules.launch.mechanics.landing import landing_budget
from rules.launch.mechanics.valve import Valve
from rules.shop.cg import PROCEDURE, Weighing, cg_height, sprung_centre
from rules.shop.coil import Coil
from rules.shop.ratio import measured_ratio, wheel_rate_at_ride
from rules.shop.scales import axle_distances
from rules.shop.spring_rates import Landing, rate_for_frequency, rate_for_landing, spring_work
from rules.typed import Wanted, read
from rules.units import INCH_M, POUND_FORCE_N, POUND_KG, Quantity

G = 9.80665
# An invented car: wheelbase, front axle to centre, radii, and masses at their heights.
BASE, BEHIND, FRONT_RADIUS, REAR_RADIUS = 2.74, 1.29, 0.32, 0.36
APART = sqrt(BASE**2 + (REAR_RADIUS - FRONT_RADIUS) ** 2)
SPRUNG, SPRUNG_HEIGHT, FRONT_MASS, REAR_MASS = 1250.0, 0.56, 75.0, 140.0


def test_typed_units_against_nist() -> None:
    # NIST Special Publication 811 (2008), appendix B.8 [M], to half a unit of the seventh figure.
    printed = [
        ("1 lb/in", Quantity.SPRING_RATE, 175.1268), ("1 psi", Quantity.PRESSURE, 6894.757),
        ("1 bar", Quantity.PRESSURE, 1e5), ("1 kgf/mm", Quantity.SPRING_RATE, 9806.65),
        ("1 ft", Quantity.LENGTH, 0.3048), ("1 lb", Quantity.MASS, 0.4535924),
        ("1 hp", Quantity.POWER, 745.6999), ("1 ft/s", Quantity.PISTON_SPEED, 0.3048),
        ("1 lb ft2", Quantity.INERTIA, 0.04214011), ("1 lbf", Quantity.FORCE, 4.448222),
    ]  # fmt: skip
    for text, quantity, si in printed:
        for system in ("us", "metric"):
            assert read(text, Wanted("value", quantity), system) == pytest.approx(si, rel=3e-7)


def test_axle_distances() -> None:
    # Gillespie, Fundamentals of Vehicle Dynamics, chapter 1 [M]: b = W_f L / W; 55 % front of
    # 108 in: 59.4 in ahead of the rear axle [C].
    behind, ahead = axle_distances(0.55 * 3500, 0.45 * 3500, 108.0)
    assert ahead == pytest.approx(59.4)
    assert behind == pytest.approx(48.6)


def test_a_printed_example_of_axle_distances() -> None:
    # Jazar, Vehicle Dynamics: Theory and Application (2008), example 40, as printed (opened):
    # 2000 N under each front and 1800 N under each rear wheel, wheelbase 2.34 m: the centre lies
    # 1.1084 m behind the front axle and 1.2316 m ahead of the rear.
    behind, ahead = axle_distances(4000.0, 3600.0, 2.34)
    assert behind == pytest.approx(1.1084, abs=5e-5)
    assert ahead == pytest.approx(1.2316, abs=5e-5)


@given(
    height=st.floats(0.25, 1.1),
    behind=st.floats(0.6, 1.9),
    tilt=st.floats(radians(2), radians(30)),
    radius=st.floats(0.25, 0.45),
)
def test_raised_axle_against_a_printed_formula(
    height: float, behind: float, tilt: float, radius: float
) -> None:
    # Jazar, as above, equation 2.32 (opened): h = R + (F l / (m g) - a2) cot(tilt), F under both
    # front wheels. Its printed numbers (2000 kg, 18000 N, 30 deg, 1.10 m of 2.30 m, 0.30 m: "34
    # cm") do not satisfy it, which gives 1.88 m [C]; so the formula is checked, not the example.
    base, mass = 2.5, 1500.0
    ahead = base - behind
    front = mass * (ahead + (height - radius) * tan(tilt)) / base
    assert radius + (front * base / mass - ahead) / tan(tilt) == pytest.approx(height)
    level = Weighing(mass * ahead / base, radius, radius)
    raised = Weighing(front, radius, radius + base * sin(tilt))
    found = cg_height(level, mass - level.front, base, [raised])
    assert found.height == pytest.approx(height, rel=1e-9)


def test_the_weighing_follows_the_standard() -> None:
    # ISO 10392:2011, 6.2.2 to 6.2.6 (an excerpt was opened): three or more steps are recommended;
    # loads stand on a straight line over the tangent of the lifting angle; the axle lowered again
    # by steps shows the hysteresis; the other axle is lifted too; an angle from the heights of the
    # wheels has to take in how the tyres are pressed in, which hub heights do by themselves.
    level = stood(0.0)
    steps = [stood(rise) for rise in (0.15, 0.3, 0.45)]
    tangents = [tan(np.arcsin((one.rear_hub - one.front_hub) / APART)) for one in (level, *steps)]
    loads = [one.front for one in (level, *steps)]
    assert np.corrcoef(tangents, loads)[0, 1] == pytest.approx(1.0, abs=1e-9)
    assert FEWEST >= 3
    told = " ".join(PROCEDURE)
    assert "At least three heights" in told
    assert "on the way down" in told
    assert "other axle" in told


def test_raised_axle_with_equal_tyres() -> None:
    # Milliken and Milliken, Race Car Vehicle Dynamics, chapter 18 [M]:
    # h = R + (W_f' L - W b) / (W tan th), the raised front load W_f', b from the rear axle.
    # 3500 lb, 108 in, 1925 lb on the front, radius 13 in; rear hubs 24 in up,
    # 2015 lb: 25.1847 in [C].
    tilt = 24.0 / sqrt(108.0**2 - 24.0**2)
    book = 13.0 + (2015.0 * 108.0 - 3500.0 * 59.4) / (3500.0 * tilt)
    found = cg_height(
        Weighing(1925 * POUND_KG, 13 * INCH_M, 13 * INCH_M),
        1575 * POUND_KG,
        108 * INCH_M,
        [Weighing(2015 * POUND_KG, 13 * INCH_M, 37 * INCH_M)],
    )
    assert found.height / INCH_M == pytest.approx(book, rel=1e-12)
    assert book == pytest.approx(25.1847, abs=5e-5)


class Stood(NamedTuple):
    """What the engine finds under a car that rests on its wheels' contacts."""

    front: float
    rear: float
    front_hub: float
    rear_hub: float


def stood(raise_rear: float) -> Stood:
    """Weigh the rigid car in the engine: its inverse dynamics at rest, pinned at the front hub.

    The engine knows the masses and their places alone. The load on the rear is the force straight
    up at the rear hub that leaves no moment at the front hub's hinge.
    """
    model = mujoco.MjModel.from_xml_string(f"""
    <mujoco>
      <compiler inertiafromgeom="false"/>
      <option gravity="0 0 -{G}"><flag contact="disable" constraint="disable"/></option>
      <worldbody>
        <body name="car" pos="0 0 {FRONT_RADIUS}">
          <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 0 1"/>
          <joint type="hinge" axis="0 1 0"/>
          <inertial pos="0 0 0" mass="1e-9" diaginertia="1e-9 1e-9 1e-9"/>
          <site name="rear" pos="{-BASE} 0 {REAR_RADIUS - FRONT_RADIUS}"/>
          <body pos="{-BEHIND} 0 {SPRUNG_HEIGHT - FRONT_RADIUS}">
            <inertial pos="0 0 0" mass="{SPRUNG}" diaginertia="1900 1900 1900"/>
          </body>
          <body><inertial pos="0 0 0" mass="{FRONT_MASS}" diaginertia="1 1 1"/></body>
          <body pos="{-BASE} 0 {REAR_RADIUS - FRONT_RADIUS}">
            <inertial pos="0 0 0" mass="{REAR_MASS}" diaginertia="1 1 1"/>
          </body>
        </body>
      </worldbody>
    </mujoco>""")
    data = mujoco.MjData(model)
    level = atan((REAR_RADIUS - FRONT_RADIUS) / BASE)
    data.qpos[2] = np.arcsin(sin(level) + raise_rear / APART) - level
    mujoco.mj_inverse(model, data)
    lift, moment = data.qfrc_inverse[1], data.qfrc_inverse[2]
    jacobian = np.zeros((3, model.nv))
    site = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_SITE, "rear")
    mujoco.mj_jacSite(model, data, jacobian, None, site)
    rear = moment / jacobian[2, 2]
    hub = float(data.site_xpos[site, 2])
    return Stood((lift - rear) / G, rear / G, FRONT_RADIUS, hub)


def test_a_car_weighed_in_a_physics_engine_has_its_centre_where_it_was_put() -> None:
    level = stood(0.0)
    assert level.front + level.rear == pytest.approx(SPRUNG + FRONT_MASS + REAR_MASS, rel=1e-9)
    raised = [stood(rise) for rise in (0.2, 0.4, 0.6, -0.3)]
    found = cg_height(
        Weighing(level.front, level.front_hub, level.rear_hub),
        level.rear,
        BASE,
        [Weighing(one.front, one.front_hub, one.rear_hub) for one in raised],
    )
    truth = SPRUNG * SPRUNG_HEIGHT + FRONT_MASS * FRONT_RADIUS + REAR_MASS * REAR_RADIUS
    truth /= SPRUNG + FRONT_MASS + REAR_MASS
    assert found.height == pytest.approx(truth, abs=1e-6)
    centre = sprung_centre(
        level.front, level.rear, BASE, found.height, FRONT_MASS, REAR_MASS, FRONT_RADIUS,
        REAR_RADIUS, found.give,
    )  # fmt: skip
    assert centre.mass == pytest.approx(SPRUNG)
    assert centre.height == pytest.approx(SPRUNG_HEIGHT, abs=1e-6)
    assert centre.behind_front == pytest.approx(BEHIND, abs=1e-6)
    assert centre.ahead_of_rear == pytest.approx(BASE - BEHIND, abs=1e-6)
    assert centre.height - found.height > 0.025


def test_motion_ratio_of_a_leaning_damper_needs_no_cosine() -> None:
    """A damper that leans by 20 degrees from a straight path: the slope is its cosine already."""
    lean, length = radians(20.0), 0.40
    heights = [
        (wheel, sqrt((length * cos(lean) - wheel) ** 2 + (length * sin(lean)) ** 2))
        for wheel in np.linspace(-0.08, 0.06, 9).tolist()
    ]
    found = measured_ratio(heights)
    assert found.at_ride == pytest.approx(cos(lean), abs=2e-3)
    # Geometry: the lean opens into bump, so the ratio falls: d(cos)/dx = -sin^2 / length.
    assert found.change == pytest.approx(-(sin(lean) ** 2) / length, rel=0.1)


def test_wheel_rate_with_a_changing_ratio() -> None:
    """Against the force itself: F(x) = K u(x) u'(x) for a spring shortened by u, differentiated."""
    rate, at_ride, first, second = 30e3, 0.10, 0.7, 1.5

    def shortened(x: float) -> float:
        return at_ride + first * x + second * x**2 / 2.0

    def force(x: float) -> float:
        return rate * shortened(x) * (first + second * x)

    found = measured_ratio([(x, 0.5 - shortened(x)) for x in (-0.06, -0.03, 0.0, 0.02, 0.05)])
    step = 1e-5
    truth = (force(step) - force(-step)) / (2.0 * step)
    assert wheel_rate_at_ride(rate, found, rate * at_ride, springs=1) == pytest.approx(truth)
    # Milliken and Milliken [M]; 200 lb/in at a ratio of 0.7: 98 lb/in per wheel [C].
    plain = measured_ratio([(x, 0.5 - 0.7 * x) for x in (-0.06, -0.03, 0.0, 0.02, 0.05)])
    assert wheel_rate_at_ride(200.0, plain, 999.0, springs=1) == pytest.approx(98.0)
    assert found.wheel_travel(shortened(0.04) - at_ride) == pytest.approx(0.04)


def test_clash_allowance() -> None:
    # Shigley, Mechanical Engineering Design, springs [M]: F_s = (1 + xi) F_max, xi >= 0.15.
    # 10 in free, 4 in solid, at 4.7826 in the load is F_s / 1.15: xi = 0.15 [C].
    coil = Coil(at_ride=7.0, free=10.0, solid=4.0, bump=7.0 - (10.0 - 6.0 / 1.15))
    assert coil.clash_allowance == pytest.approx(0.15)


def test_rate_for_a_ride_frequency() -> None:
    # Rao, Mechanical Vibrations [M]; 300 kg on 30 kN/m: 10 rad/s [C].
    spring = rate_for_frequency(10.0 / (2.0 * pi), 300.0, 0.5)
    assert wheel_rate(spring, 0.5) == pytest.approx(30e3)
    # Static deflection at 1 Hz is g / (2 pi)^2 = 9.78 in (Gillespie, chapter 5) [M].
    rate = 2.0 * rate_for_frequency(1.0, 300.0, 1.0)
    assert 300.0 * G / rate / INCH_M == pytest.approx(9.78, abs=0.005)
    # By integration: a mass on that spring is back after one period.
    back = solve_ivp(
        lambda _, y: [y[1], -rate / 300.0 * y[0]], (0.0, 1.0), [0.02, 0.0], rtol=1e-10, atol=1e-14
    )
    assert back.y[0][-1] == pytest.approx(0.02, rel=1e-6)


@pytest.mark.parametrize("rate", [10e3, 30e3, 75e3, 150e3])
def test_spring_work_against_quadrature(rate: float) -> None:
    work = quad(lambda q: max(0.0, 6000.0 + rate * q), -0.1, 0.065, points=[-6000.0 / rate])[0]
    assert spring_work(rate, 6000.0, 0.1, 0.065) == pytest.approx(work, rel=1e-7)


def test_the_landing_budget_closes() -> None:
    """Energy balance against the step-by-step landing of the launch model, without a damper."""
    mass = effective_front_mass(1250.0, 1900.0, BASE - BEHIND, SPRUNG_HEIGHT, BASE)
    weight, speed, thrust, rate, droop = 6500.0, 1.2, 9000.0, 80e3, 0.04
    free = Valve(1e-9, 0.0, 1e-9)
    stepped = landing_budget(
        mass, speed, weight, rate, free, -droop, 0.3, thrust * SPRUNG_HEIGHT / BASE
    )
    stroke = stepped.needs
    energy = landing_energy(mass, speed, weight, thrust, SPRUNG_HEIGHT, BASE, stroke)
    assert spring_work(rate, weight, droop, stroke - droop) == pytest.approx(energy, rel=2e-3)
    landing = Landing(energy, weight, droop, stroke - droop)
    assert rate_for_landing(landing, 0.0) == pytest.approx(rate, rel=5e-3)
    assert landing.left_to_dampers(rate) == pytest.approx(0.0, abs=3e-3 * energy)


def test_a_falling_weight_on_a_spring() -> None:
    # Strength-of-materials texts [M]: a weight dropped by h on a spring sinks by
    # d (1 + sqrt(1 + 2 h / d)) with d = W / k; 1 lb from 4 in on 1 lb/in: 4 in [C].
    weight, rate = POUND_FORCE_N, POUND_FORCE_N / INCH_M
    sinks = (1.0 + sqrt(1.0 + 2.0 * 4.0)) * INCH_M
    mass = weight / G
    energy = landing_energy(mass, sqrt(2 * G * 4 * INCH_M), weight, 0.0, 0.5, 2.7, sinks)
    # Full droop is the free spring: it starts to push with nothing, W - k droop = 0.
    assert spring_work(rate, weight, INCH_M, sinks - INCH_M) == pytest.approx(energy)
    assert rate_for_landing(Landing(energy, weight, INCH_M, sinks - INCH_M), 0.0) == pytest.approx(
        rate
    )
    assert frequency(rate, mass) == pytest.approx(sqrt(G / INCH_M) / (2 * pi))
