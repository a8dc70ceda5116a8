"""The rates of tests/bench/report_verdicts.py on fewer cars, with room for the luck of the draw.

The bound is one false "helped" in twenty; each test fails where a true rate of that size would show
so many with less than one chance in a thousand (binomial, scipy).
"""

from itertools import product

import pytest
from scipy.stats import binom

from tests.bench.crews import ALTERNATING, DRIFT_S, either_way, run_cars, share
from tests.support.sample import many, sampled

FEW, CARS = 80, many(120, 200)
FALSE = 0.05
PAIRS = "AABBAABBAABBA"


@pytest.mark.long
@pytest.mark.parametrize(
    ("drift", "order", "count"),
    sampled([(DRIFT_S, PAIRS, FEW), *product([DRIFT_S, 0.0], [PAIRS, ALTERNATING], [CARS])], 5),
)
def test_a_change_without_effect_is_rarely_said_to_help(
    drift: float, order: str, count: int
) -> None:
    cars = run_cars([0.0] * count, seed=11, drift_s=drift, order=order)
    helped = sum(one.ever("helped") for one in cars)
    assert helped <= binom.ppf(0.999, count, FALSE)
    naive = sum(one.naive == "helped" for one in cars)
    assert naive > binom.ppf(0.999, count, 0.30)


@pytest.mark.long
@pytest.mark.parametrize("count", [FEW, pytest.param(CARS, marks=pytest.mark.sweep)])
def test_drift_alone_never_makes_a_change_without_a_way_back_help(count: int) -> None:
    cars = run_cars([0.0] * count, seed=12, drift_s=2 * DRIFT_S, order="AAABBBB")
    assert not any(one.ever("helped") or one.ever("hurt") for one in cars)


@pytest.mark.long
@pytest.mark.parametrize(
    ("count", "most"), [(40, 0.10), pytest.param(100, 0.05, marks=pytest.mark.sweep)]
)
def test_a_large_effect_is_told_and_told_right(count: int, most: float) -> None:
    cars = run_cars(either_way(3.0, count), seed=13, drift_s=DRIFT_S)
    assert share(cars, "cannot tell") < most
    opposite = {True: "hurt", False: "helped"}
    assert not any(one.said == opposite[one.effect_s < 0] for one in cars)
