"""Plates, large figures, ranges and chances: what they say, and that they keep to their cells."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.drawn.figures import HEIGHT, from_to
from tui.drawn.plate import Plate, drawn, plate_rows
from tui.drawn.ranges import MEASURED, STOP, Bar, bars, in_ten
from tui.drawn.sheet import CellSheet

COUNTS = st.integers(0, 30).map(str) | st.sampled_from(("1 3/8", "0", "13.5", "3/4"))


@given(COUNTS, COUNTS, st.integers(10, 80))
def test_figures_keep_to_their_room_or_leave_the_words_to_it(
    before: str, after: str, room: int
) -> None:
    rows = from_to(before, after, room)
    assert len(rows) in (0, HEIGHT)
    assert all(len(row) <= room for row in rows)
    assert len({len(row) for row in rows}) <= 1


def test_each_digit_is_another_figure() -> None:
    assert len({tuple(from_to(digit, "0", 40)) for digit in "0123456789"}) == 10
    assert from_to("holes B", "holes C", 80) == []


@given(COUNTS, COUNTS, st.integers(24, 90), st.booleans())
def test_a_plate_says_both_numbers_as_figures_or_as_words(
    before: str, after: str, width: int, large: bool
) -> None:
    says = ("3 CLICKS TIGHTER", "BOTH SIDES", "clockwise")
    plate = Plate("open", "FRONT EXTENSION", before, after, says, large=large)
    rows = plate_rows(plate, width)
    assert all(len(row) <= width for row in rows)
    told = " ".join(" ".join(rows).split())
    assert all(word in told for word in says)
    assert "█" in told or "▀" in told or f"{before} → {after}" in told
    assert len(drawn(plate, width).plain.split("\n")) == len(rows)


@pytest.mark.parametrize("size", ["large", "small", "words"])
def test_a_smaller_plate_says_no_less(size: str) -> None:
    plate = Plate("open", "FRONT", "8", "11", ("3 CLICKS TIGHTER",), ("5 min",), large=True)
    told = " ".join(plate_rows(plate.at(size), 60))
    assert "3 CLICKS TIGHTER" in told
    assert "5 min" in told
    assert size != "words" or "8 → 11" in told


@pytest.mark.parametrize(
    ("chance", "squares"), [(0.0, "□" * 10), (0.72, "■" * 7 + "□" * 3), (1.0, "■" * 10)]
)
def test_a_chance_is_ten_squares(chance: float, squares: str) -> None:
    assert in_ten(chance) == squares


def test_a_measured_mark_inside_its_range_and_the_stop_through_both_rows() -> None:
    rows = bars(
        [Bar("today", 2.1, 2.7, "2.1–2.7"), Bar("came", 1.6, 2.3, "1.9", mark=1.9)],
        50, 9, 7, stop=2.25,
    )  # fmt: skip
    today, came = (row.plain for row in rows)
    assert len(today) == len(came) == 50
    assert today.index(STOP) == came.index(STOP)
    assert came.index("▒") < came.index(MEASURED) < came.index(STOP)


def test_a_sheet_keeps_what_is_put_on_it_in_its_cells() -> None:
    sheet = CellSheet(6, 2)
    sheet.put(4, 0, "wide", "bold")
    sheet.put(0, 1, "日本", "")
    assert sheet.content().plain == "    wi\n日本  "
