"""A row left out of its own fit, against the residual over one less its leverage.

Source: e_i / (1 - h_ii), with variance s^2 / (1 - h_ii), R. D. Cook and S. Weisberg, Residuals and
Influence in Regression, chapter 2, from memory. Leverages by the array library's QR.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.shop.odd_rows import ROW_GIVE_M, odd_row
from rules.straight_line import between, parabola
from rules.units import INCH_M

WHEELS = [-0.051, -0.025, 0.0, 0.025, 0.051]
SLIPS = st.floats(0.02, 0.05)


@given(SLIPS, st.integers(0, 4), st.floats(-2.0, 2.0), st.floats(0.4, 1.1))
def test_the_row_and_what_is_wanted_of_it_are_those_of_the_residuals(
    slip: float, place: int, bend: float, ratio: float
) -> None:
    x = np.array(WHEELS)
    y = 0.36 - ratio * x + bend / 2 * x**2
    y[place] += slip
    columns = np.stack([np.ones_like(x), x, x**2], axis=1)
    q, _ = np.linalg.qr(columns)
    leverage = (q**2).sum(axis=1)
    residual = y - q @ (q.T @ y)
    left_out = residual / (1 - leverage)
    worst = int(np.argmax(np.abs(left_out) * np.sqrt(1 - leverage)))
    odd = odd_row(WHEELS, y.tolist())
    assert odd is not None
    assert abs(left_out[odd.place]) * np.sqrt(1 - leverage[odd.place]) == pytest.approx(
        abs(left_out[worst]) * np.sqrt(1 - leverage[worst])
    )
    assert odd.found - odd.wanted == pytest.approx(left_out[odd.place], rel=1e-6)


def test_a_tape_within_its_give_is_mostly_not_doubted() -> None:
    """Even errors within a sixteenth: about one row in twenty stands off."""
    chance = np.random.default_rng(2)
    doubted = sum(
        odd_row(WHEELS, (0.36 - 0.7 * np.array(WHEELS) + noise).tolist()) is not None
        for noise in chance.uniform(-ROW_GIVE_M, ROW_GIVE_M, (400, 5))
    )
    assert doubted < 400 * 0.25


def test_a_parabola_says_its_own_points_and_straight_lines_theirs() -> None:
    assert parabola([0, 1, 2], [1.0, 2.0, 5.0]).at(2) == pytest.approx(5.0)
    assert parabola([0, 1, 2], [1.0, 2.0, 5.0]).at(3) == pytest.approx(10.0)
    assert between([0.0, 1.0], [2.0, 4.0], 0.25) == pytest.approx(2.5)
    with pytest.raises(ValueError, match="between 0 and 1"):
        between([0.0, 1.0], [2.0, 4.0], INCH_M - 1)
