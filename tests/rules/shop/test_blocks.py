"""What the shop finds blocks advice until it is inspected; common practice, no source."""

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.model import Car
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.log.events.sheets import SheetContinued
from rules.shop.fit_items import ITEMS
from tests.support.shop import HEAVY, MASSES, SURVEYED, Hand, dont_know


@pytest.mark.parametrize(
    ("said", "inspection"),
    [
        ({"front spring free": "11.5 in"}, "loose-spring"),
        ({"front spring solid": "7.9 in"}, "contact-marks"),
        ({"front shortest": "12 in"}, "contact-marks"),
        ({"oil pan": "2 in"}, "contact-marks"),
        ({"touch hoses": "yes"}, "contact-marks"),
    ],
)
def test_what_is_loose_or_touches_blocks_advice_until_it_is_ticked(
    said: dict[str, str], inspection: str
) -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, **said})
    hand.finish(TRAVEL_SURVEY)
    assert [one.inspection for one in open_blocks(hand.state, hand.book)] == [inspection]
    assert "Travel survey" in hand.prompt.notice
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_a_touch_blocks_before_the_survey_is_finished() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {"touch hoses": "yes"})
    assert [one.inspection for one in open_blocks(hand.state, hand.book)] == ["contact-marks"]
    while "touch hoses" in filling(TRAVEL_SURVEY, hand.state).answers:
        hand.back(TRAVEL_SURVEY)
    assert open_blocks(hand.state, hand.book) == []


@pytest.mark.parametrize("again", [{**SURVEYED, "touch pan": "no"}, {}])
def test_a_later_survey_lifts_nothing_only_the_inspection_does(again: dict[str, str]) -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "touch pan": "yes"})
    hand.finish(TRAVEL_SURVEY)
    hand.fill(TRAVEL_SURVEY, again)
    hand.finish(TRAVEL_SURVEY)
    assert open_blocks(hand.state, hand.book)
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_a_loose_spring_blocks_from_its_answer_on_and_not_once_that_is_taken_back() -> None:
    hand = Hand(HEAVY)
    said = {**SURVEYED, "front spring free": "11.5 in"}
    while not open_blocks(hand.state, hand.book):
        one = hand.open(TRAVEL_SURVEY)
        assert one is not None
        hand.tell(TRAVEL_SURVEY, said.get(one.key, dont_know(one)))
    assert [one.inspection for one in open_blocks(hand.state, hand.book)] == ["loose-spring"]
    assert hand.open(TRAVEL_SURVEY) is not None
    hand.back(TRAVEL_SURVEY)
    assert open_blocks(hand.state, hand.book) == []


def passing(**marks: str) -> dict[str, str]:
    return {**dict.fromkeys(ITEMS, "pass"), **marks}


def test_a_failed_safety_item_blocks_at_once_and_says_so() -> None:
    hand = Hand(HEAVY)
    hand.tell(FIT_CHECKS, "pass", "pass", "fail")
    assert [one.says for one in open_blocks(hand.state, hand.book)] == [
        "Fit check failed: something binds."
    ]
    assert hand.prompt.notice == "Fit check failed: something binds."


def test_a_knob_out_of_reach_blocks_nothing() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, passing(reach="fail"))
    hand.finish(FIT_CHECKS)
    assert open_blocks(hand.state, hand.book) == []


@pytest.mark.parametrize(("mark", "cleared"), [("pass", True), ("none", False), ("unknown", False)])
def test_a_pass_lifts_it_and_nothing_else_does(mark: str, cleared: bool) -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, passing(hoses="fail"))
    hand.finish(FIT_CHECKS)
    hand.fill(FIT_CHECKS, passing(hoses=mark))
    assert (open_blocks(hand.state, hand.book) == []) is cleared


def test_a_fail_of_a_later_round_blocks_again() -> None:
    hand = Hand(HEAVY)
    hand.tell(FIT_CHECKS, "pass", "pass", "fail", "tight")
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []
    hand.fill(FIT_CHECKS)
    hand.finish(FIT_CHECKS)
    hand.tell(FIT_CHECKS, "pass", "pass", "fail")
    assert len(open_blocks(hand.state, hand.book)) == 1


