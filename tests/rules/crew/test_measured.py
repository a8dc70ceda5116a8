"""A phone, an O-ring and a tape: from what was read to a number with its spread, in the log."""

from math import cos, hypot, inf, nan, radians
from typing import Any

import pytest

from rules.car.body import Axle
from rules.crew.actions import Measure
from rules.crew.forms import FORMS
from rules.crew.measured import KINDS, band_of, hinted, question, still_asked, told
from rules.log.events.event import BODY
from rules.log.events.passes import Measured
from rules.log.noted import Measurement
from rules.question import ActionError, Prompt
from tests.support.crew import Crew, invented_car

FRONT = {"tyre_diameter": 0.66, "motion_ratio": 0.9, "bump_travel": 0.075}


def crew(units: str = "metric", **front: Any) -> Crew:
    """Return a crew that is talking about its first pass."""
    axle = Axle.model_validate(FRONT | front)
    one = Crew(invented_car().model_copy(update={"front": axle, "units": units}))
    one.say(["front-drops-hard"])
    return one


def measure(one: Crew, what: str, inputs: dict[str, float]) -> Measurement:
    one.do("measure", what=what, inputs=inputs)
    return one.run.measured[what]  # type: ignore[index]


def test_a_picture_gives_the_lift() -> None:
    found = measure(crew(), "lift", {"tyre px": 132, "gap": 80})
    assert found.value == pytest.approx(0.40)
    assert found.give == pytest.approx(0.005 * 2 * (1 + 80 / 132))
    assert found.inputs == {"tyre": 0.66, "tyre px": 132, "gap": 80}


def test_a_film_gives_time_and_speed() -> None:
    one = crew()
    air = measure(one, "airborne", {"frames": 48, "rate": 60})
    assert (air.value, air.give) == pytest.approx((0.8, 1 / 60))
    down = measure(
        one,
        "touchdown",
        {"tyre px": 132, "earlier gap": 40, "last gap": 10, "frames": 5, "rate": 60},
    )
    assert down.value == pytest.approx(30 * 0.005 * 60 / 5)
    edges = hypot(0.01 * (1 + 40 / 132), 0.01 * (1 + 10 / 132))
    assert down.give == pytest.approx(edges * 60 / 5)


def test_a_ring_is_brought_to_the_wheel() -> None:
    found = measure(crew(damper_angle=20), "front ring", {"ring": 54})
    ratio = 0.9 * cos(radians(20))
    assert (found.value, found.give) == pytest.approx((0.054 / ratio, 0.001 / ratio))


def test_a_scrape_is_a_least_drop() -> None:
    one = crew()
    found = measure(one, "scrape", {"clearance": 110, "depth": 2})
    assert found.value == pytest.approx(0.112)
    assert one.state.car is not None
    assert told(found, one.state.car) == "at least 112 mm, give or take 2"
    assert "report it" in KINDS["scrape"].hint


@pytest.mark.parametrize(
    ("units", "gap", "band"),
    [
        ("metric", 20, "under {12 in|0.3 m}"),
        ("metric", 60, "under {12 in|0.3 m} or {12 to 24 in|0.3 to 0.6 m}"),
        ("metric", 80, "{12 to 24 in|0.3 to 0.6 m}"),
        ("metric", 140, "over {24 in|0.6 m}"),
        ("us", 130, "over {24 in|0.6 m}"),
        ("us", 119, "{12 to 24 in|0.3 to 0.6 m} or over {24 in|0.6 m}"),
    ],
)
def test_the_band_of_a_lift(units: str, gap: float, band: str) -> None:
    one = crew(units)
    assert one.state.car is not None
    found = measure(one, "lift", {"tyre px": 132, "gap": gap})
    assert band_of(found, one.state.car) == band


@pytest.mark.parametrize(
    ("ring", "band"),
    [(20, "short of the stop"), (67, "at the stop or just short"), (72, "at the stop")],
)
def test_the_band_of_a_ring(ring: float, band: str) -> None:
    one = crew()
    assert one.state.car is not None
    assert band_of(measure(one, "front ring", {"ring": ring}), one.state.car) == band


def test_a_ring_without_known_travel_has_no_band() -> None:
    one = crew(bump_travel=None)
    assert one.state.car is not None
    assert band_of(measure(one, "front ring", {"ring": 20}), one.state.car) == ""


