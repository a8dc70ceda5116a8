"""Which setting the times would have on the car: the likelier, and back to what is proven."""

import pytest
from scipy import stats

from rules.evidence.belief import Belief
from rules.evidence.passes import PassTime
from rules.evidence.priors import for_sixty
from rules.evidence.recommendation import Recommendation, recommended
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


@pytest.mark.parametrize("stands", ["old", "new"])
def test_a_gain_that_may_as_well_be_a_loss_leaves_the_known_setting(stands: str) -> None:
    """Wherever the car stands: what was seen of two settings is the same."""
    found = judged("ABBA", 0.0)
    assert found.word == "cannot tell"
    assert found.effect.mean < 0.0 < found.effect.range[1]
    known = advised("ABBA", 0.0, stands)
    assert (known.setting, known.turn) == ("old", stands == "new")
    assert "the known one: a gain is too unsure yet" in recommendation_words(known)


def test_two_settings_alike_are_said_to_be() -> None:
    found = advised("ABBA", -0.003, "old")
    assert found.setting == "old"
    assert "the known one: no difference to speak of" in recommendation_words(found)


def test_what_may_be_lost_is_the_mean_of_what_is_above() -> None:
    """Against the numerical integral of a mixture (scipy)."""
    belief = Belief((0.3, 0.7), (-0.010, 0.004), (0.006, 0.011))
    parts = zip(belief.weights, belief.means, belief.sds, strict=True)
    above = sum(
        w * stats.norm(m, s).expect(lambda x: max(0.0, x - 0.002), lb=-0.1, ub=0.1)
        for w, m, s in parts
    )
    assert belief.mean_above(0.002) == pytest.approx(above, abs=1e-8)


@pytest.mark.parametrize("quicker", [-0.05, -0.01, 0.0, 0.01, 0.05])
def test_the_words_are_short_and_plain(quicker: float) -> None:
    for order in ("AB", "ABA", "ABBAABBA"):
        for stands in ("old", "new", None):
            told = recommendation_words(advised(order, quicker, stands))
            assert told.isascii()
            assert len(told) < 80


@pytest.mark.parametrize("chance", [0.001, 0.05, 0.5, 0.95, 0.999])
def test_a_quantile_is_met(chance: float) -> None:
    """Of a mixture with a narrow part far out, as two stories of a day make it."""
    belief = Belief((0.6, 0.39, 0.01), (-0.020, 0.030, 0.300), (0.004, 0.010, 0.001))
    assert belief.below(belief.quantile(chance)) == pytest.approx(chance, abs=2e-6)
