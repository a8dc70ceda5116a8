"""Knobs, and the clicks on new valving that give the old force back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.launch.mechanics.crossover import crossover, match_at
from rules.launch.mechanics.damper import (
    KnobPart,
    KnobRange,
    TwoPoints,
    between,
    forces_at,
    generic_range,
    scaled,
)
from rules.launch.mechanics.dyno import dyno_table
from rules.launch.mechanics.valve import Valve

MIDDLE = Valve(kb=3e5, f0=400.0, chs=1800.0)
KNOB = generic_range(MIDDLE, KnobPart.WHOLE, clicks=12)


@given(st.integers(0, 12), st.floats(0.01, 1.0), st.booleans())
def test_the_same_valving_crosses_over_to_the_same_click(
    click: int, speed: float, from_hard: bool
) -> None:
    knob = KnobRange(KNOB.soft, KNOB.firm, 12, from_hard)
    match = match_at(knob.curve(click), knob, speed)
    assert match.setting == click
    assert match.exact == pytest.approx(click, abs=1e-6)
    assert match.off == pytest.approx(0.0, abs=1e-9)


def test_low_and_high_speed_have_answers_of_their_own() -> None:
    old = Valve(kb=3e5, f0=400.0, chs=2600.0)
    new = generic_range(MIDDLE, KnobPart.WHOLE, clicks=40)
    answer = crossover(old, new)
    assert answer.low.reachable
    assert answer.high.reachable
    assert answer.low.setting != answer.high.setting
    assert not answer.agrees
    assert abs(answer.high.off) < 0.02


def test_what_no_click_gives_is_not_reachable() -> None:
    answer = match_at(scaled(MIDDLE, KnobPart.WHOLE, 3.0), KNOB, 0.1)
    assert not answer.reachable
    assert answer.setting is None
    assert answer.exact is None
    assert answer.force == pytest.approx(float(KNOB.firm.force(0.1)))
    with pytest.raises(ValueError, match="no force"):
        match_at(MIDDLE, KNOB, 0.0)


def test_a_measured_table_takes_part_and_counts_from_hard() -> None:
    table = dyno_table([0, 4, 8], [0.05, 0.25], [[400, 300, 200], [1200, 800, 600]])
    match = match_at(table.curve(2), table, 0.05)
    assert match.exact == pytest.approx(2.0)
    assert match.setting in (0.0, 4.0)


def test_each_knob_moves_its_own_part_of_the_curve() -> None:
    slow, fast = 0.01, 1.0
    bleed = scaled(MIDDLE, KnobPart.BLEED, 1.5)
    assert float(bleed.force(slow) / MIDDLE.force(slow)) == pytest.approx(1.5)
    assert float(bleed.force(fast) / MIDDLE.force(fast)) < 1.05
    high = scaled(MIDDLE, KnobPart.HIGH_SPEED, 1.5)
    assert high.force(slow) == MIDDLE.force(slow)
    assert float(high.force(fast) / MIDDLE.force(fast)) > 1.3
    preload = scaled(MIDDLE, KnobPart.PRELOAD, 1.5)
    assert preload.force(slow) == MIDDLE.force(slow)
    assert (preload.kb, preload.chs) == (MIDDLE.kb, MIDDLE.chs)


def test_halfway_is_the_geometric_mean() -> None:
    half = between(Valve(1e5, 100.0, 1000.0), Valve(4e5, 400.0, 4000.0), 0.5)
    assert (half.kb, half.f0, half.chs) == pytest.approx((2e5, 200.0, 2000.0))
    assert between(Valve(1e5, 0.0, 1e3), Valve(1e5, 400.0, 1e3), 0.25).f0 == pytest.approx(100.0)


def test_two_published_points_at_each_end_make_a_knob() -> None:
    points = TwoPoints(
        soft=((0.05, 200.0), (0.25, 500.0)), firm=((0.05, 500.0), (0.25, 1300.0)), clicks=10
    )
    forces = forces_at(points.range(), 0.25)
    assert forces[[0, -1]] == pytest.approx([500.0, 1300.0])
    bad = TwoPoints(soft=((0.05, 200.0), (0.25, 100.0)), firm=points.firm, clicks=10)
    with pytest.raises(ValueError, match="soft end"):
        bad.range()


@pytest.mark.parametrize("clicks", [0, -1, 1000])
def test_a_knob_has_clicks(clicks: int) -> None:
    with pytest.raises(ValueError, match="clicks"):
        KnobRange(MIDDLE, MIDDLE, clicks)


@pytest.mark.parametrize(("fastest", "high"), [(0.2, True), (0.254 / 1.5, True), (0.1, False)])
def test_far_past_the_fastest_point_no_answer_is_given(fastest: float, high: bool) -> None:
    answer = crossover(MIDDLE, KNOB, fastest=fastest)
    assert answer.low.reachable
    assert answer.low.measured_to is None
    assert answer.high.reachable is high
    assert answer.high.measured_to == (None if high else fastest)
    assert not (answer.agrees and not high)