def test_the_question_it_answers_shows_it_and_the_crew_still_answers() -> None:
    one = crew()
    one.say(["nothing"])
    assert one.prompt.id == "stand"
    assert hinted(one.prompt, one.state) == one.prompt
    measure(one, "lift", {"tyre px": 132, "gap": 80})
    asked = hinted(one.prompt, one.state)
    assert asked.hint == "Measured: 400 mm, give or take 16: {12 to 24 in|0.3 to 0.6 m}."
    assert asked.choices == one.prompt.choices
    assert "stand" not in one.run.answers
    one.say("big")
    assert hinted(one.prompt, one.state) == one.prompt


def test_measured_again_is_the_latest_and_both_stay_in_the_log() -> None:
    one = crew()
    measure(one, "airborne", {"frames": 48, "rate": 60})
    assert measure(one, "airborne", {"frames": 54, "rate": 60}).value == pytest.approx(0.9)
    assert [e.body.kind for e in one.log].count("measured") == 2


def test_a_measurement_comes_out_of_the_log_as_it_went_in() -> None:
    found = measure(crew(), "lift", {"tyre px": 132, "gap": 80})
    body = Measured(run="r", **vars(found))
    again = BODY.validate_json(BODY.dump_json(body))
    assert again == body
    assert Measurement.of(again) == found


def test_what_the_car_file_says_is_not_asked() -> None:
    one = crew()
    assert one.state.car is not None
    assert still_asked(KINDS["lift"], one.state.car) == ["tyre px", "gap"]
    bare = crew(tyre_diameter=None, motion_ratio=None).state.car
    assert bare is not None
    assert still_asked(KINDS["lift"], bare) == ["tyre", "tyre px", "gap"]
    assert still_asked(KINDS["front ring"], bare) == ["ring", "ratio", "braked"]


@pytest.mark.parametrize("what", list(KINDS))
@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_form_asks_its_way_to_the_action(what: str, units: str) -> None:
    one = crew(units, tyre_diameter=None, motion_ratio=None)
    filled: dict[str, Any] = {}
    step = FORMS["measure"](one.state, one.book, filled)
    answers: dict[str, Any] = {
        "what": what,
        "last gap": 2.0,
        "earlier gap": 20.0,
        "frames": 6.0,
        "depth": 0.0,
    }
    answers["braked"] = "no"
    while isinstance(step, Prompt):
        value = answers.get(step.id, step.low + (step.high - step.low) * 0.1)
        filled[step.id] = value
        step = FORMS["measure"](one.state, one.book, filled)
    assert isinstance(step, Measure)
    one.do("measure", what=step.what, inputs=step.inputs)
    assert one.run.measured[step.what].value > 0.0


@pytest.mark.parametrize(
    ("what", "inputs", "said"),
    [
        ("lift", {"tyre px": 132}, "gap: missing"),
        ("lift", {"tyre px": 132, "gap": 80, "moon": 1}, "found 'moon', wanted tyre"),
        ("lift", {"tyre px": 5, "gap": 80}, "tyre px: found 5, wanted 10 to 10000 pixels"),
        ("lift", {"tyre px": nan, "gap": 80}, "tyre px: found nan"),
        ("lift", {"tyre px": inf, "gap": 80}, "tyre px: found inf"),
        ("airborne", {"frames": 4.5, "rate": 60}, "frames: found 4.5, wanted a whole number"),
        ("airborne", {"frames": inf, "rate": 60}, "frames: found inf"),
        (
            "touchdown",
            {"tyre px": 132, "earlier gap": 10, "last gap": 40, "frames": 5, "rate": 60},
            "not falling",
        ),
    ],
)
def test_a_reading_that_is_none(what: str, inputs: dict[str, float], said: str) -> None:
    one = crew()
    before = len(one.log)
    with pytest.raises(ActionError, match=said):
        one.do("measure", what=what, inputs=inputs)
    assert len(one.log) == before


def test_before_the_first_pass_there_is_nothing_to_measure() -> None:
    one = Crew()
    with pytest.raises(ActionError, match="no pass is in the log"):
        one.do("measure", what="airborne", inputs={"frames": 4, "rate": 60})
    step = FORMS["measure"](one.state, one.book, {})
    assert isinstance(step, Prompt)
    assert step.choices == ()


def test_bounds_are_in_the_crews_unit() -> None:
    asked = question(KINDS["front ring"], "ring", "us")
    assert asked.unit == "in"
    assert asked.high == pytest.approx(0.5 / 0.0254, rel=1e-3)
