"""A row far from the others of its day is named for a second look, and stored all the same."""

from datetime import UTC, datetime

import pytest

from rules.log.events.passes import PassImported
from rules.paper.import_rows import Row
from rules.paper.row_doubts import held_against_their_day
from rules.passes.slip import Slip

DAY = (1.300, 1.304, 1.297, 1.301, 1.299)


def row(number: int, sixty: float, day: int = 4, setting: str = "A", *marks: str) -> Row:
    when = datetime(2031, 5, day, 14, number % 60, tzinfo=UTC)
    slip = Slip(sixty_s=sixty, marks=frozenset(marks))  # type: ignore[arg-type]
    return Row(number, PassImported(imported=f"i{number}", when=when, slip=slip, setting=setting))


def doubts(*last: Row) -> list[bool]:
    rows = [row(number, sixty) for number, sixty in enumerate(DAY)]
    found = held_against_their_day([*rows, *last])
    assert not any(one.doubts for one in found[: len(DAY)])
    assert all(one.imported is not None for one in found)
    return [bool(one.doubts) for one in found[len(DAY) :]]


@pytest.mark.parametrize(
    ("last", "doubted"),
    [
        (row(9, 1.640), True),
        (row(9, 1.305), False),
        (row(9, 1.640, 5), False),
        (row(9, 1.640, 4, "A", "lifted"), False),
        (row(9, 1.380, 4, "B"), False),
        (row(9, 1.640, 4, "B"), True),
    ],
)
def test_a_row_far_from_its_day_is_doubted(last: Row, doubted: bool) -> None:
    """Another setting may go farther than a repeat, and another day is no comparison."""
    assert doubts(last) == [doubted]


def test_a_row_that_is_no_pass_goes_through() -> None:
    left_out = Row(3, None, left_out="no times: left out")
    assert held_against_their_day([left_out]) == [left_out]
