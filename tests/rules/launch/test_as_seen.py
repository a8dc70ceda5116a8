"""Cars chosen by what was seen on more than one pass."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pytest

from rules.launch.as_seen import KEPT, MOST_SETTINGS, POOL, AsSeen, as_seen
from rules.launch.cloud.car_cloud import SEED, typical_cars
from rules.launch.forecast import forecast
from rules.launch.forecast_words import expected_text
from rules.launch.mechanics import launch_many
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from tests.support.launch.car_questions import pair, question, shipped_car, turned

DEMO = shipped_car("demo")
NOW = replace(
    question(DEMO, pair("rebound"), True, 3, "front-drops-hard", stand="big"),
    measured={"lift": (0.45, 0.03)},
)


def clicks(steps: int, lift: float) -> Seen:
    """A pass with the front rebound so many clicks firmer, and the lift measured on it [m]."""
    settings = turned(DEMO, pair("rebound"), True, steps)
    return Seen(tuple(sorted(settings.items())), measured=(("lift", (lift, 0.03)),))


def chosen(asked: ProposedChange) -> AsSeen:
    return as_seen(asked.car, asked.seen, POOL, SEED)


def lifts(every: Sequence[AsSeen], *steps: int) -> Iterator[np.ndarray]:
    """Return how high the cars of each lift, the front rebound so many clicks firmer [m]."""
    batch = [
        one
        for number in steps
        for found in every
        for one in typical_cars(DEMO, turned(DEMO, pair("rebound"), True, number), found.kept).cars
    ]
    lift = launch_many(batch, step_s=0.002).columns["front_lift_max"]
    return iter(np.split(lift, len(steps) * len(every)))


@pytest.mark.long
def test_an_earlier_pass_narrows_what_another_setting_would_do() -> None:
    """Most of all where it was run, and by and large where it was not."""
    firm, soft = [], []
    for seed in range(5):
        one, two = (
            as_seen(asked.car, asked.seen, POOL, seed)
            for asked in (NOW, replace(NOW, earlier=(clicks(-2, 0.55),)))
        )
        assert (one.passes, two.passes) == (1, 2)
        firm_by_one, firm_by_two, soft_by_one, soft_by_two = lifts((one, two), 3, -2)
        firm.append(np.nanstd(firm_by_two) / np.nanstd(firm_by_one))
        soft.append(np.nanstd(soft_by_two) / np.nanstd(soft_by_one))
        off = [np.nanmedian(np.abs(by - 0.55)) for by in (soft_by_two, soft_by_one)]
        assert off[0] < off[1]
        assert two.effective < one.effective
        assert len(two.kept.numbers) == KEPT
    assert max(soft) < 0.8
    assert np.median(firm) < 0.95


@pytest.mark.sweep
@pytest.mark.parametrize(("pool", "seed"), [(90, 1), (POOL, SEED)])
def test_the_same_passes_choose_the_same_cars(pool: int, seed: int) -> None:
    asked = replace(NOW, earlier=(clicks(-2, 0.55),))
    one = as_seen(asked.car, asked.seen, pool, seed)
    as_seen.cache_clear()
    two = as_seen(asked.car, asked.seen, pool, seed)
    assert np.array_equal(one.kept.numbers, two.kept.numbers)


@pytest.mark.sweep
def test_an_earlier_pass_moves_the_answer_the_way_it_speaks() -> None:
    high = forecast(replace(NOW, earlier=(clicks(-2, 0.62),)))
    low = forecast(replace(NOW, earlier=(clicks(-2, 0.48),)))
    # A knob that did much then does much now.
    more, less = (one.effect("lift") for one in (high, low))
    assert more is not None
    assert less is not None
    fall = [one.before.middle - one.after.middle for one in (more, less)]
    assert fall[0] > fall[1]


@pytest.mark.sweep
def test_passes_that_no_car_does_together_leave_the_model_without_a_say() -> None:
    found = forecast(replace(NOW, earlier=(clicks(-2, 0.30), clicks(-4, 0.25))))
    assert found.standing in ("unsure", "too little known")
    assert found.step == found.trade_step


@pytest.mark.sweep
def test_too_few_different_cars_is_too_little_known() -> None:
    tight = replace(NOW, measured={"lift": (0.45, 0.03), "airborne": (1.25, 0.004)})
    tight = replace(tight, earlier=(clicks(-2, 0.55), clicks(-4, 0.7)))
    found = forecast(tight)
    assert found.effective < 5.0
    assert found.standing in ("unsure", "too little known")
    assert found.step == found.trade_step


def test_the_words_for_too_few_cars_end_in_what_to_measure() -> None:
    found = Expected(
        standing="too little known",
        reason="few cars do what was seen",
        trade_step=3,
        step=3,
        measure_first=("launch.peak_g", "geometry.cg_height"),
    )
    text = expected_text(found, "us")
    assert text.startswith("No say: few cars do what was seen. Measure first: ")


@pytest.mark.sweep
def test_the_order_of_one_setting_does_not_matter_and_many_are_cut() -> None:
    many = tuple(clicks(n, 0.5 - 0.03 * n) for n in (-4, -3, -2, -1, 1))
    assert chosen(replace(NOW, earlier=many)).passes == 1 + MOST_SETTINGS
    again = (clicks(-2, 0.55), clicks(-2, 0.54))
    assert chosen(replace(NOW, earlier=again)).passes == 3
