"""One step ahead, against the two-stage value of perfect recall worked out by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.launch.belief.one_more import one_more

CHANCES = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3)


def test_a_way_that_shows_which_car_it_is_is_worth_the_cure_that_follows() -> None:
    """Two cars, each cured by another lever: whichever is tried, the second is right for sure."""
    gone = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    moved = np.array([[0.0, 0.0], [-2.0, 0.0], [0.0, -2.0]])
    found = one_more(gone, moved, np.array([0.5, 0.5]))
    unchanged, first, second = found.gone
    assert unchanged == pytest.approx(0.5)
    assert first == pytest.approx(1.0, abs=1e-3)
    assert second == pytest.approx(1.0, abs=1e-3)
    assert found.if_same[1:] == [2, 1]


def test_what_shows_nothing_leaves_the_best_single_way() -> None:
    """A lever that moves nothing on any car teaches nothing: the best of the others is left."""
    gone = np.array([[0.1, 0.1], [0.7, 0.3], [0.2, 0.6]])
    moved = np.zeros((3, 2))
    share = np.array([0.5, 0.5])
    found = one_more(gone, moved, share).gone
    by_hand = 0.5 * 0.1 + 0.5 * 0.1 + max(0.9 * 0.5 * (0.7 + 0.3), 0.9 * 0.5 * (0.2 + 0.6))
    assert found[0] == pytest.approx(by_hand)


@given(st.lists(CHANCES, min_size=2, max_size=4), st.lists(CHANCES, min_size=2, max_size=4))
def test_one_more_never_takes_a_cure_away_and_stays_a_chance(
    rows: list[list[float]], moves: list[list[float]]
) -> None:
    size = min(len(rows), len(moves))
    gone, moved = np.array(rows[:size]), np.array(moves[:size]) - 0.5
    share = np.full(3, 1.0 / 3.0)
    found = one_more(gone, moved, share).gone
    assert (found >= gone @ share - 1e-12).all()
    assert (found <= 1.0 + 1e-12).all()
