"""The numbers of a car through its file: handbook values, the launch's own, and what is missing.

[M] formula from memory, the primary source was not opened. [C] number computed from it with a
general-purpose library or by hand; tolerances are those of the digits given.
"""

import json
from math import pi
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files import SHIPPED_CARS, load_car
from rules.car.adjusters import adjusters, starts
from rules.car.chassis import effective_front_mass, landing_energy
from rules.car.model import Car
from rules.launch.car_number import CarNumber
from rules.launch.car_numbers import CarNumbers, as_dict, car_numbers
from rules.launch.cloud.car_cloud import deviates, typical_cars
from rules.launch.goals import numbers_of, thrust_over
from rules.launch.mechanics import launch_many
from rules.launch.proposed_change import Seen
from rules.launch.what_if import CARS, TRACE_S
from rules.units import INCH_M, POUND_FORCE_N
from tests.support.once import once
from tests.support.sample import examples

DEMO = load_car(SHIPPED_CARS / "demo.toml")
LEAF = load_car(SHIPPED_CARS / "leaf-metric.toml")
LB_PER_IN = POUND_FORCE_N / INCH_M
STANDING = ("load moved at peak g", "front wheels come up at", "anti-squat")


def invented(units: str, **tables: Any) -> Car:
    """An invented car with nothing but a name and these tables."""
    raw = {"setdown_car": 1, "id": "x", "name": "Invented", "units": units}
    return Car.parse(raw | {"rear_suspension": "other"} | tables, units)  # type: ignore[arg-type]


def handbook_car() -> Car:
    """3500 lb, 55 % on the front, 108 in, 22 in, 1 g; 200 lb/in at 0.7; centre 40 in and 9 in."""
    front, rear = 3500 * 0.55 / 2, 3500 * 0.45 / 2
    corners = {"left_front": front, "right_front": front, "left_rear": rear, "right_rear": rear}
    return invented(
        "us",
        masses={"total": 3500, **corners},
        geometry={
            "wheelbase": 108, "cg_height": 22,
            "instant_centre_ahead": 40, "instant_centre_height": 9,
        },
        front={"spring_rate": 200, "motion_ratio": 0.7},
        launch={"peak_g": 1.0},
    )  # fmt: skip


numbers = once(car_numbers)
"""The numbers of a car, worked out once for all tests, those of the screen among them."""


def demo() -> CarNumbers:
    """The demonstration car at its file's counts."""
    return numbers(DEMO, starts(DEMO))


def number(found: CarNumbers, name: str, at: str = "") -> CarNumber:
    (one,) = (one for one in found.numbers if (one.name, one.at) == (name, at))
    return one


def paper(found: CarNumbers, name: str, at: str = "") -> float:
    value = number(found, name, at).on_paper
    assert value is not None
    return value


def test_the_handbook_values_come_out_of_a_car_file() -> None:
    found = numbers(handbook_car(), {})
    # Gillespie, Fundamentals of Vehicle Dynamics [M]: 712.96 lb moved [C].
    moved = paper(found, "load moved at peak g")
    assert moved / POUND_FORCE_N == pytest.approx(712.96, abs=0.01)
    # Moments about the rear contact [M]: 2.70 g [C].
    assert paper(found, "front wheels come up at") == pytest.approx(2.70, abs=0.0005)
    # Milliken and Milliken, Race Car Vehicle Dynamics [M]: 110.5 % and 98 lb/in a wheel [C].
    assert paper(found, "anti-squat") == pytest.approx(110.5, abs=0.05)
    rate = paper(found, "front wheel rate, each side")
    assert rate / LB_PER_IN == pytest.approx(98.0, rel=1e-5)
    assert {number(found, name).known for name in STANDING} == {"measured"}
    assert number(found, "anti-squat").says == "over 100: the rear rises under thrust"


def oscillator() -> Car:
    """300 kg on the front axle at 30 kN/m and 1200 N s/m, off a straight dyno table."""
    corners = {"left_front": 160, "right_front": 160, "left_rear": 200, "right_rear": 200}
    rows = ["speed [m/s], 0 [N], 10 [N]", "0.1, 30, 60", "0.2, 60, 120", "0.4, 120, 240"]
    knob = {
        "id": "rebound", "controls": "rebound", "clicks": 10, "start": 10,
        "count_from": "full soft", "rebound_dyno": rows,
    }  # fmt: skip
    return invented(
        "metric",
        masses={"total": 720, **corners, "front_unsprung": 20, "rear_unsprung": 40},
        geometry={"wheelbase": 2700, "cg_height": 500},
        front={"spring_rate": 15, "motion_ratio": 1.0},
        dampers=[{"corner": f"{side} front", "knobs": [knob]} for side in ("left", "right")],
    )


