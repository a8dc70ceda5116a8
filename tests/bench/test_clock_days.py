"""Days on the clock play to their end and the same way again; false words stay rare.

How well the clock does is in `report_clock_days.py`. The bound here is one false "helped" in
twenty, with room for the luck of few days (binomial, scipy).
"""

import numpy as np
import pytest
from scipy.stats import binom

from tests.bench.clock_days.play import keep_if_faster, play
from tests.bench.clock_days.program import shipped
from tests.bench.clock_days.world import drawn_day

PASSES = 7


def test_a_day_plays_the_same_way_again() -> None:
    first, again = (play(drawn_day(3, 2.0, PASSES), shipped, PASSES) for _ in range(2))
    assert first.letters == again.letters
    assert first.looks == again.looks
    assert len(first.letters) == PASSES
    assert first.letters.startswith("AB")


def test_the_effect_is_what_the_day_says_it_is() -> None:
    """Without a change of setting nothing of it shows; the rule of thumb takes its luck."""
    day, other = drawn_day(4, 0.0, PASSES), drawn_day(4, 3.0, PASSES)
    assert np.array_equal(day.today.old_s, other.today.old_s)
    assert day.effect_s == 0.0
    assert abs(other.effect_s) == 3.0 * other.scatter_s
    assert keep_if_faster(play(day, shipped, 2)) in "AB"


@pytest.mark.parametrize("days", [20, pytest.param(40, marks=pytest.mark.sweep)])
def test_a_change_without_effect_is_rarely_said_to_help(days: int) -> None:
    played = [play(drawn_day(seed, 0.0, PASSES), shipped, PASSES) for seed in range(days)]
    assert sum(one.ever("helped") for one in played) <= binom.ppf(0.999, days, 0.05)


def test_old_passes_and_other_meetings_are_played_too() -> None:
    alone = play(drawn_day(5, 2.0, PASSES), shipped, PASSES)
    more = play(drawn_day(5, 2.0, PASSES, old=14, meetings=2), shipped, PASSES)
    assert alone.times[:2] == more.times[:2]
    assert alone.looks[0] != more.looks[0]
