"""The survey's two sides, its rows of heights and its labels. The car is invented."""

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.sheet import AGAIN, KEEP, KEPT
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.question import AnswerError
from rules.shop.coil import Coil
from rules.shop.findings import Finding
from rules.shop.ratio import measured_ratio
from rules.shop.sides import side_findings
from rules.shop.surveyed import CornerSurvey
from rules.shop.travel import Lengths
from rules.units import INCH_M, System
from rules.wording import say
from tests.support.crew import invented_car
from tests.support.sample import sampled
from tests.support.shop import HEAVY, RIGHT, SURVEYED, Hand, dont_know, edits_of

WIDEST_LABEL = 38
BOTH_SIDES = {**SURVEYED, **RIGHT, "front alike": "no"}


def found(said: dict[str, str]) -> dict[str, Finding]:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, said)
    return {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}


def test_the_right_side_costs_one_key_where_it_is_as_the_left() -> None:
    hand = Hand(HEAVY)
    assert hand.fill(TRAVEL_SURVEY, SURVEYED) == 2 * 17 + 5 + 7 + 8
    names = {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}
    assert names["right front coil bind"].level == "ok"
    assert "not measured" in names["front sides"].says
    assert names["rear sides"].level == "unknown"


def test_enter_alone_takes_the_right_as_the_left() -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != "front alike":
        hand.tell(TRAVEL_SURVEY, dont_know(one))
    assert one is not None
    assert one.default == "yes"
    assert [choice.label for choice in one.choices] == ["As on the left", "Measure it too"]


def test_sides_that_are_alike_are_said_to_be() -> None:
    names = found(BOTH_SIDES)
    assert names["front sides"].level == "ok"
    assert say(names["front sides"].says, "us") == "Alike within 1/8 in and 5 %."


def test_a_right_side_of_which_nothing_is_known_is_not_called_alike() -> None:
    alone = {key: value for key, value in BOTH_SIDES.items() if "right" not in key}
    one = found(alone)["front sides"]
    assert one.level == "unknown"
    assert one.says == "Nothing of the right side is known yet."


def test_the_left_ratio_on_the_right_is_not_compared_with_itself() -> None:
    left = side(0.3, 0.8, 3e4)
    assert left.damper_ratio is not None
    copied = replace(left.damper_ratio, error=None)
    only = CornerSurvey(damper_ratio=copied, spring_ratio=copied)
    (finding,) = side_findings("rear", left, only)
    assert finding.level == "unknown"


def test_a_length_that_differs_is_named_with_both_values() -> None:
    names = found({**BOTH_SIDES, "right front ride": "14.25 in"})
    apart = names["front sides, damper at ride height"]
    assert apart.level == "look"
    assert apart.value == pytest.approx(0.25 * INCH_M)
    assert "Left 14 in, right 14.25 in" in say(apart.says, "us")
    assert "front sides" not in names


def test_the_car_file_takes_the_mean_ratio_and_rate_and_the_travel_both_have() -> None:
    """By hand: ratios 0.8 and 0.6 are 0.7; 2 in of shaft are 2.5 in and 3.33 in at the wheel."""
    rows = {f"right front height {n}": f"{n - 3} in / {14 - 0.6 * (n - 3)} in" for n in range(1, 6)}
    said = {**BOTH_SIDES, **rows, "right front spring rate": "220 lb/in"}
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, said)
    edits = edits_of(hand, TRAVEL_SURVEY)
    assert edits["front.motion_ratio"] == pytest.approx(0.7)
    assert edits["front.bump_travel"] == pytest.approx(2 / 0.8 * INCH_M)
    assert edits["front.droop_travel"] == pytest.approx(2 / 0.8 * INCH_M)
    rate = edits["front.spring_rate"]
    assert isinstance(rate, float)
    assert rate == pytest.approx(210 * 175.1268, rel=1e-6)
    names = found(said)
    assert {"front sides, damper ratio", "front sides, spring rate"} <= set(names)


def test_a_right_side_without_heights_takes_the_left_ratio_as_given() -> None:
    """By hand: 2 in of shaft at 0.8 are 2.5 in at the wheel."""
    said = {key: value for key, value in BOTH_SIDES.items() if "right front height" not in key}
    names = found(said)
    assert "as given" in names["right front damper ratio"].says
    assert names["right front bump travel"].value == pytest.approx(2 / 0.8 * INCH_M)


def test_a_right_spring_that_is_loose_blocks_by_its_corner() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**BOTH_SIDES, "right front spring free": "11.5 in"})
    (block,) = open_blocks(hand.state, hand.book)
    assert block.inspection == "loose-spring"
    assert "right front" in block.says


def test_lengths_of_the_right_are_held_against_the_right() -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != "right front full bump":
        hand.tell(TRAVEL_SURVEY, BOTH_SIDES.get(one.key, dont_know(one)))
    with pytest.raises(AnswerError, match="Right front damper at full bump: found 15 in; wanted"):
        hand.tell(TRAVEL_SURVEY, "15 in")


LENGTH = st.floats(0.30, 0.32)
RATIO = st.floats(0.5, 1.0)


def side(ride: float, ratio: float, rate: float) -> CornerSurvey:
    measured = measured_ratio([(x, 0.4 - ratio * x) for x in (-0.08, -0.04, 0.0, 0.03, 0.06)])
    lengths = Lengths(ride, full_bump=ride - 0.05, full_droop=ride + 0.05)
    return CornerSurvey(lengths, measured, measured, Coil(0.25, free=0.33, rate=rate))


