"""Pictures: dots where the numbers are, lines told apart by their drawing, axes in round numbers.

The numbering of the eight dots of a character is that of the Unicode Standard, chapter "Braille
Patterns" (U+2800: dots 1-2-3-7 down the left, 4-5-6-8 down the right; from memory).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.sample import examples
from tui.drawn.dots import Dots
from tui.drawn.picture import (
    DrawnLine,
    Level,
    Mark,
    Picture,
    RangeBand,
    RangeBar,
    Upright,
    tick_words,
    ticks,
)
from tui.drawn.plain_plot import plain_plot

DOTS = {(0, 0): 1, (0, 1): 2, (0, 2): 3, (0, 3): 7, (1, 0): 4, (1, 1): 5, (1, 2): 6, (1, 3): 8}
"""The number of a dot by its column and row in the cell."""
FRAME = Picture("x", across=(0.0, 1.0), up=(0.0, 1.0)).framed()


@pytest.mark.parametrize(("place", "number"), DOTS.items())
def test_each_dot_is_the_one_of_the_standard(place: tuple[int, int], number: int) -> None:
    layer = Dots(FRAME, 1, 1)
    layer.on[place[1], place[0]] = True
    assert layer.rows() == [chr(0x2800 + (1 << (number - 1)))]


def test_a_line_and_a_band_in_one_cell_keep_all_their_dots() -> None:
    alone, both = Dots(FRAME, 10, 5), Dots(FRAME, 10, 5)
    band = RangeBand("b", (0.0, 1.0), (0.1, 0.1), (0.9, 0.9), filled=True, role="forecast")
    alone.line((0.0, 1.0), (0.5, 0.5), "single", "measured")
    both.band(band)
    both.line((0.0, 1.0), (0.5, 0.5), "single", "measured")
    assert (both.on & alone.on).sum() == alone.on.sum()
    assert both.on.sum() > alone.on.sum()
    assert both.role(3, 2) == "measured", "what is drawn later has the colour of the cell"


def test_single_double_and_dashed_are_drawn_differently() -> None:
    drawn = {}
    for how in ("single", "double", "dashed"):
        layer = Dots(FRAME, 20, 5)
        layer.line((0.0, 1.0), (0.5, 0.5), how)  # type: ignore[arg-type]
        drawn[how] = layer.on.sum()
    assert drawn["double"] == 2 * drawn["single"]
    assert 0.4 < drawn["dashed"] / drawn["single"] < 0.7


@given(
    st.lists(st.floats(-50, 50), min_size=2, max_size=12),
    st.integers(4, 60),
    st.integers(3, 30),
)
@examples(20, 200)
def test_a_curve_is_in_every_column_and_joined(ys: list[float], wide: int, high: int) -> None:
    xs = [float(x) for x in range(len(ys))]
    layer = Dots(Picture("p", lines=(DrawnLine("a", xs, ys),)).framed(), wide, high)
    layer.line(xs, ys, "single")
    assert layer.on.any(axis=0).all()
    tops = layer.on.argmax(axis=0)
    bottoms = layer.size[1] - 1 - layer.on[::-1].argmax(axis=0)
    gaps = [max(0, max(tops[i], tops[i + 1]) - min(bottoms[i], bottoms[i + 1]) - 1)
            for i in range(len(tops) - 1)]  # fmt: skip
    assert max(gaps, default=0) <= 1


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e4), st.integers(2, 12))
@examples(40, 400)
def test_ticks_are_round_few_and_inside(low: float, size: float, most: int) -> None:
    found = ticks(low, low + size, most)
    assert len(found) <= most + 1
    assert all(low - 1e-6 * size <= one <= low + size + 1e-6 * size for one in found)
    words = tick_words(found)
    assert len(set(words)) == len(words), "each tick is told from its neighbours"


EVERY = Picture(
    "EVERYTHING, s",
    lines=(
        DrawnLine("today", (0, 1, 2), (1, None, 3), sign="o"),
        DrawnLine("new", (0, 2), (2, 2), sign="x"),
    ),
    bands=(RangeBand("range", (0, 2), (0, 1), (2, 4)),),
    levels=(Level(0.5, "the stop"),),
    uprights=(Upright(1.0, "a change"),),
    spans=(RangeBar(1.5, 1.0, 2.0),),
    marks=(Mark(0.5, 1.5, "*", words="lifted"),),
    named=((0.0, "1"), (1.0, "2"), (2.0, "3")),
)


@pytest.mark.parametrize(("width", "height"), [(78, 16), (40, 10), (20, 6)])
def test_the_plain_plot_keeps_to_its_room_and_is_ascii(width: int, height: int) -> None:
    rows = plain_plot(EVERY, width, height)
    assert len(rows) <= height + 1
    assert max(map(len, rows)) <= width
    assert "".join(rows).isascii()
    assert "1" in rows[-1]
    if width == 78:
        body = "\n".join(row.partition("|")[2] for row in rows[1:-2])
        assert all(sign in body for sign in "ox=|*.")
        assert all(word in rows[-1] for word in "123")


def test_a_picture_of_nothing_is_drawn() -> None:
    frame = Picture("nothing").framed()
    assert frame.left < frame.right
    assert frame.low < frame.high
    assert set("".join(Dots(frame, 5, 5).rows())) == {" "}