WEIGHED = {
    **MASSES, "left_front": 371, "right_front": 371, "left_rear": 329, "right_rear": 329,
}  # fmt: skip
SEATED = {
    "masses": WEIGHED,
    "front": {"motion_ratio": 0.8, "bump_travel": 0.09, "droop_travel": 0.07},
}
TRUE = {"kind": "spring", "axle": "front", "name": "True", "rate": "40 N/mm"}
# Statics: 341 kg at 0.8 closes a spring of 40 N/mm by 104.5 mm; droop and bump are 56 and 72 mm
# along it: 300 mm free are 195 mm at ride height, 124 mm at full bump, and 48 mm tight in droop.
FITS = {"free length": "300 mm", "solid length": "110 mm"}
SHORT = {"rate": "80 N/mm", **FITS}
TALL = {**FITS, "solid length": "120 mm"}
CLOSED = {"free length": "150 mm", "solid length": "140 mm", "rate": "7 N/mm"}


@pytest.mark.parametrize(
    ("said", "inspection"),
    [(FITS, []), (SHORT, ["loose-spring"]), (TALL, ["contact-marks"]), (CLOSED, ["contact-marks"])],
)
def test_a_spring_of_the_trailer_blocks_once_it_is_named_as_on_the_car(
    said: dict[str, str], inspection: list[str]
) -> None:
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | SEATED))
    hand.fill(STOCK, {**TRUE, **said, "fitted": "none of them"})
    assert open_blocks(hand.state, hand.book) == []
    hand.back(STOCK)
    hand.fill(STOCK, {"fitted": "True"})
    blocks = open_blocks(hand.state, hand.book)
    assert [one.inspection for one in blocks] == inspection
    assert all(one.says.startswith("True: ") for one in blocks)
    told = any("True is on the car: advice waits" in line for line in hand.result(STOCK).says)
    assert told is bool(inspection)
    hand.finish(STOCK)
    assert [one.inspection for one in open_blocks(hand.state, hand.book)] == inspection
    if inspection:
        hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_an_owned_spring_that_is_loose_blocks_while_another_is_described() -> None:
    """Statics: 4.2 kN close 80 N/mm by 52 mm, and full droop asks 56 mm."""
    loose = {"kind": "spring", "axle": "front", "name": "Loose", "rate": 80_000.0,
             "free_length": 0.3, "solid_length": 0.11}  # fmt: skip
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | SEATED | {"stock": [loose]}))
    hand.fill(STOCK, {**TRUE, **FITS, "fitted": "Loose"})
    (block,) = open_blocks(hand.state, hand.book)
    assert block.inspection == "loose-spring"
    result = hand.result(STOCK)
    assert "Loose is on the car: advice waits until it is put right." in result.says
    assert [one.name for one in result.findings if one.level == "stop"] == [
        "Loose spring at full droop"
    ]


def test_one_spring_of_a_pair_is_not_a_contact() -> None:
    single = {"kind": "spring", "axle": "front", "name": "Single", "rate": 40_000.0, "count": 1,
              "free_length": 0.3, "solid_length": 0.11}  # fmt: skip
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | SEATED | {"stock": [single]}))
    hand.fill(STOCK, {**TRUE, **FITS, "fitted": "Single"})
    assert open_blocks(hand.state, hand.book) == []


LOOSE_SPRING = {
    "kind": "spring", "axle": "front", "name": "Loose", "rate": 80_000.0, "free_length": 0.3,
    "solid_length": 0.11,
}  # fmt: skip
SPRINGS = {
    "id": "front spring", "kind": "spring", "axle": "front", "positions": ["True", "Loose"],
    "start": "True",
}  # fmt: skip


def test_a_loose_spring_blocks_however_it_came_onto_the_car() -> None:
    """Statics: 4.2 kN close 80 N/mm by 52 mm, and full droop asks 56 mm."""
    true = {**LOOSE_SPRING, "name": "True", "rate": 40_000.0}
    owned = {"stock": [true, LOOSE_SPRING], "levers": [SPRINGS]}
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | SEATED | owned))
    assert open_blocks(hand.state, hand.book) == []
    hand.do("recount", adjuster="front spring", found="Loose")
    (block,) = open_blocks(hand.state, hand.book)
    assert block.inspection == "loose-spring"
    assert block.says.startswith("Loose: ")
    hand.do("recount", adjuster="front spring", found="True")
    assert open_blocks(hand.state, hand.book) == []
    hand.do("recount", adjuster="front spring", found="Loose")
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_a_correction_of_another_laptop_does_not_lift_a_failed_check() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, passing())
    hand.finish(FIT_CHECKS)
    hand.tell(FIT_CHECKS, *["pass"] * 2, "fail")
    blocked = [one.says for one in open_blocks(hand.state, hand.book)]
    assert blocked == ["Fit check failed: something binds."]
    theirs = SheetContinued(sheet=FIT_CHECKS.id, round=2, of=1, key="torque")
    hand.record([theirs])
    assert [one.says for one in open_blocks(hand.state, hand.book)] == blocked
