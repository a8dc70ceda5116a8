"""The next round's time: its range follows the car's scatter, its air how the engine breathes."""

import numpy as np
import pytest

from rules.evidence.next_round import ExpectedTime, expected_next
from rules.evidence.passes import PassTime
from rules.passes.air_effect import air_part
from rules.passes.breathing import CALLED, KINDS, Breathing, power_by_density

# Noise of an invented car, mean zero and about 0.008 s.
NOISE = (0.004, -0.009, 0.006, -0.003, 0.010, -0.007, 0.001, -0.010, 0.008, 0.000, -0.005, 0.005)


def ran(
    scatters: float = 1.0, level: float = 9.00, meeting: str = "", first: int = 0
) -> list[PassTime]:
    return [
        PassTime(first + n, "A", level + scatters * one, air_density=1.15, meeting=meeting)
        for n, one in enumerate(NOISE[:8])
    ]


def width(told: ExpectedTime) -> float:
    return told.high - told.low


def test_the_next_round() -> None:
    same = expected_next(ran(), "A", 1.15, breathing="unblown")
    thin = expected_next(ran(), "A", 1.10, breathing="unblown")
    assert same.low < same.seconds < same.high
    assert same.seconds == pytest.approx(9.0, abs=0.02)
    assert thin.seconds - same.seconds == pytest.approx(9.0 * 0.05 / 1.15 / 3, abs=0.01)
    assert width(thin) > width(same)
    assert thin.air is not None
    assert thin.air.seconds == pytest.approx(thin.seconds - same.seconds, abs=0.01)
    assert same.words.startswith("Expected 8.99")
    assert "air left out" in expected_next(ran(), "A").words
    assert width(expected_next(ran()[:1], "A", 1.15)) > width(same)


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="passes on B: found no clean one"):
        expected_next(ran(), "B")
    with pytest.raises(ValueError, match="air density: found 0"):
        expected_next(ran(), "A", 0.0)


def test_the_range_is_as_wide_as_the_car_scatters() -> None:
    steady, usual, wild = (width(expected_next(ran(one), "A", 1.15)) for one in (0.5, 1.0, 3.0))
    assert 1.2 * steady < usual < 0.6 * wild


def test_earlier_days_teach_the_scatter_before_this_day_can() -> None:
    today = ran(0.5, first=40)[:3]
    days = [*ran(0.5, 9.1, "spring"), *ran(0.5, 8.9, "summer", 20)]
    alone, learnt = (expected_next(today, "A", 1.15, earlier=one) for one in ((), days))
    assert width(learnt) < 0.85 * width(alone)


def test_the_car_teaches_what_the_air_does_to_it() -> None:
    """A boosted car that nobody asked about, seen in thick and thin air, is not slowed by thin."""
    chance = np.random.default_rng(1)
    passes = [
        PassTime(n, "A", 7.5 + float(one), air_density=1.20 - 0.012 * (n % 6), meeting="")
        for n, one in enumerate(chance.normal(0.0, 0.006, 12))
    ]
    seen = expected_next(passes, "A", 1.12)
    unseen = expected_next([passes[0]], "A", 1.12)
    assert seen.air is not None
    assert unseen.air is not None
    assert abs(seen.air.seconds) < 0.5 * abs(unseen.air.seconds)
    assert seen.air.give_s < unseen.air.give_s


@pytest.mark.parametrize(
    ("one", "other"),
    [("unblown", "turbo"), ("turbo", "turbo held"), ("nitrous", "turbo held")],
)
def test_what_holds_its_own_air_is_slowed_less(one: Breathing, other: Breathing) -> None:
    """Which goes with the air more than which: common practice, no source."""
    slowed = [air_part(9.0, 1.15, 1.10, False, breathing).seconds for breathing in (one, other)]
    assert slowed[0] > slowed[1] > 0.0


def test_every_way_to_breathe_is_told_and_not_knowing_is_the_widest() -> None:
    assert set(CALLED) == set(KINDS)
    assert all(power_by_density(None)[1] > power_by_density(one)[1] for one in KINDS)
