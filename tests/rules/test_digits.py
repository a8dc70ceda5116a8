"""Numbers typed with digits alone: what each key makes of the line, and who takes the letters."""

import pytest

from rules.digits import Digits
from rules.question import AnswerError, Choice, Prompt, check

TIME = Digits(longer="12", signed=True)


@pytest.mark.parametrize(
    ("line", "key", "after"),
    [
        ("", "1", "1"),
        ("143", "2", "1432"),
        ("6512", "7", "7"),
        ("1023", "4", "10234"),
        ("1", ",", "1."),
        ("1.4", ".", "1.4"),
        ("1.432", "5", "5"),
        ("", "-", "-"),
        ("1", "-", "1"),
    ],
)
def test_a_key_goes_on_or_starts_over_and_what_is_misplaced_is_nothing(
    line: str, key: str, after: str
) -> None:
    assert TIME.after(line, key) == after


def test_a_sign_is_nothing_where_no_number_is_below_zero() -> None:
    assert Digits().after("", "-") == ""


def test_a_number_takes_the_letters_of_what_is_asked_back_beside_it() -> None:
    beside = (Choice("take", "take 1.140", key="t"),)
    prompt = Prompt("sixty", "60 ft", "number", digits=TIME, beside=beside, optional=True)
    assert check(prompt, "take") == "take"
    assert check(prompt, "1140") == 1.14
    assert check(prompt, "-") == "unknown"
    with pytest.raises(AnswerError, match="sixty: found 'keep'"):
        check(prompt, "keep")


def test_only_a_list_of_letters_refuses_digits() -> None:
    lettered, numbered = Choice("record", "Record it", key="r"), Choice("spun", "Spun")
    assert Prompt("one", "?", choices=(lettered,)).asks_back
    assert not Prompt("one", "?", choices=(numbered, lettered)).asks_back
    assert not Prompt("one", "?").asks_back