def test_frequency_and_damping_ratio_of_the_oscillator() -> None:
    # Rao, Mechanical Vibrations [M]; 300 kg, 30 kN/m, 1200 N s/m: 10 rad/s and 0.2 [C].
    found = numbers(oscillator(), {})
    assert 2 * pi * paper(found, "front ride frequency") == pytest.approx(10.0, rel=1e-5)
    # A straight table has no bleed, which the family's bounds leave a trace of: 4 in 100 000.
    assert paper(found, "front rebound", "today") == pytest.approx(0.2, rel=1e-4)
    # The table's soft column is half of it, the knob stands at its firm one.
    assert paper(found, "front rebound", "full hard") == pytest.approx(0.2, rel=1e-4)
    assert paper(found, "front rebound", "full soft") == pytest.approx(0.1, rel=1e-4)
    assert number(found, "front rebound", "today").known == "measured"
    assert number(found, "front compression", "today").measure == ("front damper curve",)


def test_more_than_the_front_carries_is_said() -> None:
    car = handbook_car()
    assert number(numbers(car, {}), "load moved at peak g").says == ""
    strong = car.model_copy(update={"launch": car.launch.model_copy(update={"peak_g": 2.9})})
    said = number(numbers(strong, {}), "load moved at peak g").says
    assert said == "more than the front carries: it lifts"


def test_thrust_beyond_the_grip_moves_no_load() -> None:
    car = handbook_car()
    slick = car.launch.model_copy(update={"peak_g": 2.0, "grip": 1.0})
    found = numbers(car.model_copy(update={"launch": slick}), {})
    assert paper(found, "load moved at peak g") / POUND_FORCE_N == pytest.approx(712.96, abs=0.01)


@pytest.mark.long
@examples(2, 10)
@given(clicks=st.integers(0, 18))
def test_a_firmer_bleed_is_never_less_damped(clicks: int) -> None:
    at = {f"{side} front low-speed compression": float(clicks) for side in ("left", "right")}
    found = numbers(DEMO, {**starts(DEMO), **at})
    soft, today, hard = (
        paper(found, "front compression", word) for word in ("full soft", "today", "full hard")
    )
    assert soft <= today <= hard


@pytest.mark.long
def test_the_landing_is_the_launchs_own() -> None:
    found = demo()
    car = {**typical_cars(DEMO, starts(DEMO), deviates(DEMO, CARS)).paper}
    run = launch_many([car], trace_s=TRACE_S)
    of = {name: float(column[0]) for name, column in run.columns.items()}
    speed = paper(found, "touchdown speed")
    assert speed == pytest.approx(-of["touchdown_axle_vz"], rel=1e-4)
    settle = numbers_of(run, [car])["settle"][0]
    assert paper(found, "nose settled, down the track") == pytest.approx(settle, rel=1e-4)
    assert paper(found, "landing travel there is") == pytest.approx(
        (DEMO.front.bump_travel_m or 0) + (DEMO.front.droop_travel_m or 0)
    )
    # Energy in is energy taken up over the travel it needs (an energy balance, closed form).
    assert run.traces is not None
    place = round(of["touchdown_t"] / TRACE_S)
    behind = car["L"] - car["a"]
    mass = effective_front_mass(car["ms"], car["Iyy"], behind, car["hs"], car["L"])
    energy = landing_energy(
        mass, speed, car["ms"] * car["g"] * behind / car["L"],
        float(thrust_over(run.traces, 0, car)[place]), car["hs"], car["L"],
        paper(found, "landing travel needed"),
    )  # fmt: skip
    assert paper(found, "landing energy") == pytest.approx(energy, rel=0.02)
    assert paper(found, "front mass that lands") == pytest.approx(mass, rel=1e-5)


def test_firmer_compression_needs_less_landing_travel() -> None:
    firmer = starts(DEMO)
    for one in adjusters(DEMO).values():
        if one.axle == "front" and one.controls == "compression":
            firmer[one.id] = one.high
    found = numbers(DEMO, firmer)
    assert paper(found, "landing travel needed") < paper(demo(), "landing travel needed")


