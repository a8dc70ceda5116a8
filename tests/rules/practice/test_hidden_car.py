"""The virtual car: the same seed, the same truth; one to three faults; few turns from its cure."""

from dataclasses import replace
from itertools import pairwise

import pytest

from profiles.practice import drawn_from
from rules.car.adjusters import adjusters, starts
from rules.practice.all_knowing import more_dangerous, road
from rules.practice.hidden_car import MOST_CHANGES, MOST_FAULTS, hidden_car, misset
from rules.practice.outcome import outcomes
from rules.practice.played_pass import played
from rules.practice.turns import single_turns
from tests.support.practice import SEED, practice_truth
from tests.support.sample import sampled

FILE = drawn_from()


@pytest.mark.long
def test_the_same_seed_is_the_same_car_and_the_same_passes() -> None:
    one, again = practice_truth(), hidden_car(FILE, SEED)
    assert one.at(one.starts) == again.at(again.starts)
    for number in (1, 2):
        first, second = (played(car, car.starts, number) for car in (one, again))
        assert first.outcome.columns == second.outcome.columns
    assert one.on_pass(one.starts, 1)["mu"] != one.on_pass(one.starts, 2)["mu"]


@pytest.mark.long
@pytest.mark.parametrize("seed", sampled([(seed,) for seed in (SEED, *range(7, 19))], 13))
def test_something_is_wrong_and_few_turns_put_it_right(seed: int) -> None:
    """A day has one to three faults, a car that stays on its wheels, and a cure without danger."""
    car = practice_truth(seed)
    way = road(FILE, car.at, car.starts, MOST_CHANGES)
    assert 1 <= len(way[0].outcome.faults) <= MOST_FAULTS
    assert not way[0].outcome.over
    assert not way[-1].outcome.faults
    assert 1 <= len(way) - 1 <= MOST_CHANGES
    for before, after in pairwise(way):
        assert not more_dangerous(before.outcome, after.outcome)


def test_it_is_one_of_the_cars_the_file_leaves_open_and_not_the_one_on_paper() -> None:
    car = practice_truth()
    paper, true = car.truth.paper.params, car.truth.around[0]
    assert true["F_launch"] != paper["F_launch"]
    assert true["mu"] != paper["mu"]
    assert abs(true["ms"] / paper["ms"] - 1.0) < 0.02


@pytest.mark.parametrize("seed", range(60))
def test_levers_stand_where_they_can_stand(seed: int) -> None:
    """Both sides of a pair alike, no pressure under the maker's minimum, nothing off its range."""
    fitted, settings = adjusters(FILE), misset(FILE, seed)
    assert settings.keys() == starts(FILE).keys()
    for one in fitted.values():
        assert one.holds(settings[one.id])
        assert settings[one.id] >= one.floor
        if one.partner:
            assert settings[one.id] == settings[one.partner]


def test_the_turns_of_the_all_knowing_stay_within_every_end() -> None:
    for turn in single_turns(FILE, starts(FILE)):
        moved = {key for key, value in turn.settings.items() if value != starts(FILE)[key]}
        assert moved == {one.id for one in turn.levers}
        assert all(one.floor <= turn.settings[one.id] <= one.high for one in turn.levers)


def test_a_tyre_that_spins_is_called_by_one_name() -> None:
    """It spun at the hit, or it hooked and let go: never both of one launch."""
    car = practice_truth()
    weak = {**car.at(car.starts), "mu": 0.7 * car.at(car.starts)["mu"]}
    (found,) = outcomes([weak], FILE.may_have_bars)
    assert len({"spins-at-hit", "unloads-after-hit"} & found.faults.keys()) == 1
    assert replace(found, faults={}).badness == 0.0
