"""A virtual day plays to its end, comes out the same twice, and its truth obeys statics.

No fault of the tool is asserted here: how well it does is in `report_days.py`.
"""

from dataclasses import asdict, replace

import pytest

from rules.car.adjusters import starts
from rules.launch.model import launch_model
from rules.launch.outlook import OutlookAsked
from tests.bench.virtual.cars import Air
from tests.bench.virtual.day import MOST_CHANGES, MOST_PASSES, Day, play_day
from tests.bench.virtual.family import true_car
from tests.bench.virtual.faults import clearly_worse, faults_of
from tests.bench.virtual.fleets import OTHER, USUAL, Fleet
from tests.bench.virtual.knowing import Knowing
from tests.bench.virtual.truth import G, launch


def _told(day: Day) -> dict[str, object]:
    return asdict(replace(day, cpu=[]))


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.sweep)])
def test_a_day_plays_to_its_end_and_the_same_way_again(seed: int) -> None:
    """Same seed, same decider: same car, same words, same turns."""
    first, _, _ = play_day(seed, None)
    assert first.end
    assert not first.end.startswith("stuck")
    assert 1 <= first.passes <= MOST_PASSES
    assert first.made <= MOST_CHANGES
    assert first.first
    again, _, _ = play_day(seed, None)
    assert _told(first) == _told(again)


@pytest.mark.parametrize("fleet", [USUAL, pytest.param(OTHER, marks=pytest.mark.sweep)])
def test_a_car_begins_with_faults_and_has_settings_without_any(fleet: Fleet) -> None:
    """The levers that were set wrong, set right again, leave a good car."""
    car = true_car(1, fleet=fleet)
    wrong = car.run(starts(car.file))
    assert faults_of(wrong)
    assert not faults_of(car.run(car.good))


def test_without_thrust_the_car_stands() -> None:
    """Static equilibrium: the springs and tyres were given their loads, so nothing moves."""
    car = replace(true_car(2).tuned, thrust=0.0)
    still = launch(car)
    assert abs(still.nose) < 1e-6
    assert still.least_rear == pytest.approx(1.0, abs=1e-6)
    assert still.lift == 0.0


def test_load_moves_as_statics_have_it() -> None:
    """While the wheels stay down the rear gains F h / L, Newton's second law about the contact."""
    car = true_car(2).tuned
    gentle = replace(car, thrust=0.15 * car.total * G, hump=0.0, anti_gain=0.0, drag=0.0, dips=())
    base = car.ahead + car.behind
    seen = launch(gentle)
    whole = sum(
        mass * height
        for mass, height in (
            (car.ms, car.hs),
            (car.front.mass, car.front.radius),
            (car.rear.mass, car.rear.radius),
        )
    )
    rest = (car.ms * G * car.ahead / base + car.rear.mass * G, 0.15 * G * whole / base)
    # The driveline's inertia takes its share of the push; the least load is at the softest moment.
    share = car.total / (car.total + car.turning)
    assert seen.least_rear == pytest.approx(1.0 + share * rest[1] / rest[0], rel=0.02)


def test_a_coarser_step_tells_the_same() -> None:
    """The step of the benchmark against one eight times finer."""
    car = true_car(2)
    one = car.at(starts(car.file), Air())
    coarse, fine = launch(one), launch(one, 0.00025)
    assert coarse.lift == pytest.approx(fine.lift, rel=0.03, abs=0.003)
    assert coarse.ring == pytest.approx(fine.ring, abs=0.003)
    assert coarse.sixty == pytest.approx(fine.sixty, abs=0.004)
    assert not clearly_worse(coarse, fine)


def test_who_knows_the_car_is_told_what_is_true_of_it() -> None:
    """Set right it is good in the day's scatter; as it stands it shows what it shows."""
    car = true_car(1)
    today = starts(car.file)
    faults = tuple(faults_of(car.run(today)))
    knowing = Knowing(car, Air, launch_model)
    told = knowing.look_ahead(OutlookAsked(car.file, today, (dict(car.good),), faults, (), 1))
    assert told.ways[0].gone == told.ways[0].good == 1.0
    assert told.unchanged.gone < 1.0
    assert told.unchanged.slower == 0.0
