"""A time printed with four decimals: the last digit belongs to it, and never to the next field."""

import pytest

from rules.passes.slip import Slip
from rules.passes.slip_entry import FIELDS, Entry, begun, numbers, prompt_of
from tests.support.slip_keys import press


def typed(*keys: str) -> Entry:
    entry = begun("us")
    for key in keys:
        entry = press(entry, key)
    return entry


@pytest.mark.parametrize("line", ["14321", "1.4321"])
def test_a_fourth_decimal_is_left_out_and_the_next_field_is_still_to_type(line: str) -> None:
    """It once stood in the 330 as 0.001, and the 4.213 after it in the eighth."""
    entry = typed(*"0512", *line, "enter")
    assert numbers(entry) == {"reaction_s": 0.512, "sixty_s": 1.432}
    assert entry.field.key == "three_thirty_s"
    hint = "A digit too many of 60 ft is left out: 1.432 stands. Go on here."
    assert prompt_of(entry).hint == hint
    entry = press(entry, "4")
    assert prompt_of(entry).hint != hint
    for key in "213":
        entry = press(entry, key)
    assert numbers(entry)["three_thirty_s"] == 4.213


def test_one_field_after_the_other_with_four_decimals() -> None:
    keys = [key for time in ("05123", "14321", "42134", "65125") for key in (*time, "enter")]
    found = numbers(typed(*keys))
    assert list(found.values()) == [0.512, 1.432, 4.213, 6.512]


def test_a_digit_behind_a_number_that_was_not_whole_is_the_crews_own() -> None:
    """`9`, Enter in the 60-foot, nothing before it full: that is asked back, not taken away."""
    assert numbers(typed("enter", *"9", "enter"))["sixty_s"] == 0.009


STANDING = Slip(reaction_s=0.512, sixty_s=1.44, three_thirty_s=4.213, eighth_s=6.512)


@pytest.mark.parametrize("key", [one.key for one in FIELDS[:3]])
@pytest.mark.parametrize("behind", ["enter", "down"])
def test_a_fourth_decimal_moves_no_number_that_stands_behind(key: str, behind: str) -> None:
    """A slip of the log is typed over in one field: every other stays as it is."""
    entry = begun("us", STANDING)
    while entry.field.key != key:
        entry = press(entry, "enter")
    before = numbers(entry)
    typed = entry.typed[key]
    for one in (*typed, "7", behind):
        entry = press(entry, one)
    assert numbers(entry) == before
    assert "digit too many" in prompt_of(entry).hint
    for one in "9999":
        entry = press(entry, one)
    assert numbers(entry) != before


def test_what_was_kept_stays_kept() -> None:
    """A number that was kept as it is, with a digit too many left out of it, is not asked anew."""
    entry = begun("us", Slip(sixty_s=1.44, three_thirty_s=9.5))
    assert entry.kept == {"three_thirty_s"}
    for one in ("enter", *"1432", "7", "enter"):
        entry = press(entry, one)
    assert numbers(entry) == {"sixty_s": 1.432, "three_thirty_s": 9.5}
    assert entry.kept == {"three_thirty_s"}
