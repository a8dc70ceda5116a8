"""The travel survey's findings. Limits are common practice, no source; the car is invented."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.shop.coil import Coil, coil_findings
from rules.shop.entered import TOUCHES, entered_findings, touch_findings
from rules.shop.findings import Finding, gravest
from rules.shop.ratio import (
    given_ratio,
    measured_ratio,
    ratio_finding,
    wheel_rate_at_ride,
    wheel_rate_finding,
)
from rules.shop.survey import axle_travel, clearance_finding, survey_findings
from rules.shop.surveyed import AxleTravel, CornerSurvey, LowPart, Survey
from rules.shop.travel import Lengths, travel_findings
from rules.units import Quantity
from rules.wording import say

HEIGHTS = [(x, 0.40 - 0.8 * x) for x in (-0.08, -0.04, 0.0, 0.03, 0.06)]
RATIO = measured_ratio(HEIGHTS)
LENGTHS = Lengths(ride=0.40, full_bump=0.352, full_droop=0.464, shortest=0.34, longest=0.48)
COIL = Coil(0.25, free=0.33, solid=0.15, rate=35e3, bump=0.05, droop=0.06)
CORNER = CornerSurvey(LENGTHS, RATIO, RATIO, COIL, carries=2800.0)
FRONT, REAR = AxleTravel(0.06, 0.08, 0.02), AxleTravel(0.09, 0.08, 0.02)


def _by_name(found: tuple[Finding, ...]) -> dict[str, Finding]:
    names = {one.name: one for one in found}
    assert len(names) == len(found)
    return names


def _whole(corner: CornerSurvey = CORNER, clearance: float = 0.15) -> Survey:
    return Survey(
        corners=dict.fromkeys(("left front", "right front", "left rear", "right rear"), corner),
        base=2.74,
        parts=(LowPart("oil pan", clearance, 0.2),),
        at_wheel={"front": AxleTravel(squash=0.02), "rear": AxleTravel(squash=0.02)},
        entered={"survey.toe": 0.001, "survey.pinion_angle": 3.0},
        touches=dict.fromkeys(TOUCHES, False),
    )


def test_the_list_is_always_the_same_and_says_what_is_missing() -> None:
    empty, whole = survey_findings(Survey()), survey_findings(_whole())
    assert {one.level for one in empty} == {"unknown"}
    assert all(one.says.startswith("Not known yet") for one in empty)
    names = [one.name for one in whole]
    assert len(set(names)) == len(names)
    assert [one.name for one in survey_findings(_whole(clearance=0.05))] == names
    assert gravest(one for one in whole if one.level != "unknown") == "ok"


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_text_is_plain_in_either_wording(system: str) -> None:
    bad = replace(CORNER, coil=Coil(0.2, free=0.23, solid=0.16, bump=0.05, droop=0.06))
    for survey in (Survey(), _whole(), _whole(bad, clearance=0.05)):
        for one in survey_findings(survey):
            text = say(one.says, system)  # type: ignore[arg-type]
            assert text.isascii()
            assert not re.search(r"[{}|]|-0 |nan", text)
            assert text.endswith(".")


def test_travel_at_the_wheel_and_the_share_of_bump() -> None:
    found = _by_name(travel_findings("left front", LENGTHS, RATIO))
    assert found["left front bump travel"].value == pytest.approx(0.06)
    assert found["left front droop travel"].value == pytest.approx(0.08)
    assert found["left front bump share"].value == pytest.approx(0.048 / 0.112)
    assert "41 to 45 %" in found["left front bump share"].says
    assert found["left front shaft left at full bump"].value == pytest.approx(0.012)


@given(st.floats(0.001, 0.2), st.floats(0.001, 0.2))
def test_no_share_of_bump_is_ever_failed(bump: float, droop: float) -> None:
    lengths = Lengths(ride=0.4, full_bump=0.4 - bump, full_droop=0.4 + droop)
    share = _by_name(travel_findings("left rear", lengths, None))["left rear bump share"]
    assert share.level == "ok"
    assert " to " in share.says


def test_a_damper_that_is_the_stop() -> None:
    solid = travel_findings("left front", replace(LENGTHS, shortest=0.352), RATIO)
    assert _by_name(solid)["left front shaft left at full bump"].level == "stop"
    close = travel_findings("left front", replace(LENGTHS, shortest=0.349), RATIO)
    assert _by_name(close)["left front shaft left at full bump"].level == "look"
    topped = travel_findings("left front", replace(LENGTHS, longest=0.465), RATIO)
    assert _by_name(topped)["left front shaft left at full droop"].level == "look"


@pytest.mark.parametrize(
    "bad",
    [
        {"full_bump": 0.41}, {"full_droop": 0.39}, {"shortest": 0.36}, {"longest": 0.45},
        {"ride": float("nan")}, {"ride": 0.352}, {"shortest": -0.1},
    ],
)  # fmt: skip
def test_lengths_out_of_order_are_named(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"damper length .*: found .* wanted"):
        replace(LENGTHS, **bad)


@given(st.floats(0.3, 1.1), st.floats(-1.5, 1.5), st.floats(-0.02, 0.02))
def test_a_ratio_comes_back_with_its_change(ratio: float, change: float, place: float) -> None:
    heights = [
        (x, 0.5 - ratio * x - change * x**2 / 2) for x in (-0.08, -0.04, 0.0, 0.03, 0.06, 0.07)
    ]
    found = measured_ratio(heights)
    assert found.at_ride == pytest.approx(ratio, abs=1e-6)
    assert found.bend == pytest.approx(change, abs=1e-4)
    shaft = ratio * place + change * place**2 / 2
    assert found.wheel_travel(shaft) == pytest.approx(place, abs=1e-5)
    assert min(found.local) - 1e-9 <= found.ratio <= max(found.local) + 1e-9


def test_scatter_of_the_tape_is_not_taken_for_a_change() -> None:
    rough = [(x, length + off) for (x, length), off in zip(HEIGHTS, (0, 1e-3, -1e-3, 1e-3, 0))]  # noqa: B905
    found = measured_ratio(rough)
    assert found.change is None
    assert found.error is not None
    assert abs(found.ratio - 0.8) < 2 * found.error
    text = ratio_finding("left front damper ratio", found)
    assert "standard error" in text.says
    assert "as given" in ratio_finding("ratio", given_ratio(0.9)).says


def test_a_changing_ratio_in_words_and_a_rate_that_cannot_carry() -> None:
    falling = measured_ratio([(x, 0.4 - 0.8 * x + 0.5 * x**2) for x, _ in HEIGHTS])
    text = say(ratio_finding("ratio", falling).says, "metric")
    assert "0.800 at ride height, falls by 0.010 per 10 mm into bump" in text
    assert wheel_rate_finding("front wheel rate", -1.0).level == "look"
    assert wheel_rate_at_ride(1e3, falling, 2000.0, 1) == pytest.approx(1e3 * 0.64 - 2000.0)


def test_a_ratio_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="found 4, wanted 5"):
        measured_ratio(HEIGHTS[:4])
    with pytest.raises(ValueError, match="twice"):
        measured_ratio([*HEIGHTS, HEIGHTS[0]])
    with pytest.raises(ValueError, match="shortens"):
        measured_ratio([(x, 0.4 + x) for x, _ in HEIGHTS])
    with pytest.raises(ValueError, match="length at"):
        measured_ratio([*HEIGHTS[:4], (0.06, -0.1)])
    with pytest.raises(ValueError, match="motion ratio"):
        given_ratio(0.0)
    with pytest.raises(ValueError, match="spring force"):
        wheel_rate_at_ride(1.0, RATIO, -1.0)
    with pytest.raises(ValueError, match=r"at ride height .* found -1\.200, wanted .* above 0"):
        measured_ratio([(x, 0.5 - 20 * (x - 0.03) ** 2) for x in (0.04, 0.05, 0.06, 0.07, 0.08)])
    assert ratio_finding("ratio", given_ratio(1.4)).level == "look"


@pytest.mark.parametrize(
    ("solid", "level"),
    [(0.20, "stop"), (0.1937, "stop"), (0.1936, "ok"), (0.15, "ok")],
)
def test_coil_bind(solid: float, level: str) -> None:
    found = _by_name(coil_findings("left front", replace(COIL, solid=solid)))
    assert found["left front coil bind"].level == level


def test_clash_allowance_warns_under_fifteen_per_cent() -> None:
    # 130 mm squeezed at full bump: 19.5 mm is 15 %.
    for margin, level in ((0.0190, "look"), (0.0195, "ok")):
        coil = replace(COIL, solid=0.20 - margin)
        assert _by_name(coil_findings("x", coil))["x clash allowance"].level == level


def test_a_loose_spring_stops() -> None:
    loose = _by_name(coil_findings("right rear", replace(COIL, droop=0.09)))
    spring = loose["right rear spring at full droop"]
    assert spring.level == "stop"
    assert spring.value == pytest.approx(-0.01)
    assert "loose by 10 mm" in say(spring.says, "metric")
    held = _by_name(coil_findings("right rear", COIL))["right rear spring at full droop"]
    assert held.value == pytest.approx(0.02)
    assert "700 N" in say(held.says, "metric")


def test_the_spring_against_the_scales() -> None:
    assert _by_name(coil_findings("x", COIL, 2800.0))["x spring against scales"].level == "ok"
    assert _by_name(coil_findings("x", COIL, 2000.0))["x spring against scales"].level == "look"


@pytest.mark.parametrize(
    "bad", [{"free": 0.24}, {"solid": 0.26}, {"at_ride": 0.0}, {"bump": -0.1}, {"rate": 0.0}]
)
def test_a_coil_that_cannot_be_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"spring .*: found .* wanted"):
        replace(COIL, **bad)


def test_clearance_is_at_metal_solid_with_the_tyres_pressed_in() -> None:
    pan = LowPart("oil pan", 0.10, 0.0)
    at_axle = clearance_finding(pan, 2.74, FRONT, REAR)
    assert at_axle.value == pytest.approx(0.10 - 0.06 - 0.02)
    assert at_axle.level == "ok"
    low = clearance_finding(replace(pan, clearance=0.075), 2.74, FRONT, REAR)
    assert low.level == "stop"
    assert low.value == pytest.approx(-0.005)
    assert "into the road" in low.says
    ahead = clearance_finding(replace(pan, ahead=0.9), 2.74, FRONT, REAR)
    assert ahead.value == pytest.approx(0.10 - 0.08 * (2.74 + 0.9) / 2.74)
    assert "front at full bump" in ahead.says
    behind = clearance_finding(LowPart("bumper", 0.2, -2.74 - 0.9), 2.74, FRONT, REAR)
    assert behind.value == pytest.approx(0.2 - 0.11 * (2.74 + 0.9) / 2.74)
    assert "rear at full bump" in behind.says
    between = clearance_finding(LowPart("crossmember", 0.2, -1.37), 2.74, FRONT, REAR)
    assert between.value == pytest.approx(0.2 - (0.08 + 0.11) / 2)
    assert "both at full bump" in between.says


def test_clearance_says_what_it_leaves_out() -> None:
    bare = clearance_finding(LowPart("pan", 0.1, 0.0), 2.74, AxleTravel(0.06), AxleTravel(0.09))
    assert bare.level == "look"
    assert "front and rear tyres' squash" in bare.says
    only_drooped = clearance_finding(LowPart("valance", 0.12, 0.9), 2.74, FRONT, REAR)
    assert only_drooped.level == "look"
    assert "full droop it would touch" in only_drooped.says
    assert clearance_finding(LowPart("pan", 0.1, 0.0), 2.74, AxleTravel(), REAR).level == "unknown"
    with pytest.raises(ValueError, match="oil pan"):
        LowPart("oil pan", 0.0, 0.0)
    with pytest.raises(ValueError, match="place of oil pan"):
        LowPart("oil pan", 0.1, float("inf"))


def test_the_larger_side_counts_for_clearance() -> None:
    survey = _whole()
    more = replace(CORNER, lengths=replace(LENGTHS, full_bump=0.344))
    both_sides = replace(survey, corners={**survey.corners, "right front": more})
    assert axle_travel(survey, "front").bump == pytest.approx(0.06)
    assert axle_travel(both_sides, "front").bump == pytest.approx(0.07)
    told = Survey(at_wheel={"rear": REAR})
    assert axle_travel(told, "rear") == REAR


def test_wheel_rates_want_both_sides() -> None:
    survey = _whole()
    rate = _by_name(survey_findings(survey))["front wheel rate"]
    assert rate.value == pytest.approx(2 * 35e3 * 0.64)
    assert rate.quantity is Quantity.SPRING_RATE
    one_side = replace(survey, corners={"left front": CORNER})
    assert _by_name(survey_findings(one_side))["front wheel rate"].level == "unknown"


def test_entered_numbers_are_never_a_stop_and_touches_are() -> None:
    values = {
        "survey.front_limiters": 0.005, "survey.toe": -0.003, "survey.pinion_angle": 0.0,
        "survey.axle_square": -0.004, "survey.rollout_difference": 0.03, "survey.bump_steer": -0.01,
    }  # fmt: skip
    found = entered_findings(values)
    assert {one.level for one in found} == {"look", "unknown"}
    assert sum(one.level == "look" for one in found) == len(values)
    with pytest.raises(ValueError, match=r"survey\.colour"):
        entered_findings({"survey.colour": 1.0})
    touched = _by_name(touch_findings({"pan": True, "hoses": False}))
    assert touched[TOUCHES["pan"]].level == "stop"
    assert touched[TOUCHES["hoses"]].level == "ok"
    assert touched[TOUCHES["joints"]].level == "unknown"
    with pytest.raises(ValueError, match="'spoiler'"):
        touch_findings({"spoiler": True})


def test_the_gravest_level_counts() -> None:
    def level(name: str) -> Finding:
        return Finding(name, None, None, name, "")  # type: ignore[arg-type]

    assert gravest([]) == "ok"
    assert gravest([level("ok"), level("unknown")]) == "unknown"
    assert gravest([level("look"), level("unknown")]) == "look"
    assert gravest([level("look"), level("stop")]) == "stop"


def test_a_pan_that_one_axle_alone_puts_on_the_road_is_a_stop_though_the_other_is_unknown() -> None:
    pan = LowPart("oil pan", 0.0635, 0.0)
    found = clearance_finding(pan, 2.7, AxleTravel(bump=0.076, squash=0.025), AxleTravel())
    assert found.level == "stop"
    assert clearance_finding(pan, 2.7, AxleTravel(bump=0.01), AxleTravel()).level == "unknown"
