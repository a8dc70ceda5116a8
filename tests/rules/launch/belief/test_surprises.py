"""How rare a pass is by those before it: what repeats is none, what a broken car does is one."""

from dataclasses import replace

import numpy as np
import pytest

from rules.car.adjusters import starts
from rules.launch.belief.faults import indices
from rules.launch.belief.likelihood import log_likelihood
from rules.launch.belief.surprises import cloud_before, surprise, weighed_on
from rules.launch.proposed_change import Range, Seen
from rules.launch.surprise import RARE, SurpriseAsked
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
SETTINGS = tuple(sorted(starts(DEMO).items()))
USUAL = Seen(
    settings=SETTINGS,
    facts=(("bars", "clear"), ("carry", "short"), ("hooked", "yes"), ("stand", "small")),
    measured=(("front ring", (0.045, 0.003)), ("lift", (0.12, 0.02))),
    symptoms=("front-bounces",),
    sixty_s=1.55,
    meeting="m",
)
# The thrust is gone: no stand, a slow 60-foot, and the tyre never worked.
LOST = replace(
    USUAL,
    facts=(("bars", "clear"), ("carry", "short"), ("hooked", "lazy"), ("stand", "none")),
    measured=(("front ring", (0.010, 0.003)), ("lift", (0.0, 0.02))),
    symptoms=("front-slow-to-rise",),
    sixty_s=1.95,
)
# The stand is past every bar, though nothing was turned.
HIGH = replace(
    USUAL,
    facts=(("bars", "hit"), ("carry", "long"), ("hooked", "yes"), ("stand", "dangerous")),
    measured=(("front ring", (0.090, 0.003)), ("lift", (0.9, 0.02))),
    symptoms=("front-carries", "wheelie-bar-hits"),
    sixty_s=1.45,
)


SEEDS = range(3, 8)


def found(*passes: Seen, seed: int = 3) -> float:
    came = surprise(SurpriseAsked(DEMO, passes), seed)
    assert came is not None
    return came.chance


def test_a_first_pass_is_none() -> None:
    assert surprise(SurpriseAsked(DEMO, (USUAL,))) is None


@pytest.mark.long
def test_what_repeats_is_none_and_what_a_changed_car_does_is_one() -> None:
    """Whatever the cloud is drawn by; how usual the usual is differs from one to another."""
    # The middle of five clouds moves by a tenth from one five to another.
    assert np.median([found(USUAL, USUAL, USUAL, seed=seed) for seed in range(1, 13)]) > 0.2
    for seed in SEEDS:
        assert found(USUAL, USUAL, LOST, seed=seed) < RARE
        assert found(USUAL, USUAL, HIGH, seed=seed) < RARE


def test_a_single_slip_of_the_tongue_is_none() -> None:
    for one in (
        replace(USUAL, symptoms=("rear-tops-out",)),
        replace(USUAL, facts=tuple((p, "none" if p == "stand" else w) for p, w in USUAL.facts)),
    ):
        assert found(USUAL, USUAL, one) >= RARE


def test_a_number_far_from_all_that_was_foretold_is_one_by_itself_unless_the_tyre_spun() -> None:
    slow = replace(USUAL, sixty_s=1.95)
    assert found(USUAL, USUAL, slow) < RARE
    assert found(USUAL, USUAL, replace(slow, symptoms=("spins-at-hit",))) >= RARE


def test_what_stands_out_most_is_named_first_with_what_was_foretold() -> None:
    came = surprise(SurpriseAsked(DEMO, (USUAL, USUAL, HIGH)), 3)
    assert came is not None
    odd = [one.odd for one in came.sights]
    assert odd == sorted(odd)
    assert all(0.0 <= one.odd <= 1.0 and 0.0 <= one.share <= 1.0 for one in came.sights)
    lift = next(one for one in came.sights if one.name == "lift")
    assert isinstance(lift.foretold, Range)
    assert lift.foretold.high < 0.9


def test_the_same_passes_and_seed_surprise_alike() -> None:
    assert found(USUAL, LOST) == found(USUAL, LOST)


@pytest.mark.parametrize("seen", [USUAL, LOST, replace(HIGH, braked=True)])
def test_what_is_weighed_is_what_the_cloud_learns_from(seen: Seen) -> None:
    """The sightings of a surprise together are the likelihood that reweights the cloud."""
    passes = (USUAL, seen)
    cloud = cloud_before(SurpriseAsked(DEMO, passes), passes, 3)
    came = np.sum([one.came for one in weighed_on(cloud, seen)], axis=0)
    run, crew = cloud.cars.run, cloud.cars.crew
    assert came == pytest.approx(log_likelihood(run, indices(run), crew, seen, None))
