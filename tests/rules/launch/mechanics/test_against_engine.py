"""The package against a general-purpose multibody engine, live, on cars drawn at random.

The engine builds its own mass matrix and Jacobians; forces and events are those of plain.py, which
shares no code with the package. The engine takes Runge-Kutta steps of 0.5 ms, which leaves it with
an error of its own at the stops; the tolerances are those of the reference cases.
"""

from functools import lru_cache
from math import pi

import pytest

from rules.launch.mechanics import Launches, LaunchStatus, launch_many
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import shares
from tests.support.sample import sampled

pytest.importorskip("mujoco")

from tests.support.launch.engine import Engine
from tests.support.launch.plain import read

CARS = random_cars(24, seed=20, t_end=3.0, thrust=(0.72, 0.94))


@lru_cache(maxsize=1)
def launches() -> Launches:
    """Return the launches of all the cars, run once for every test that looks at one."""
    return launch_many(CARS, step_s=0.0005)


def test_enough_of_the_cars_stay_in_the_model() -> None:
    assert sum(status is LaunchStatus.OK for status in launches().status) >= 20


@pytest.mark.parametrize("number", sampled(((number,) for number in range(len(CARS))), one_in=24))
def test_a_random_car_launches_as_in_the_engine(number: int) -> None:
    found = launches()
    wanted = read(Engine(CARS[number], step_s=0.0005).run(), CARS[number])
    if found.status[number] is not LaunchStatus.OK:
        assert found.status[number] is LaunchStatus.OVERTURNED
        assert wanted["pitch_max"] is not None
        assert wanted["pitch_max"] > pi / 2
        return
    used = shares(found.scalars(number), wanted)
    assert {name: share for name, share in used.items() if share > 1.0} == {}
