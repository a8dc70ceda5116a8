"""What a way is counted as: a worse danger is worse, a fault that was not there is not cured."""

from dataclasses import replace

import pytest

from tests.bench.virtual.day import play_day
from tests.bench.virtual.family import true_car
from tests.bench.virtual.overruled import BooksWay, came_to, table

CAR = true_car(2)
# A launch of the truth with nothing that a crew would name, but for the stand it is given.
PLAIN = replace(CAR.run(CAR.good), ring=0.01, bars=0.0, down_at=5.0)


@pytest.mark.parametrize(
    ("before", "after", "word"),
    [
        (0.50, 0.10, "cured"),
        (0.55, 0.42, "less"),
        (0.50, 0.50, "same"),
        (0.35, 0.45, "worse"),
        (0.50, 0.70, "worse"),
        (0.10, 0.10, "same"),
    ],
)
def test_a_stand_is_cured_less_the_same_or_worse(before: float, after: float, word: str) -> None:
    one, other = (replace(PLAIN, lift=lift) for lift in (before, after))
    assert came_to(one, other, "front-carries") == word


def test_a_worse_danger_is_worse_whatever_became_of_the_fault() -> None:
    hit = replace(PLAIN, lift=0.1, ring=PLAIN.bump)
    assert came_to(replace(PLAIN, lift=0.5), hit, "front-carries") == "worse"


def test_the_rule_most_often_overruled_stands_first() -> None:
    kept = BooksWay("kept", False, "cured", "cured")
    left = BooksWay("left", True, "worse", "cured")
    rows = table([kept, kept, left])[2:]
    assert [row.split() for row in rows] == [
        ["left", "1", "1", *"0001", *"1000"],
        ["kept", "2", "0", *"0000", *"0000"],
    ]


def test_without_a_launch_nothing_is_chosen_otherwise() -> None:
    day, _, _ = play_day(1, None, by_rule=True)
    assert day.books
    for one in day.books.values():
        assert not one.otherwise
        assert one.book == one.chosen
