"""Cars as standard normal numbers: moved, they stay so; a coming day moves thrust and grip."""

import numpy as np
import pytest

from rules.car.adjusters import starts
from rules.launch.belief.particles import (
    A_PASS,
    LAZY_BELOW,
    MOST_PASSES,
    NEXT,
    Cars,
    drawn,
    layout,
    lazy,
    meetings_of,
    nearby,
)
from rules.launch.proposed_change import Seen
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")


def test_a_moved_cloud_keeps_its_middle_and_its_spread() -> None:
    rng = np.random.default_rng(3)
    z = nearby(rng.standard_normal((4000, 5)), 0.65, 0.5, rng)
    assert np.mean(z) == pytest.approx(0.0, abs=0.03)
    # Numbers from further out than 2.5 are drawn in, which takes 2 % off the spread.
    assert np.std(z) == pytest.approx(0.98, abs=0.03)


def test_every_column_has_one_meaning() -> None:
    where = layout(DEMO)
    z = np.zeros((1, where.width))
    for number in (*range(MOST_PASSES), NEXT):
        before = where.day(z, 0, number)
        assert [float(one[0]) for one in before] == [1.0, 1.0]
    last = z.copy()
    last[:, -2] = 1.0
    thrust, grip = where.day(last, 0, NEXT)
    assert float(thrust[0]) == pytest.approx(np.exp(A_PASS[0]))
    assert float(grip[0]) == 1.0
    assert where.day(last, 0, MOST_PASSES - 1)[0][0] == 1.0


def test_one_lever_in_fifteen_hardly_acts() -> None:
    z = np.random.default_rng(1).standard_normal(20_000)
    assert np.mean(lazy(z) < LAZY_BELOW - 2.0) == pytest.approx(1 / 15, abs=0.01)


def test_the_car_on_paper_launches_with_its_own_thrust() -> None:
    z = drawn(DEMO, 4, np.random.default_rng(1))
    cars = Cars(DEMO, z).on(starts(DEMO), 0, NEXT)
    again = Cars(DEMO, z).on(starts(DEMO), 0, 0)
    assert cars[0] == again[0]
    assert cars[1]["F_launch"] != again[1]["F_launch"]


def test_meetings_are_counted_in_the_order_they_come() -> None:
    assert meetings_of([Seen(meeting=one) for one in ("b", "b", "a", "b")]) == [0, 0, 1, 0]
