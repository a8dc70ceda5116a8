"""Rear tyre pressure as a lever of the launch: its rate, and its grip within an unknown window."""

from dataclasses import replace
from math import e, exp, inf, log

import numpy as np
import pytest

from rules.car.adjusters import adjusters
from rules.launch.cloud.car_cloud import SEED, Deviates, deviates, typical_cars
from rules.launch.cloud.knobs import is_modelled, moves
from rules.launch.cloud.tyre_pressure import (
    BEST_SPREAD,
    GRIP_LOST,
    RATE_POWER,
    RATE_SPREAD,
    SLICK_LEANS,
    grip_logs,
    leaning,
    lost_today,
    rate_factor,
    rear_pressure,
)
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
LEVER = next(one for one in adjusters(DEMO).values() if one.part == "tyre pressure")
CARS = 400
DRAWN = deviates(DEMO, CARS, SEED)


def cloud(share: float) -> list[dict[str, object]]:
    """Return the cars with the rear pressure at a share of the start's."""
    return list(typical_cars(DEMO, {LEVER.id: LEVER.start * share}, DRAWN).cars)


def column(cars: list[dict[str, object]], name: str) -> np.ndarray:
    return np.array([car[name] for car in cars])


def test_grip_is_greatest_at_the_best_pressure_and_falls_both_ways() -> None:
    """By hand: best a fifth (in logarithm) below today's, so at e^-0.2 grip gains k 0.2^2 = 4 %."""
    best, window = np.array([-1.0]), np.zeros(1)
    at = {ratio: float(grip_logs(ratio, best, window)[0]) for ratio in (exp(-0.2), 1.0, exp(-0.4))}
    assert at[exp(-0.2)] == pytest.approx(GRIP_LOST * BEST_SPREAD**2) == pytest.approx(0.04)
    assert [at[1.0], at[exp(-0.4)]] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert grip_logs(1.1, best, window)[0] < 0.0 > grip_logs(0.6, best, window)[0]


def test_a_narrow_window_costs_more() -> None:
    narrow, wide = grip_logs(0.8, np.zeros(2), np.array([1.0, -1.0]))
    assert narrow / wide == pytest.approx(exp(1.4))


def test_the_rate_follows_the_pressure_a_little_less_than_in_proportion() -> None:
    """More than the 0.7 of a car tyre, at most the 1 of a bare membrane."""
    assert rate_factor(1.0) == 1.0
    slope = log(rate_factor(1.01)) / log(1.01)
    assert slope == pytest.approx(RATE_POWER)
    assert 0.7 < RATE_POWER < 1.0


def test_less_pressure_softens_every_tyre_and_moves_grip_either_way() -> None:
    before, after = cloud(1.0), cloud(0.88)
    rate = column(after, "ktr") / column(before, "ktr")
    assert (rate < 1.0).all()
    spread = np.log(np.log(rate[1:]) / np.log(rate[0]))
    assert np.std(spread) == pytest.approx(RATE_SPREAD, rel=0.15)
    grip = column(after, "mu") / column(before, "mu")
    assert 0.3 < np.mean(grip > 1.0) < 0.7
    assert 0.75 < np.quantile(grip, 0.02) < 1.0 < np.quantile(grip, 0.98) < 1.25


def test_nothing_else_moves_and_the_paper_car_has_its_best_where_the_file_leans() -> None:
    before, after = cloud(1.0)[0], cloud(0.88)[0]
    assert {name for name in before if before[name] != after[name]} == {"ktr", "mu"}
    best = leaning(LEVER) * BEST_SPREAD
    gain = GRIP_LOST * (best**2 - (log(0.88) - best) ** 2)
    assert after["mu"] == pytest.approx(before["mu"] * exp(gain))


def test_the_window_is_one_cars_own_at_every_setting() -> None:
    """The same cars at the same pressure, however few of them are asked for."""
    again = typical_cars(DEMO, {LEVER.id: LEVER.start * 0.88}, DRAWN).cars
    assert list(again) == cloud(0.88)
    some = np.array([3, 5])
    picked = typical_cars(DEMO, {LEVER.id: LEVER.start * 0.88}, DRAWN.pick(some)).cars
    assert list(picked) == [again[3], again[5]]
    fresh: Deviates = DRAWN.around(some, 6, np.random.default_rng(1))
    assert fresh.numbers.shape[1] == DRAWN.numbers.shape[1]


def test_the_lever_is_in_the_launch() -> None:
    assert is_modelled(DEMO, LEVER)
    found = moves(DEMO, {LEVER.id: LEVER.start + LEVER.step})
    assert LEVER.id not in found.not_modelled
    assert [(move.name, move.factor == e) for move in found.moves] == [("ktr", False), ("mu", True)]


def test_today_a_tyre_lacks_what_its_best_pressure_would_give_it() -> None:
    best, window = np.array([-1.0, 0.0, 2.0]), np.array([0.5, 0.0, -0.5])
    gains = [
        float(grip_logs(exp(BEST_SPREAD * b), np.array([b]), np.array([w]))[0])
        for b, w in zip(best, window, strict=True)
    ]
    assert np.log(lost_today(best, window)) == pytest.approx([-gain for gain in gains])


def test_a_pressure_at_an_end_of_its_range_is_looked_for_inward() -> None:
    """By hand: from 20, with 12 the maker's minimum and 20 the end, half way to 16."""
    lever = rear_pressure(DEMO)
    assert lever is not None
    at = replace(lever, low=8.0, makers_minimum=12.0, high=20.0, tyre="radial")
    assert leaning(replace(at, start=20.0)) * BEST_SPREAD == pytest.approx(0.5 * log(16.0 / 20.0))
    assert leaning(replace(at, start=16.0)) == pytest.approx(0.0)
    assert leaning(replace(at, start=12.0)) > 0.0
    assert leaning(replace(at, high=inf)) == 0.0


def test_of_a_bias_slick_less_is_more_bite() -> None:
    """Until it wrinkles; of a radial too low hurts as well. Common practice, no source."""
    radial, slick = (leaning(replace(LEVER, tyre=kind)) for kind in ("radial", "bias slick"))
    assert SLICK_LEANS < 0.0
    assert slick - radial == pytest.approx(SLICK_LEANS)
