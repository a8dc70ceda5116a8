"""Which setting the times would have on the car: the likelier, and back to what is proven."""

import pytest

from rules.evidence.passes import PassTime
from rules.evidence.priors import for_sixty
from rules.evidence.recommendation import (
    WORTH_A_TURN_S,
    WORTH_KEEPING_S,
    Recommendation,
    recommended,
)
from rules.evidence.verdict import Verdict, judge
from rules.evidence.verdict_words import recommendation_words

NOISE = (0.003, -0.004, 0.001, -0.002, 0.004, 0.000, -0.003, 0.002, 0.001)


def judged(order: str, quicker: float) -> Verdict:
    passes = [
        PassTime(n, letter, 1.40 + NOISE[n] - quicker * (letter == "B"))
        for n, letter in enumerate(order)
    ]
    return judge(passes, "A", "B", for_sixty(1.40), None)


def advised(order: str, quicker: float, stands: str | None) -> Recommendation:
    found = recommended(judged(order, quicker), stands)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_nothing_is_recommended_before_both_ran() -> None:
    assert recommended(judged("AAA", 0.0), "old") is None


def test_the_likelier_setting_is_kept_and_said_not_to_be_proven() -> None:
    found = advised("AB", 0.020, "new")
    assert found.setting == "new"
    assert not found.proven
    assert not found.turn
    assert "not proven" in recommendation_words(found)


def test_proof_for_a_setting_that_is_not_on_the_car_asks_to_go_back_to_it() -> None:
    """A-B-A-B-A with 0.047 s gained ends on the old setting."""
    found = advised("ABABA", 0.047, "old")
    assert found.proven
    assert found.turn
    assert found.setting == "new"
    assert "Back to the setting with it: proven" in recommendation_words(found)


def test_proof_of_a_loss_asks_for_the_old_setting() -> None:
    found = advised("ABABAB", -0.047, "new")
    assert (found.setting, found.proven, found.turn) == ("old", True, True)
    assert "without it: proven quicker" in recommendation_words(found)


def test_next_to_nothing_leaves_the_car_on_the_setting_that_is_known() -> None:
    """What is expected of the new one is under a turn's worth: not gone back to, not thrown out."""
    found = judged("ABBAABBA", 0.0)
    assert found.word == "cannot tell"
    assert WORTH_KEEPING_S < -found.effect.mean < WORTH_A_TURN_S
    stays, keeps = advised("ABBAABBA", 0.0, "old"), advised("ABBAABBA", 0.0, "new")
    assert (stays.setting, stays.turn) == ("old", False)
    assert (keeps.setting, keeps.turn) == ("new", False)
    assert "the known one" in recommendation_words(stays)


@pytest.mark.parametrize("quicker", [-0.05, -0.01, 0.0, 0.01, 0.05])
def test_the_words_are_short_and_plain(quicker: float) -> None:
    for order in ("AB", "ABA", "ABBAABBA"):
        for stands in ("old", "new", None):
            told = recommendation_words(advised(order, quicker, stands))
            assert told.isascii()
            assert len(told) < 80
