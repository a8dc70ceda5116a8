"""A cure that was run and showed the fault is no guess any more, nor is a part of it."""

import numpy as np
import pytest

from rules.launch.belief.likelihood import WRONG
from rules.launch.belief.seen_there import log_odds_seen
from rules.launch.proposed_change import Seen

ONE = float(np.log((1.0 - WRONG) / WRONG))
TODAY = {"launch rpm": 4600.0, "left front rebound": 8.0}


def ran(rpm: float, *symptoms: str, meeting: str = "m", rebound: float = 8.0) -> Seen:
    settings = (("launch rpm", rpm), ("left front rebound", rebound))
    return Seen(settings, symptoms=symptoms, meeting=meeting)


def seen(*passes: Seen, rpm: float = 4200.0, rebound: float = 8.0) -> float:
    way = {"launch rpm": rpm, "left front rebound": rebound}
    last = ran(4600.0, "spins-at-hit")
    found = log_odds_seen([*passes, last], TODAY, [way], ["spins-at-hit"])
    return float(found[0])


@pytest.mark.parametrize(("rpm", "against"), [(4200.0, ONE), (4400.0, ONE), (4100.0, 0.0)])
def test_a_pass_with_the_fault_speaks_against_its_turn_and_each_part_of_it(
    rpm: float, against: float
) -> None:
    """Further the same way may still cure; by hand from the odds of 9 words in 10 being right."""
    assert seen(ran(4200.0, "spins-at-hit"), rpm=rpm) == pytest.approx(-against)


def test_passes_add_up_and_one_without_the_fault_takes_one_back() -> None:
    bad, good = ran(4200.0, "spins-at-hit"), ran(4200.0, "it-is-good")
    assert seen(bad, bad) == pytest.approx(-2.0 * ONE)
    assert seen(bad, good) == pytest.approx(0.0)
    assert seen(good, rpm=4400.0) == 0.0


def test_another_lever_another_way_or_another_meeting_says_nothing() -> None:
    assert seen(ran(4200.0, "spins-at-hit"), rpm=5000.0) == 0.0
    assert seen(ran(4200.0, "spins-at-hit", rebound=10.0)) == 0.0
    assert seen(ran(4200.0, "spins-at-hit"), rpm=4600.0, rebound=10.0) == 0.0
    assert seen(ran(4200.0, "spins-at-hit", meeting="before")) == 0.0
