"""One answer of a sheet said again, out of its turn; a finished sheet corrected and completed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.edit.edit_sheet import EDIT
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import correctable, faults, filling, finished, said_again
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.log.folds.fold import fold
from rules.question import AnswerError
from rules.shop.fit_items import ITEMS
from tests.support.sample import examples
from tests.support.shop import HEAVY, SURVEYED, Hand, dont_know

WEIGHED = {
    "driver": "aboard", "fuel": "full", "left front": "380 kg", "right front": "370 kg",
    "left rear": "330 kg", "right rear": "325 kg",
}  # fmt: skip


@pytest.fixture
def weighed() -> Hand:
    hand = Hand(HEAVY)
    hand.fill(SCALES, WEIGHED)
    hand.finish(SCALES)
    return hand


def test_an_early_answer_is_said_again_and_all_later_ones_stay() -> None:
    hand = Hand(HEAVY)
    hand.tell(SCALES, "aboard", "full", "380 kg", "370 kg", "330 kg")
    before = dict(filling(SCALES, hand.state).answers)
    hand.record(said_again(SCALES, hand.state, "left front"))
    one = hand.open(SCALES)
    assert one is not None
    assert one.key == "left front"
    hand.tell(SCALES, "385 kg")
    assert dict(filling(SCALES, hand.state).answers) == {**before, "left front": "385 kg"}
    one = hand.open(SCALES)
    assert one is not None
    assert one.key == "right rear"


def test_backspace_takes_back_what_was_said_last_not_what_stands_last() -> None:
    hand = Hand(HEAVY)
    hand.tell(SCALES, "aboard", "full", "380 kg", "370 kg")
    hand.record(said_again(SCALES, hand.state, "fuel"))
    hand.tell(SCALES, "half")
    hand.back(SCALES)
    one = hand.open(SCALES)
    assert one is not None
    assert one.key == "fuel"


def test_an_odd_value_said_again_is_doubted_again() -> None:
    hand = Hand(HEAVY)
    hand.tell(SCALES, "aboard", "full", "20 kg", "keep")
    hand.record(said_again(SCALES, hand.state, "left front"))
    assert set(filling(SCALES, hand.state).answers) == {"driver", "fuel"}
    hand.tell(SCALES, "21 kg")
    one = hand.open(SCALES)
    assert one is not None
    assert one.key == "left front kept"


def test_what_was_not_answered_cannot_be_said_again(weighed: Hand) -> None:
    with pytest.raises(AnswerError, match="tyre: is not answered here; wanted one of driver"):
        said_again(SCALES, weighed.state, "tyre")


def test_a_finished_sheet_is_corrected_in_a_round_of_its_own(weighed: Hand) -> None:
    weighed.record(said_again(SCALES, weighed.state, "left rear"))
    first, second = weighed.state.sheets[SCALES.id]
    assert first.closed is not None
    assert first.answers["left rear"] == "330 kg"
    assert second.of == 1
    weighed.tell(SCALES, "340 kg")
    assert weighed.open(SCALES) is None
    weighed.finish(SCALES)
    assert fold(weighed.log).sheets == weighed.state.sheets
    last = finished(SCALES, weighed.state)
    assert last is not None
    assert last.answers == {**first.answers, "left rear": "340 kg"}


def test_a_correction_is_not_held_against_what_it_corrects(weighed: Hand) -> None:
    weighed.fill(SCALES, {**WEIGHED, "left rear": "350 kg"})
    weighed.finish(SCALES)
    weighed.record(said_again(SCALES, weighed.state, "left rear"))
    weighed.tell(SCALES, "340 kg")
    moved = {one.name: one.value for one in weighed.result(SCALES).findings}
    assert moved["left rear, change"] == pytest.approx(10)


def test_a_sheet_that_does_something_at_its_end_is_not_gone_on_with() -> None:
    hand = Hand(HEAVY)
    hand.fill(EDIT)
    hand.finish(EDIT)
    with pytest.raises(AnswerError):
        said_again(EDIT, hand.state, "table")


def test_a_choice_that_an_earlier_answer_takes_away_is_asked_again() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Masses", "masses.total", "3000 lb")
    hand.record(said_again(EDIT, hand.state, "table"))
    hand.tell(EDIT, "Geometry")
    one = hand.open(EDIT)
    assert one is not None
    assert one.key == "value"
    assert "geometry.wheelbase" in [choice.id for choice in one.choices]


def test_an_answer_that_no_longer_fits_is_named_and_keeps_the_sheet_open() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front ride"))
    hand.tell(TRAVEL_SURVEY, "14.2 in")
    assert faults(TRAVEL_SURVEY, filling(TRAVEL_SURVEY, hand.state)) == []
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front shortest"))
    with pytest.raises(AnswerError, match="wanted less than full bump"):
        hand.tell(TRAVEL_SURVEY, "13 in")
    hand.tell(TRAVEL_SURVEY, "11 in")
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front height 1"))
    hand.tell(TRAVEL_SURVEY, "-2 in / 14.1 in")
    (first, *_) = faults(TRAVEL_SURVEY, filling(TRAVEL_SURVEY, hand.state))
    assert "wanted shorter with the wheel higher" in first
    while hand.open(TRAVEL_SURVEY) is not None:
        hand.tell(TRAVEL_SURVEY, "keep")
    with pytest.raises(AnswerError, match="wanted shorter"):
        hand.finish(TRAVEL_SURVEY)


def test_a_corrected_survey_blocks_anew_and_what_was_found_before_is_still_inspected() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in"})
    hand.finish(TRAVEL_SURVEY)
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "oil pan"))
    assert open_blocks(hand.state, hand.book) == []
    hand.tell(TRAVEL_SURVEY, "2.1 in")
    assert len(open_blocks(hand.state, hand.book)) == 1
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "oil pan"))
    hand.tell(TRAVEL_SURVEY, "5 in")
    assert len(open_blocks(hand.state, hand.book)) == 1
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_a_correction_that_finds_nothing_new_leaves_what_was_inspected_cleared() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in"})
    hand.finish(TRAVEL_SURVEY)
    hand.say("all ok")
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front spring rate"))
    hand.tell(TRAVEL_SURVEY, "210 lb/in")
    hand.finish(TRAVEL_SURVEY)
    assert open_blocks(hand.state, hand.book) == []


def test_a_second_fault_of_a_round_whose_first_was_inspected_blocks() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in", "touch hoses": "no"})
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "touch hoses"))
    hand.tell(TRAVEL_SURVEY, "yes")
    assert len(open_blocks(hand.state, hand.book)) == 1
    hand.finish(TRAVEL_SURVEY)
    assert len(open_blocks(hand.state, hand.book)) == 1


def test_a_check_that_fails_again_blocks_again_and_one_that_was_cleared_stays_so() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, {**dict.fromkeys(ITEMS, "pass"), "hoses": "fail"})
    hand.say("all ok")
    hand.finish(FIT_CHECKS)
    hand.record(said_again(FIT_CHECKS, hand.state, "bind"))
    hand.tell(FIT_CHECKS, "pass")
    assert open_blocks(hand.state, hand.book) == []
    hand.record(said_again(FIT_CHECKS, hand.state, "hoses"))
    hand.tell(FIT_CHECKS, "pass")
    hand.record(said_again(FIT_CHECKS, hand.state, "hoses"))
    hand.tell(FIT_CHECKS, "fail")
    assert len(open_blocks(hand.state, hand.book)) == 1


def test_typing_a_doubted_value_again_leaves_what_else_blocks() -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != "rear spring rate":
        said = {**SURVEYED, "front spring free": "11.5 in", "rear coil-over": "yes"}
        hand.tell(TRAVEL_SURVEY, said.get(one.key, dont_know(one)))
    blocked = open_blocks(hand.state, hand.book)
    assert blocked
    hand.tell(TRAVEL_SURVEY, "5000 lb/in", "again")
    assert open_blocks(hand.state, hand.book) == blocked


def test_a_correction_of_a_survey_lifts_no_block_only_the_inspection_does() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in"})
    hand.finish(TRAVEL_SURVEY)
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "oil pan"))
    hand.tell(TRAVEL_SURVEY, "5 in")
    hand.finish(TRAVEL_SURVEY)
    assert len(open_blocks(hand.state, hand.book)) == 1


def test_a_failed_check_is_ticked_again_in_a_few_answers() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, {**dict.fromkeys(ITEMS, "pass"), "hoses": "fail"})
    hand.finish(FIT_CHECKS)
    hand.record(said_again(FIT_CHECKS, hand.state, "hoses"))
    assert len(open_blocks(hand.state, hand.book)) == 1
    hand.tell(FIT_CHECKS, "pass")
    assert open_blocks(hand.state, hand.book) == []
    assert hand.open(FIT_CHECKS) is None


@given(data=st.data())
@examples(5, 25)
def test_any_answer_said_again_as_it_was_leaves_the_sheet_as_it_was(data: st.DataObject) -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    if data.draw(st.booleans()):
        hand.finish(TRAVEL_SURVEY)
    now = finished(TRAVEL_SURVEY, hand.state) or filling(TRAVEL_SURVEY, hand.state)
    key = data.draw(st.sampled_from([key for key, _, _ in correctable(TRAVEL_SURVEY, now)]))
    hand.record(said_again(TRAVEL_SURVEY, hand.state, key))
    while (one := hand.open(TRAVEL_SURVEY)) is not None:
        hand.tell(TRAVEL_SURVEY, now.answers.get(one.key, dont_know(one)))
    assert filling(TRAVEL_SURVEY, hand.state).answers == now.answers
