"""What the launch does not hold is said, and what it says agrees with the rule beside it."""

import pytest

from rules.book import shipped
from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
from rules.launch.forecast import forecast
from rules.launch.forecast_words import LONGEST, expected_text
from rules.launch.goals import held_by_bleed
from rules.wording import say
from tests.support.launch.car_questions import pair, question, shipped_car

DEMO = shipped_car("demo")


@pytest.mark.parametrize(
    ("lever", "axle"), [("high-speed compression", "front"), ("rebound", "rear")]
)
def test_a_gear_change_is_not_in_it_and_never_hardly_felt(lever: str, axle: str) -> None:
    """Half thrust for 0.15 s at 1.3 s moves what a launch without it cannot show."""
    asked = question(
        DEMO, pair(lever, axle), True, 1, "unloads-at-gear-change", gear_change="nose-drop"
    )
    found = forecast(asked)
    assert found.standing == "not modelled"
    assert expected_text(found, "us") == "No say: the launch it runs holds no gear change."


def test_the_bleed_holds_f0_over_k() -> None:
    """900 N over 38 kN/m of reference case 01 is 23.7 mm, by hand."""
    car = {"damper": {"front": {"comp": {"kb": 6e5, "F0": 900.0, "chs": 3500.0}}}, "kf": 38e3}
    assert held_by_bleed([car]) == pytest.approx(0.0237, abs=1e-4)


def test_the_nose_story_says_one_thing_on_one_screen() -> None:
    """Thrust and spring hold most of a nose that stays high; the bleed about a centimetre."""
    asked = question(
        DEMO, pair("low-speed compression"), False, 3, "nose-stays-high", on_lift="sinks"
    )
    found = forecast(asked)
    cars = typical_cars(DEMO, asked.settings, deviates(DEMO, 64, SEED)).cars
    assert 0.006 < held_by_bleed(cars[:1]) < 0.0115
    text = say(expected_text(found, "metric"), "metric")
    cause = shipped().rules["nose-high-low-speed-softer"].cause
    assert "holds the nose up" not in cause
    if found.standing == "small effect":
        assert "thrust and spring hold it up, the bleed" in text
        assert "thrust and spring hold the rest" in cause
        assert " mm of it at most" in text
        assert len(text) <= LONGEST
    assert found.standing in ("small effect", "agrees")
