"""What is believed of a car: the same again, never empty, nearer to what was measured."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from rules.car.adjusters import starts
from rules.launch.belief import lane_air_track
from rules.launch.belief.faults import launched
from rules.launch.belief.lane_air_track import COLUMNS
from rules.launch.belief.learning import (
    FIRST,
    KEPT,
    STEP_S,
    _log_likelihoods,
    learnt,
)
from rules.launch.belief.particles import Cars, drawn, meetings_of, untouched
from rules.launch.mechanics.run import launch_many
from rules.launch.pass_conditions import PassConditions
from rules.launch.proposed_change import Seen
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
HERE = tuple(sorted(starts(DEMO).items()))
WORDS = Seen(
    HERE,
    (("stand", "big"), ("front-travel", "at-stop")),
    symptoms=("front-drops-hard",),
)
LIFT_M = 0.42
TOLD = Seen(
    HERE,
    WORDS.facts,
    (("airborne", (1.1, 0.05)), ("front ring", (0.066, 0.003)), ("lift", (LIFT_M, 0.03))),
    symptoms=WORDS.symptoms,
    sixty_s=1.30,
)
# Nothing a car could do: a stand of a metre without any time in the air.
AGAINST_ITSELF = Seen(HERE, WORDS.facts, (("airborne", (0.0, 0.02)), ("lift", (1.0, 0.02))))


def untouched_beside(passes: tuple[Seen, ...]) -> np.ndarray:
    """Return the columns of lane, air and track that no pass speaks of."""
    return lane_air_track.untouched([one.noted for one in passes], meetings_of(passes))


def lifts(seen: tuple[Seen, ...]) -> np.ndarray:
    """Return how high the cars go that are believed after these passes [m]."""
    cars = Cars(DEMO, learnt(DEMO, seen, 1).z).on(dict(HERE), 0, len(seen) - 1)
    return launched(launch_many(cars, step_s=STEP_S), cars).columns["front_lift_max"]


@pytest.mark.sweep
def test_the_same_passes_and_seed_give_the_same_cloud() -> None:
    first = learnt(DEMO, (WORDS,), 1).z
    learnt.cache_clear()
    assert np.array_equal(first, learnt(DEMO, (WORDS,), 1).z)


@pytest.mark.sweep
def test_another_seed_gives_another_cloud() -> None:
    assert not np.array_equal(learnt(DEMO, (WORDS,), 1).z, learnt(DEMO, (WORDS,), 2).z)


def test_before_any_pass_the_cloud_is_the_car_file_and_its_first_car_is_on_paper() -> None:
    z = learnt(DEMO, (), 1).z
    assert z.shape[0] == FIRST
    assert not z[0].any()


@pytest.mark.long
def test_measuring_draws_the_cloud_to_what_was_measured() -> None:
    words, told = lifts((WORDS,)), lifts((TOLD,))
    assert np.std(told) < np.std(words)
    assert np.median(told) == pytest.approx(LIFT_M, abs=0.06)


@pytest.mark.parametrize(
    "odd",
    [
        pytest.param(AGAINST_ITSELF, id="against itself"),
        pytest.param(TOLD, id="like it", marks=pytest.mark.sweep),
    ],
)
def test_no_reading_empties_the_cloud_and_no_car_stands_for_all(odd: Seen) -> None:
    belief = learnt(DEMO, (TOLD, odd), 1)
    assert len(belief.z) == KEPT
    assert np.isfinite(belief.z).all()
    assert np.isfinite(belief.loglik).all()
    assert len(np.unique(belief.z, axis=0)) > KEPT // 4


@pytest.mark.sweep
def test_more_passes_of_the_same_narrow_it_further_or_leave_it() -> None:
    spreads = [np.std(lifts((TOLD,) * count)) for count in (1, 2, 3)]
    assert all(later < 1.5 * earlier for earlier, later in pairwise(spreads))


TURNED = replace(TOLD, settings=tuple(sorted((dict(HERE) | {"launch rpm": 4200.0}).items())))


IN_A_LANE = replace(TOLD, noted=PassConditions(lane="left", track_c=30.0))


@pytest.mark.parametrize(
    "passes",
    [(TOLD,), (TOLD, TURNED), (TOLD, IN_A_LANE)],
    ids=["as it stood", "turned", "in a lane"],
)
def test_no_pass_depends_on_what_is_drawn_anew(passes: tuple[Seen, ...]) -> None:
    belief = learnt(DEMO, passes, 1)
    free = untouched(DEMO, passes)
    other = belief.z.copy()
    other[:, free] = drawn(DEMO, KEPT, np.random.default_rng(5))[:, free]
    beside, free = belief.beside.copy(), untouched_beside(passes)
    beside[:, free] = np.random.default_rng(6).standard_normal(beside.shape)[:, free]
    before = _log_likelihoods(DEMO, belief.z, belief.beside, passes)
    assert np.array_equal(before, _log_likelihoods(DEMO, other, beside, passes))


def test_what_no_pass_speaks_of_stays_as_open_as_before_any() -> None:
    """Standard normal, and hardly a car like another: what is far out is drawn in to 2.5."""
    passes = (TOLD, TOLD, TURNED)
    belief = learnt(DEMO, passes, 1)
    open_still = belief.z[:, untouched(DEMO, passes)]
    beside = belief.beside[:, untouched_beside(passes)]
    assert beside.shape == belief.beside.shape, "nobody noted lane, air or track"
    for column in (*open_still.T, *beside.T):
        assert len(np.unique(column)) > 0.9 * KEPT
    assert np.std(open_still) == pytest.approx(1.0, abs=0.05)
    assert np.std(beside) == pytest.approx(1.0, abs=0.1)


def test_what_was_noted_is_learnt() -> None:
    open_still = untouched_beside((TOLD, IN_A_LANE, IN_A_LANE))
    assert open_still.sum() == COLUMNS - 1, "the lane of this meeting; the track was no hotter"
    hotter = replace(IN_A_LANE, noted=PassConditions(lane="left", track_c=40.0))
    assert untouched_beside((TOLD, IN_A_LANE, hotter)).sum() == COLUMNS - 2
