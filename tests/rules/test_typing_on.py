"""A line is objected to exactly where nothing typed behind it can make it an answer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.question import AnswerError, Prompt, check
from rules.typing_on import no_way_on
from tests.support.sample import examples


def number(low: float, high: float, decimals: int = 0) -> Prompt:
    return Prompt("n", "How many?", "number", low=low, high=high, unit="in", decimals=decimals)


@pytest.mark.parametrize(
    ("line", "may_go_on"),
    [
        ("", True), ("1", True), ("18", True), ("29.", True), ("29.92", True), ("3", True),
        ("33", False), ("17.", False), ("17.99", False), ("2.5", False), ("-", False),
        ("-3", False), ("2a", False), ("1.2.3", False), ("32.0", True), ("32.1", False),
    ],
)  # fmt: skip
def test_a_pressure_of_18_to_32(line: str, may_go_on: bool) -> None:
    assert (no_way_on(number(18, 32), line) == "") == may_go_on


@given(
    st.integers(-30, 30), st.integers(0, 40), st.text("0123456789.-", min_size=1, max_size=4)
)  # fmt: skip
@examples(150, 2000)
def test_no_objection_where_three_more_keys_would_do(low: int, size: int, line: str) -> None:
    prompt = number(low, low + size)
    if no_way_on(prompt, line) == "":
        return
    behind = ["", *"0123456789.", *(f"{a}{b}" for a in "0123456789." for b in "059")]
    for more in behind:
        with pytest.raises(AnswerError):
            check(prompt, line + more)


def test_nought_with_a_sign_is_below_nought() -> None:
    assert no_way_on(number(-1, -1), "-0") == ""
    assert no_way_on(number(1, 5), "-0") != ""


def test_a_word_is_objected_to_only_for_its_length() -> None:
    prompt = Prompt("t", "Say?", "text", longest=5)
    assert no_way_on(prompt, "abcde") == ""
    assert no_way_on(prompt, "abcdef") == "at most 5 characters"