def test_metal_before_the_stop_is_said_in_words() -> None:
    low = DEMO.geometry.model_copy(update={"ground_clearance_m": 1.5 * INCH_M})
    found = numbers(DEMO.model_copy(update={"geometry": low}), starts(DEMO))
    one = number(found, "front clearance at full bump")
    assert one.on_paper is not None
    assert one.on_paper < 0.0
    assert one.says == "metal meets the road before the stop"


def test_raising_the_front_leaves_the_clearance_at_full_bump_nearly_alone() -> None:
    """A raised collar gives clearance and bump travel alike; only the tyre's load differs."""
    raised = numbers(DEMO, starts(DEMO) | {"front ride height": 5.0})
    name = "front clearance at full bump"
    assert paper(raised, name) == pytest.approx(paper(demo(), name), abs=0.004)
    more = paper(raised, "landing travel there is") - paper(demo(), "landing travel there is")
    assert more == pytest.approx(0.0, abs=1e-6)


def test_a_number_without_its_measurement_names_it() -> None:
    found = numbers(LEAF, starts(LEAF))
    assert number(found, "load moved at peak g").measure == ("launch.peak_g",)
    for one in found.numbers:
        if one.range is None:
            assert one.measure
            assert one.known == "unknown"
    blind = DEMO.geometry.model_copy(update={"ground_clearance_m": None})
    clearance = number(
        numbers(DEMO.model_copy(update={"geometry": blind}), {}), "front clearance at full bump"
    )
    assert clearance.measure == ("geometry.ground_clearance",)


def test_a_guess_has_a_range_and_says_what_would_narrow_it() -> None:
    one = number(demo(), "front wheels come up at")
    assert (one.known, one.measure) == ("guessed", ("geometry.cg_height",))
    assert one.range is not None
    assert one.range.low is not None
    assert one.range.high is not None
    assert one.on_paper is not None
    assert one.range.low < one.on_paper < one.range.high


def test_a_bare_car_is_told_what_to_measure_for_every_number() -> None:
    found = numbers(invented("us"), {})
    assert found.missing == ("masses.total", "geometry.wheelbase")
    assert all(one.range is None and one.on_paper is None and one.measure for one in found.numbers)
    assert [one.name for one in found.numbers if not one.at] == [
        one.name for one in demo().numbers if not one.at
    ]


def test_a_spring_and_a_ratio_alone_give_the_wheel_rate() -> None:
    found = numbers(invented("us", front={"spring_rate": 200, "motion_ratio": 0.7}), {})
    rate = paper(found, "front wheel rate, each side")
    assert rate / LB_PER_IN == pytest.approx(98.0, rel=1e-5)


def test_a_front_that_stays_down_has_no_landing() -> None:
    mild = DEMO.launch.model_copy(update={"peak_g": 0.5})
    found = numbers(DEMO.model_copy(update={"launch": mild}), starts(DEMO))
    landed = number(found, "touchdown speed")
    assert landed.says == "the front does not come up and land again"
    assert landed.range is None
    assert landed.measure == ()
    assert number(found, "landing energy").range is None
    assert found.lost == {}


def test_an_instant_centre_behind_the_axle_is_said() -> None:
    car = handbook_car()
    behind = car.geometry.model_copy(update={"instant_centre_ahead_m": -1.0})
    found = numbers(car.model_copy(update={"geometry": behind}), {})
    assert paper(found, "anti-squat") == pytest.approx(0.0, abs=1e-9)
    assert number(found, "anti-squat").says == "instant centre behind the axle: taken as none"


@pytest.mark.long
def test_what_passes_showed_chooses_the_cars() -> None:
    seen = (Seen(tuple(sorted(starts(DEMO).items())), (("stand", "small"),)),)
    found = numbers(DEMO, starts(DEMO), seen)
    assert found.passes == 1
    low = number(found, "touchdown speed").range
    wide = number(demo(), "touchdown speed").range
    assert low is not None
    assert wide is not None
    assert low.high < wide.high  # type: ignore[operator]


def test_the_same_question_has_the_same_answer_and_goes_into_json() -> None:
    assert car_numbers(DEMO, starts(DEMO)) == demo()
    told = json.loads(json.dumps(as_dict(demo()), allow_nan=False))
    assert told["format"] == 1
    assert {one["group"] for one in told["numbers"]} == {"standing", "damping", "landing"}
    assert told["cars"] == CARS
