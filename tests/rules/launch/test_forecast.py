"""What the model expects of a change: signs, steps, what it does not know, and the same again."""

from dataclasses import replace

import pytest

from rules.car.model import Car
from rules.launch.forecast import forecast
from rules.launch.forecast_words import LONGEST, expected_text, measure_words
from rules.launch.proposed_change import Expected, ProposedChange
from rules.wording import say
from tests.support.launch.car_questions import pair, question, shipped_car
from tests.support.once import once

DEMO, LEAF = shipped_car("demo"), shipped_car("leaf-metric")
BIG = question(
    DEMO, pair("rebound"), True, 3, "front-drops-hard", stand="big", front_travel="at-stop"
)
SMALL = question(
    DEMO, pair("high-speed compression"), True, 2, "front-drops-hard",
    stand="small", front_travel="at-stop",
)  # fmt: skip
BARE = Car.parse(
    {"id": "x", "name": "x", "units": "us", "rear_suspension": "other"}
    | {
        "dampers": [
            {"corner": corner, "knobs": [{"id": "rebound", "controls": "rebound", "clicks": 18,
             "count_from": "full soft", "start": 9}]}
            for corner in ("left front", "right front")
        ]
    }
)  # fmt: skip

expected = once(forecast)
"""What the model says to a change, worked out once for all tests."""


def test_firmer_rebound_takes_lift_and_landing_off_a_big_stand() -> None:
    found = expected(BIG)
    assert found.standing == "agrees"
    assert found.goal == "lift"
    lift = found.effect("lift")
    assert lift is not None
    assert 0.25 < lift.before.low < lift.before.high < 0.65
    assert lift.after.middle < lift.before.middle
    assert lift.less > 0.9
    assert lift.more == 0.0
    assert found.fits > 0.9


def test_firmer_compression_saves_travel_and_leaves_the_lift_alone() -> None:
    found = expected(SMALL)
    assert found.standing == "agrees"
    travel, lift = found.effect("landing travel"), found.effect("lift")
    assert travel is not None
    assert lift is not None
    assert travel.less > 0.9
    assert (lift.less, lift.more) == (0.0, 0.0)


@pytest.mark.long
def test_the_same_question_gives_the_same_answer_and_another_seed_another() -> None:
    found = expected(BIG)
    assert forecast(BIG) == found
    assert forecast(BIG, seed=3).effects != found.effects
    assert Expected.model_validate_json(found.model_dump_json()) == found


def test_a_step_is_never_larger_than_the_trades() -> None:
    for asked in (BIG, SMALL):
        assert 1 <= expected(asked).step <= len(asked.steps)


@pytest.mark.long
def test_a_smaller_step_where_it_is_likely_enough() -> None:
    far = question(DEMO, pair("rebound"), True, 9, "front-carries", stand="big", carry="long")
    found = expected(far)
    assert found.enough >= 0.8
    assert found.step < found.trade_step
    assert "Likely enough; trade step 9." in expected_text(found, "us")


def test_danger_keeps_the_trades_step() -> None:
    far = question(DEMO, pair("rebound"), True, 9, "front-carries", stand="big", carry="long")
    found = expected(replace(far, danger=True))
    assert (found.standing, found.step) == ("agrees", 9)
    assert expected(far).step < 9
    assert "The full step, for safety." in expected_text(found, "us")


def test_a_dangerous_fault_that_the_full_step_may_not_cure_is_told_so() -> None:
    found = expected(replace(BIG, danger=True))
    assert found.step == found.trade_step
    assert found.enough < 0.8
    assert "The full step, for safety; it may not be enough." in expected_text(found, "us")


@pytest.mark.long
def test_a_nose_that_thrust_and_spring_hold_up_hardly_feels_the_bleed() -> None:
    asked = question(
        DEMO, pair("low-speed compression"), False, 3, "nose-stays-high", stand="small"
    )
    found = expected(asked)
    assert (found.standing, found.step) == ("small effect", 3)
    text = say(expected_text(found, "us"), "us")
    assert text == (
        "Small effect: thrust and spring hold it up, the bleed 0.3 in of it at most; "
        "the trade's step."
    )
    nose = found.effect("nose at 3 s")
    assert nose is not None
    assert nose.after.middle == pytest.approx(nose.before.middle, abs=0.001)


def test_where_the_model_expects_the_opposite_it_says_so_and_halves_the_step() -> None:
    softer = question(DEMO, pair("rebound"), False, 4, "front-carries", stand="big", carry="long")
    found = expected(softer)
    assert found.standing == "disagrees"
    assert found.step == 2
    assert "Against the rule: half the step." in expected_text(found, "metric")


@pytest.mark.long
def test_what_no_car_of_the_cloud_does_leaves_the_model_unsure() -> None:
    asked = question(DEMO, pair("rebound"), True, 3, "front-carries", stand="none", carry="long")
    found = expected(asked)
    assert (found.standing, found.step) == ("unsure", 3)
    assert expected_text(found, "us").startswith("Unsure: hardly any such car does")


@pytest.mark.parametrize(
    "asked",
    [
        question(LEAF, ("traction device preload",), True, 1, "spins-at-hit"),
        question(DEMO, pair("rebound"), True, 3, "rolls-to-one-side"),
    ],
    ids=["lever", "symptom"],
)
def test_what_is_not_modelled_keeps_the_trades_step(asked: ProposedChange) -> None:
    found = expected(asked)
    assert (found.standing, found.step) == ("not modelled", len(asked.steps))
    assert not found.effects


def test_a_name_alone_is_told_what_to_measure_first() -> None:
    found = expected(question(BARE, pair("rebound"), True, 3, "front-drops-hard", stand="big"))
    assert (found.standing, found.step) == ("too little known", 3)
    assert found.measure_first[:2] == ("masses.total", "geometry.wheelbase")
    assert {"launch.peak_g", "geometry.cg_height"} <= set(found.measure_first)
    text = expected_text(found, "us")
    assert "Measure first: total mass, wheelbase" in text


@pytest.mark.sweep
def test_what_was_measured_is_not_asked_for_again() -> None:
    asked = question(LEAF, pair("rebound"), True, 3, "front-drops-hard", stand="big")
    first = expected(asked).measure_first
    assert first[0] == "launch.peak_g"
    assert "geometry.wheelbase" not in first
    known = LEAF.model_copy(update={"launch": DEMO.launch})
    assert expected(replace(asked, car=known)).measure_first[0] != "launch.peak_g"


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_words_are_short_and_say_what_is_not_in_the_model(system: str) -> None:
    text = expected_text(expected(SMALL), "us" if system == "us" else "metric")
    assert len(text) <= LONGEST
    assert text.startswith("Front lands using ")
    assert " instead of " in text
    assert text.endswith("Not in it: slip, torque, roll.")
    assert (" mm" if system == "metric" else " in ") in text


def test_a_key_is_said_in_words() -> None:
    assert measure_words("front.spring_rate") == "front spring rate"
    assert measure_words("geometry.wheelbase") == "wheelbase"
