"""The rates of tests/bench/report_verdicts.py on fewer cars, with room for the luck of the draw.

The bound is one false "helped" in twenty; each test fails where a true rate of that size would show
so many with less than one chance in a thousand (binomial, scipy).
"""

from itertools import product

import pytest
from scipy.stats import binom

from tests.bench.crews import DRIFT_S, either_way, run_cars, share
from tests.support.sample import sampled

CARS = 200
FALSE = 0.05


@pytest.mark.parametrize(
    ("drift", "order"),
    sampled(product([DRIFT_S, 0.0], ["AABBAABBAABBA", "ABABABABABABA"]), 4),
)
def test_a_change_without_effect_is_rarely_said_to_help(drift: float, order: str) -> None:
    cars = run_cars([0.0] * CARS, seed=11, drift_s=drift, order=order)
    helped = sum(one.ever("helped") for one in cars)
    assert helped <= binom.ppf(0.999, CARS, FALSE)
    naive = sum(one.naive == "helped" for one in cars)
    assert naive > binom.ppf(0.999, CARS, 0.30)


def test_drift_alone_never_makes_a_change_without_a_way_back_help() -> None:
    cars = run_cars([0.0] * CARS, seed=12, drift_s=2 * DRIFT_S, order="AAABBBB")
    assert not any(one.ever("helped") or one.ever("hurt") for one in cars)


def test_a_large_effect_is_told_and_told_right() -> None:
    cars = run_cars(either_way(3.0, CARS // 2), seed=13, drift_s=DRIFT_S)
    assert share(cars, "cannot tell") < 0.05
    opposite = {True: "hurt", False: "helped"}
    assert not any(one.said == opposite[one.effect_s < 0] for one in cars)
