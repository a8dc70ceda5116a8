"""What takes long lets others on while it works, and comes to the same."""

from contextvars import copy_context

import pytest

from profiles.files import SHIPPED_CARS, load_car
from rules.car.adjusters import starts
from rules.giving_way import letting_on
from rules.launch import car_numbers as numbers
from tests.support.launch.launched_once import launch_many

DEMO = load_car(SHIPPED_CARS / "demo.toml")
OFTEN = 100


def test_the_numbers_of_a_car_let_others_on_and_stay_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The launch between its stretches, the landings car by car."""
    monkeypatch.setattr(numbers, "launch_many", launch_many)
    turns: list[None] = []

    def beside() -> numbers.CarNumbers:
        letting_on.set(lambda: turns.append(None))
        return numbers.car_numbers(DEMO, starts(DEMO))

    assert copy_context().run(beside) == numbers.car_numbers(DEMO, starts(DEMO))
    assert len(turns) > OFTEN