@given(st.tuples(LENGTH, RATIO, st.floats(2e4, 5e4)), st.tuples(LENGTH, RATIO, st.floats(2e4, 5e4)))
def test_the_order_of_the_sides_does_not_matter(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    there = side_findings("front", side(*one), side(*other))
    back = side_findings("front", side(*other), side(*one))
    assert [(each.name, each.level) for each in there] == [(each.name, each.level) for each in back]
    for each, again in zip(there, back, strict=True):
        assert (each.value or 0.0) == pytest.approx(-(again.value or 0.0))


@pytest.mark.parametrize(
    ("apart", "level"), [(INCH_M / 8, "ok"), (INCH_M / 8 + 1e-4, "look"), (-0.004, "look")]
)
def test_an_eighth_of_an_inch_is_alike(apart: float, level: str) -> None:
    left = side(0.3, 0.8, 3e4)
    assert left.lengths is not None
    right = replace(left, lengths=replace(left.lengths, ride=0.3 + apart))
    assert side_findings("rear", left, right)[0].level == level


@pytest.mark.parametrize(("share", "level"), [(1.05, "ok"), (1.06, "look"), (0.94, "look")])
def test_five_per_cent_of_a_rate_is_alike(share: float, level: str) -> None:
    (finding,) = side_findings("rear", side(0.3, 0.8, 3e4), side(0.3, 0.8, share * 3e4))
    assert finding.level == level


def typed_rows(hand: Hand, *rows: str) -> None:
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != "front height 1":
        hand.tell(TRAVEL_SURVEY, SURVEYED.get(one.key, dont_know(one)))
    hand.tell(TRAVEL_SURVEY, *rows)


def test_a_slip_in_a_row_is_seen_at_once_and_kept_once() -> None:
    """By hand: 15.6, 14.8 and 14.3 in at -2, -1 and 0 in: 0.80, then 0.50 for 1 of wheel."""
    hand = Hand(HEAVY)
    typed_rows(hand, "-2 in / 15.6 in", "-1 in / 14.8 in", "0 in / 14.3 in")
    doubt = hand.open(TRAVEL_SURVEY)
    assert doubt is not None
    assert doubt.key == f"front height 3{KEPT}"
    assert doubt.question == "Keep 0 in / 14.3 in?"
    assert "0.50 for 1 of wheel" in doubt.hint
    assert "0.80" in doubt.hint
    hand.tell(TRAVEL_SURVEY, AGAIN, "0 in / 14.0 in")
    after = hand.open(TRAVEL_SURVEY)
    assert after is not None
    assert after.key == "front height 4"
    hand.tell(TRAVEL_SURVEY, "1 in / 12.0 in", KEEP)
    last = hand.open(TRAVEL_SURVEY)
    assert last is not None
    assert last.key == "front height 5"
    assert filling(TRAVEL_SURVEY, hand.state).said("front height 4") == "1 in / 12.0 in"


@pytest.mark.parametrize("third", ["0 in / 13.77 in", "0 in / 14.23 in"])
def test_a_row_within_thirty_per_cent_is_not_doubted(third: str) -> None:
    """By hand: slopes of 1.03 and 0.57 against 0.80 are 29 % off."""
    hand = Hand(HEAVY)
    typed_rows(hand, "-2 in / 15.6 in", "-1 in / 14.8 in", third)
    one = hand.open(TRAVEL_SURVEY)
    assert one is not None
    assert one.key == "front height 4"


def test_the_slope_is_of_the_rows_that_were_given() -> None:
    hand = Hand(HEAVY)
    typed_rows(hand, "unknown", "-1 in / 14.8 in", "0 in / 14 in", "1 in / 12 in")
    doubt = hand.open(TRAVEL_SURVEY)
    assert doubt is not None
    assert doubt.key == f"front height 4{KEPT}"


def test_a_spring_off_the_damper_is_doubted_by_its_own_lengths() -> None:
    hand = Hand(HEAVY)
    first = "front height 1 with spring"
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != first:
        said = {**SURVEYED, "front coil-over": "no"}
        hand.tell(TRAVEL_SURVEY, said.get(one.key, dont_know(one)))
    hand.tell(TRAVEL_SURVEY, "-2 in / 15.6 in / 11 in", "-1 in / 14.8 in / 10.5 in")
    hand.tell(TRAVEL_SURVEY, "0 in / 14 in / 9.6 in")
    doubt = hand.open(TRAVEL_SURVEY)
    assert doubt is not None
    assert "the spring moves 0.90 for 1 of wheel" in doubt.hint


ODD = {
    "oil pan": "20 in", "oil pan ahead": "-9 ft", "front part": "20 in",
    "front part ahead": "-1 ft", "middle part": "20 in", "middle part ahead": "1 ft",
    "rear part": "20 in", "rear part ahead": "1 ft", "front spring rate": "20 lb/in",
    "rear spring rate": "20 lb/in", "right front spring rate": "20 lb/in",
    "right rear spring rate": "20 lb/in", "front height 3": "0 in / 14.3 in",
    "right front height 3": "0 in / 14.3 in", "rear alike": "no",
}  # fmt: skip


@pytest.mark.parametrize("system", sampled(zip(get_args(System)), 2))
def test_every_label_fits_its_column(system: System) -> None:
    hand = Hand(invented_car(units=system))
    said = {**BOTH_SIDES, **ODD}
    labels: dict[str, str] = {}
    while (one := hand.open(TRAVEL_SURVEY)) is not None:
        labels[one.key] = say(one.label, system)
        value = KEEP if one.key.endswith(KEPT) else said.get(one.key, dont_know(one))
        hand.tell(TRAVEL_SURVEY, value)
    assert sum(key.endswith(KEPT) for key in labels) == 14
    assert {key: label for key, label in labels.items() if len(label) > WIDEST_LABEL} == {}
    assert len(set(labels.values())) == len(labels)
