"""Pictures of the passes of a day can be held against each other: their axes are the same."""

from rules.practice.eyes import readings
from rules.practice.played_pass import PlayedPass, played
from tests.support.practice import practice_truth
from tui.drawn.picture import Picture
from tui.pages.pass_picture import pass_picture


def passes() -> list[PlayedPass]:
    """Return two passes of a day, the second with much more low-speed rebound at the front."""
    car = practice_truth()
    first = dict(car.starts)
    second = {key: value + 6 if "front rebound" in key else value for key, value in first.items()}
    return [played(car, first, 1), played(car, second, 2)]


def drawn(seen: PlayedPass, *before: PlayedPass) -> Picture:
    return pass_picture(seen, readings(seen).ring_m, "us", before)


def heights(picture: Picture) -> list[float]:
    return [y for line in picture.lines for y in line.ys if y is not None]


def test_a_later_picture_has_the_axes_that_hold_all_passes_of_the_day() -> None:
    first, second = passes()
    one, again, two = drawn(first), drawn(first, second), drawn(second, first)
    assert again.up == two.up
    assert again.framed().left == two.framed().left
    assert again.framed().right == two.framed().right
    for picture in (one, again, two):
        assert picture.up is not None
        assert picture.up[0] <= min(heights(picture))
        assert max(heights(picture)) <= picture.up[1]


def test_the_pass_before_is_drawn_beside_by_another_line_and_name() -> None:
    first, second = passes()
    alone, beside = drawn(first), drawn(second, first)
    assert [line.how for line in alone.lines] == ["double", "single"]
    assert [line.how for line in beside.lines] == ["double", "single", "dashed"]
    assert beside.lines[2].name.startswith("pass 1")
    assert {"THE STOP: all travel used"} <= {level.words for level in beside.levels}
    assert any("on the ground" in level.words for level in beside.levels)
