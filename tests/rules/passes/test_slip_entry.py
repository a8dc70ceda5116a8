"""A slip typed with digits alone: where the point goes, what advances, what is asked back."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.passes.slip import Slip, questions
from rules.passes.slip_entry import (
    BY_KEY,
    FIELDS,
    RECORD,
    Entry,
    answered,
    asked_text,
    begun,
    gone_back,
    numbers,
    prompt_of,
    slip_of,
    told,
)
from rules.question import UNKNOWN, AnswerError, check
from tests.support.slip_keys import press

WHOLE = ("0512", "1432", "4213", "6512", "10456", "8521", "10234", "13245")


def typed(*texts: str, entry: Entry | None = None) -> Entry:
    """Press every digit; "enter" and "backspace" are keys of their own."""
    now = entry or begun("us")
    for text in texts:
        for key in [text] if text in ("enter", "backspace", "up", "down") else text:
            now = press(now, key)
    return now


def test_a_whole_slip_advances_by_its_own_digits() -> None:
    entry = typed(*WHOLE)
    assert entry.on_marks
    assert sum(map(len, WHOLE)) == 35
    assert numbers(entry) == {
        "reaction_s": 0.512,
        "sixty_s": 1.432,
        "three_thirty_s": 4.213,
        "eighth_s": 6.512,
        "eighth_speed_m_s": 104.56,
        "thousand_s": 8.521,
        "quarter_s": 10.234,
        "quarter_speed_m_s": 132.45,
    }
    assert typed("enter", entry=entry).sent


def test_speeds_are_stored_in_metres_a_second() -> None:
    # NIST SP 811, appendix B.8: 1 mi/h = 0.44704 m/s, 1 km/h = 0.2777778 m/s.
    assert abs((slip_of(typed(*WHOLE)).eighth_speed_m_s or 0) - 104.56 * 0.44704) < 1e-9
    metric = typed(*WHOLE[:4], "16827", entry=begun("metric"))
    assert abs((slip_of(metric).eighth_speed_m_s or 0) - 168.27 * 0.2777778) < 1e-4


def test_what_is_not_on_the_slip_is_left_out_with_enter() -> None:
    entry = typed("enter", "1432", "enter", "enter", "enter", "enter", "enter", "enter")
    assert entry.on_marks
    assert slip_of(entry) == Slip(sixty_s=1.432)


def test_a_slipped_decimal_is_asked_back_and_the_offer_taken() -> None:
    entry = typed("enter", "11.4", "enter")
    assert entry.question is not None
    assert asked_text(entry.question, "us") == (
        "60 ft 11.400 looks like a slipped decimal. t: it is 1.140, Backspace: again."
    )
    taken = typed("t", entry=entry)
    assert taken.question is None
    assert taken.at == 2
    assert slip_of(taken).sixty_s == 1.14
    again = typed("backspace", entry=entry)
    assert again.at == 1
    assert again.typed["sixty_s"] == ""


def test_an_impossible_value_cannot_be_kept_and_an_unusual_one_can() -> None:
    asked = typed("enter", "0", "enter")
    assert asked.question is not None
    assert asked.question.impossible
    assert typed("k", entry=asked).question is not None
    slow = typed("enter", "3900")
    assert slow.question is not None
    assert "k: 3.900 is right" in asked_text(slow.question, "us")
    kept = typed("k", entry=slow)
    assert kept.at == 2
    assert slip_of(kept).sixty_s == 3.9
    assert typed("4600", "enter", entry=kept).question is None


def test_times_out_of_order_are_asked_at_once() -> None:
    entry = typed("enter", "1432", "4213", "4100")
    assert entry.question is not None
    assert entry.at == 4
    assert entry.question.impossible


def test_two_swapped_times_change_places() -> None:
    entry = typed("enter", "1432", "4213", "6900", "enter", "6512", "enter")
    assert entry.question is not None
    told = asked_text(entry.question, "us")
    assert "swapped? t: it is " in told
    assert len({len(one.partition(".")[2]) for one in re.findall(r"\d+\.\d+", told)}) == 1
    taken = typed("t", entry=entry)
    assert (slip_of(taken).eighth_s, slip_of(taken).thousand_s) == (6.512, 6.9)
    assert taken.question is None


def test_a_speed_is_asked_in_the_crews_own_unit() -> None:
    entry = typed(*["enter"] * 4, "995", "enter")
    assert entry.question is not None
    assert "t: it is 99.50" in asked_text(entry.question, "us")


def test_backspace_goes_back_and_a_full_number_starts_over() -> None:
    entry = typed("0512", "1432", "backspace")
    assert entry.at == 1
    assert entry.typed["sixty_s"] == "1432"
    assert typed("1", entry=entry).typed["sixty_s"] == "1"
    assert typed("backspace", entry=entry).typed["sixty_s"] == "143"
    assert typed("backspace").at == 0


def test_a_red_light_has_a_reaction_below_zero() -> None:
    entry = typed("-0012", "1432")
    assert slip_of(entry).reaction_s == -0.012
    assert typed("1-").typed["reaction_s"] == "1"
    assert typed("enter", "-").typed.get("sixty_s", "") == ""


def test_marks_lane_and_dial_in() -> None:
    entry = typed(*WHOLE, "1", "4", "5", "6", "7", "1025", "enter")
    slip = slip_of(entry)
    assert entry.sent
    assert slip.marks == {"lifted", "red light"}
    assert slip.lane == "right"
    assert slip.dial_in_s == 10.25
    assert typed("1", "6", entry=typed(*WHOLE, "1", "6")).marks == ()


def test_nothing_typed_is_not_sent() -> None:
    entry = typed(*["enter"] * 9)
    assert not entry.sent
    with pytest.raises(AnswerError, match="nothing was typed"):
        answered(entry, RECORD)
    assert typed("2", "enter", entry=entry).sent


def test_what_a_later_number_makes_strange_is_asked_before_it_is_sent() -> None:
    entry = typed(*WHOLE, "up", *["up"] * 4, "7900", *["enter"] * 3, "enter")
    assert not entry.sent
    assert entry.question is not None
    again = typed("enter", "enter", entry=entry)
    assert again.field.key == entry.question.field


def test_a_slip_of_the_log_is_where_an_edit_starts() -> None:
    slip = Slip(sixty_s=1.432, eighth_speed_m_s=46.0, marks=frozenset({"spun"}), lane="left")
    entry = begun("us", slip)
    assert entry.typed["sixty_s"] == "1432"
    assert entry.marks == ("spun",)
    again = slip_of(entry)
    assert again.sixty_s == 1.432
    assert abs((again.eighth_speed_m_s or 0) - 46.0) < 0.005
    assert told(slip, "us") == "60 ft 1.432 s, Eighth speed 102.90 mph, left lane, spun"


@given(st.lists(st.sampled_from([*"0123456789.-tkls", "enter", "backspace", "up", "down"])))
def test_no_keys_break_it_and_nothing_impossible_is_sent(keys: list[str]) -> None:
    entry = begun("us")
    for key in keys:
        entry = press(entry, key)
        if entry.sent:
            assert not any(one.impossible for one in questions(slip_of(entry)))
            return
        assert 0 <= entry.at <= len(FIELDS)


def test_every_field_is_a_question_that_one_check_answers() -> None:
    """A line of digits, a number, a comma and an answer left out come to what they say."""
    entry = begun("us")
    for one in FIELDS:
        prompt = prompt_of(entry)
        assert (prompt.id, prompt.kind) == (one.of.name, "number")
        assert check(prompt, "1432") == pytest.approx(1432 / 10**one.of.digits.decimals)
        assert check(prompt, 1.432) == 1.432
        assert check(prompt, "1,43") == 1.43
        assert check(prompt, "") == check(prompt, UNKNOWN) == UNKNOWN
        with pytest.raises(AnswerError, match=f"{one.of.name}: found 'fast'; wanted"):
            check(prompt, "fast")
        entry = answered(entry, UNKNOWN)
    assert prompt_of(entry).id == "marks"
    assert numbers(answered(begun("us"), 0.512)) == {"reaction_s": 0.512}


def test_the_way_back_opens_each_question_with_what_stood_in_it() -> None:
    entry: Entry | None = typed(*WHOLE)
    for one, text in reversed(list(zip(FIELDS, WHOLE, strict=True))):
        assert entry is not None
        entry = gone_back(entry)
        assert entry is not None
        assert (prompt_of(entry).id, prompt_of(entry).line) == (one.of.name, text)
    assert entry is not None
    assert gone_back(entry) is None


def test_no_digit_records_a_slip() -> None:
    entry = typed(*WHOLE)
    for digit in "0123456789":
        assert not press(entry, digit).sent
    assert press(entry, "r").sent


def test_a_time_typed_with_its_point_changes_places_too() -> None:
    """What is swapped is a number, however it was typed."""
    entry = typed("enter", "1432", "4213", "6.9", "enter", "enter", "6.512", "enter")
    taken = slip_of(typed("t", entry=entry))
    assert (taken.eighth_s, taken.thousand_s) == (6.512, 6.9)


@pytest.mark.parametrize("key", list(BY_KEY))
def test_digits_of_a_number_come_back_as_that_number(key: str) -> None:
    digits = BY_KEY[key].of.digits
    for line in ("1", "1432", "0512", "1.4", "1,4", ".5"):
        number = digits.number(line)
        assert number is not None
        assert digits.number(digits.text(number)) == pytest.approx(number)
    assert digits.number("-") is digits.number("") is None
