"""An ask-back takes Enter or a letter, never a digit; what a setting never ran is asked back."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.crew.own_times import own_numbers
from rules.crew.prompts import sixty_foot
from rules.passes.slip import Own, Slip, questions
from rules.passes.slip_entry import FIELDS, Entry, answered, begun, numbers, prompt_of
from rules.question import ActionError, AnswerError, check
from tests.support.crew import Crew
from tests.support.slip_keys import press

RIGHT = ("0512", "1432", "4213", "6512", "10845", "8521", "10234", "13245")


def pressed(keys: str, entry: Entry | None = None) -> Entry:
    """Press digits with eyes on the slip."""
    now = entry or begun("us")
    for key in keys:
        now = press(now, key)
    return now


def whole_digits() -> st.SearchStrategy[tuple[str, ...]]:
    """Return what one field after the other is typed as: every digit of a full number."""

    def full(at: int) -> st.SearchStrategy[str]:
        one = FIELDS[at]
        return st.text("0123456789", min_size=5, max_size=5).map(
            lambda text: next(
                text[:n] for n in range(1, 6) if one.of.digits.is_full(text[:n]) or n == 5
            )
        )

    return st.tuples(*(full(at) for at in range(len(FIELDS))))


@given(whole_digits())
def test_digits_with_eyes_on_the_slip_stand_as_they_were_typed(fields: tuple[str, ...]) -> None:
    """Whatever is asked on the way, every digit lands where it was typed."""
    entry = pressed("".join(fields))
    assert entry.on_marks
    assert tuple(entry.typed[one.key] for one in FIELDS) == fields
    assert not entry.marks
    assert not entry.kept


def test_a_question_about_one_time_does_not_eat_the_next() -> None:
    """The 1 of 108.45 once took an offer, and moved a right 330 to the eighth."""
    entry = pressed("0512" + "1432" + "4213" + "4101" + "10845")
    assert entry.question is not None
    assert numbers(entry)["three_thirty_s"] == 4.213
    assert numbers(entry)["eighth_s"] == 4.101
    assert numbers(entry)["eighth_speed_m_s"] == 108.45


def test_what_waits_is_asked_at_the_end_where_a_digit_answers_nothing_either() -> None:
    entry = pressed("0512" + "1432" + "4213" + "4101" + "10845" + "8521" + "10234" + "13245")
    asking = press(entry, "enter")
    assert asking.asking
    assert not asking.sent
    for digit in "0123456789":
        after = press(asking, digit)
        assert (after.typed, after.marks, after.kept, after.lane) == (
            asking.typed,
            asking.marks,
            asking.kept,
            asking.lane,
        )
        with pytest.raises(AnswerError, match="asked back: found"):
            answered(asking, digit)
    assert prompt_of(asking).asks_back
    again = press(asking, "enter")
    assert again.field.key == "eighth_s"
    right = pressed("6512", again)
    assert right.typed["eighth_s"] == "6512"
    assert right.question is None


def test_keys_of_the_answers_are_no_keys_of_a_slip() -> None:
    slips = (
        Slip(sixty_s=11.4),
        Slip(sixty_s=3.9),
        Slip(sixty_s=1.9),
        Slip(three_thirty_s=4.2, eighth_s=4.1),
    )
    own = {"sixty_s": Own(1.3, 0.1, 4)}
    for slip, key in product(slips, "0123456789."):
        (asked,) = questions(slip, own)
        entry = begun("us", own=own)
        for one in FIELDS:
            value = getattr(slip, one.key)
            for digit in "" if value is None else f"{value:.3f}":
                entry = press(entry, digit)
            if value is None:
                entry = press(entry, "enter")
        assert entry.question is not None
        assert entry.question.field == asked.field
        assert press(entry, key).typed.get(asked.field) == entry.typed[asked.field]


def four_passes(time: float = 1.3) -> Crew:
    crew = Crew()
    for _ in range(4):
        crew.good_pass(time)
    return crew


def test_a_time_far_from_the_settings_own_is_asked_back() -> None:
    """A clean 1.640 after four passes at 1.300: spun, lifted, or a slip of the finger?"""
    crew = four_passes()
    crew.say(["it-is-good"])
    with pytest.raises(ActionError, match=r"spun, lifted, or a slip of the finger\?; name sixty"):
        crew.do("slip", sixty=1.64)
    with pytest.raises(ActionError, match="far from the 4 passes of this setting"):
        crew.do("slip", sixty=1.1)
    crew.do("slip", sixty=1.64, keep=["sixty"])
    crew.do("slip", sixty=1.64, marks=["spun"])
    crew.do("slip", sixty=1.33)


BEFORE = {
    "sixty_s": Own(1.430, 0.050, 5),
    "three_thirty_s": Own(4.210, 0.080, 5),
    "sixty_s to three_thirty_s": Own(2.780, 0.020, 5),
}


@pytest.mark.parametrize(
    ("sixty", "three_thirty", "asked"),
    [(1.463, 4.213, "sixty_s"), (1.433, 4.253, "three_thirty_s"), (1.463, 4.245, None)],
)
def test_a_digit_moves_one_beam_and_a_slow_launch_both(
    sixty: float, three_thirty: float, asked: str | None
) -> None:
    """Each time alone is near enough to what was run before; only the way between them tells."""
    found = questions(Slip(sixty_s=sixty, three_thirty_s=three_thirty), BEFORE)
    assert [one.field for one in found] == ([asked] if asked else [])
    assert all("off beside the" in one.why and not one.impossible for one in found)


def test_the_first_passes_of_a_meeting_are_held_against_other_meetings_from_farther() -> None:
    crew = four_passes()
    here = own_numbers(crew.state, None)["sixty_s"]
    crew.do("meeting", name="Another invented meeting")
    there = own_numbers(crew.state, None)["sixty_s"]
    assert there.passes == 4
    assert there.far > 1.5 * here.far


def test_a_mark_answers_it_and_so_does_keeping_it() -> None:
    crew = four_passes()
    own = own_numbers(crew.state, None)
    entry = pressed("0512" + "1640", begun("us", own=own))
    assert entry.question is not None
    assert entry.question.spoilt
    assert press(entry, "s").marks == ("spun",)
    assert press(entry, "l").marks == ("lifted",)
    assert press(entry, "k").kept == {"sixty_s"}
    for key in "slk":
        assert press(entry, key).question is None
    assert numbers(press(entry, "backspace")) == {"reaction_s": 0.512}


def test_one_wild_pass_of_the_past_moves_neither_middle_nor_scatter() -> None:
    crew = four_passes()
    crew.say(["it-is-good"])
    crew.do("slip", sixty=1.9, keep=["sixty"])
    crew.say(["nothing"])
    crew.say("ok")
    own = own_numbers(crew.state, None)["sixty_s"]
    assert own.middle == pytest.approx(1.3)
    assert 0.02 < own.far < 0.05


def test_two_passes_say_less_than_four_and_those_of_another_setting_least() -> None:
    """A typed tenth is asked back there too; what a turn or a wild car may do is not."""
    crew = four_passes()
    first = crew.state.runs[0]
    assert own_numbers(crew.state, first)["sixty_s"].passes == 3
    four = own_numbers(crew.state, None)["sixty_s"]
    crew.do("already turned", adjuster="launch rpm", now=4000)
    other = own_numbers(crew.state, None)["sixty_s"]
    assert (other.passes, other.alike) == (4, False)
    crew = Crew()
    assert own_numbers(crew.state, None) == {}
    for time in (1.3, 1.3):
        crew.good_pass(time)
    two = own_numbers(crew.state, None)["sixty_s"]
    assert (two.passes, two.alike) == (2, True)
    assert four.far < two.far < other.far
    assert two.far > 0.05
    assert 0.15 < other.far < 0.3
    (asked,) = questions(Slip(sixty_s=1.6), {"sixty_s": other})
    assert "far from the 4 passes before, on other settings (1.300)" in asked.why


def test_digits_alone_are_a_60_foot_wherever_one_is_typed() -> None:
    """1412 is 1.412 on a slip, and so it is in the question for the 60-foot alone."""
    assert numbers(pressed("0512" + "1412"))["sixty_s"] == 1.412
    for typed, value in (("1412", 1.412), ("1.412", 1.412), ("2", 2.0), (1.31, 1.31)):
        assert check(sixty_foot(), typed) == value
    for typed in ("14", "9999", "14120", "0"):
        with pytest.raises(AnswerError):
            check(sixty_foot(), typed)
