"""What was foretold and what came of it, however narrow the place it stands in."""

import pytest
from drive import make_desk

from rules.advice.forecasts import Foretold
from rules.launch.proposed_change import Range
from tui.drawn.forecast import NAMES
from tui.drawn.verdict_short import clock_rows, foretold_rows

LONG = Range(low=0.031, middle=0.07, high=0.312)


@pytest.mark.parametrize("width", [38, 39, 58, 66, 78])
@pytest.mark.parametrize("name", ["landing travel", "lift", "settle"])
def test_no_row_is_wider_than_its_place_and_no_word_is_lost(name: str, width: int) -> None:
    state = make_desk().state
    for found, place in ((0.2, "as foretold"), (0.42, "NOT as foretold")):
        one = Foretold(1, name, "length", LONG, found, 0.0)
        rows = [row.plain for row in foretold_rows(one, state, "us", width)]
        assert [len(row) <= width for row in rows] == [True, True]
        said = " ".join(rows)
        assert NAMES[name].replace("tyres", "tires") in said
        assert place in said
        assert "▒ 1.2–12.3" in said


@pytest.mark.parametrize("width", [38, 39, 58, 78])
def test_what_the_clock_says_stays_on_its_rows(width: int) -> None:
    rows = [row.plain for row in clock_rows("cannot tell", -0.0123, 0.72, width)]
    assert [len(row) <= width for row in rows] == [True, True]
    assert "7 in 10 quicker, best guess 0.012 s" in rows[1]
