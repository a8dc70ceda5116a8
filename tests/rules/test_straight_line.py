"""The line and the parabola against a general-purpose library, numpy.polyfit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from rules.straight_line import parabola, straight, t_factor

_POINTS = st.lists(st.tuples(st.integers(-50, 50), st.floats(-10, 10)), min_size=5, max_size=12)


@given(_POINTS)
def test_both_agree_with_the_library(points: list[tuple[int, float]]) -> None:
    x, y = [float(one) for one, _ in points], [one for _, one in points]
    for degree, fit in ((1, straight), (2, parabola)):
        if len(set(x)) <= degree:
            with pytest.raises(ValueError, match="different heights"):
                fit(x, y)
            continue
        found = fit(x, y)
        centred = np.array(x) - found.mean
        theirs = np.polyfit(centred, y, degree)
        assert found.at_mean == pytest.approx(theirs[-1], abs=1e-8)
        assert found.slope == pytest.approx(theirs[-2], abs=1e-8)
        if degree == 2:
            assert found.bend == pytest.approx(2 * theirs[0], abs=1e-8)
        if found.to_spare:
            design = np.vander(centred, degree + 1)
            rest = np.array(y) - design @ theirs
            cov = np.linalg.inv(design.T @ design) * (rest @ rest) / found.to_spare
            assert found.slope_error == pytest.approx(np.sqrt(cov[-2, -2]), rel=1e-6, abs=1e-9)
            if degree == 2:
                assert found.bend_error == pytest.approx(2 * np.sqrt(cov[0, 0]), rel=1e-6, abs=1e-9)
        moved = list(y)
        moved[0] += 1.0
        assert fit(x, moved).slope - found.slope == pytest.approx(found.pulls[0], abs=1e-8)


def test_students_t() -> None:
    for spare in range(1, 11):
        assert t_factor(spare) == pytest.approx(stats.t.ppf(0.975, spare), abs=6e-4)
    with pytest.raises(ValueError, match="at least 1"):
        t_factor(0)


def test_readings_that_do_not_match_are_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        straight([0.0, 1.0], [0.0])
    with pytest.raises(ValueError, match="finite"):
        straight([0.0, 1.0], [0.0, float("nan")])
