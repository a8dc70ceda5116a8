"""The word for how bad a fault was: it draws the belief its way, and throws no car out."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.adjusters import adjusters, starts
from rules.car.steps import moved
from rules.launch.belief.ahead import look_ahead
from rules.launch.belief.faults import EYE, FAULTS, indices, launched, of_symptom
from rules.launch.belief.how_bad import EDGES, middle_of, said_of
from rules.launch.belief.learning import KEPT, STEP_S, learnt
from rules.launch.belief.likelihood import WRONG
from rules.launch.belief.particles import Cars
from rules.launch.judged import JUDGED
from rules.launch.mechanics.run import launch_many
from rules.launch.outlook import OutlookAsked, Prospect
from rules.launch.proposed_change import Seen
from rules.launch.severity import PROMPTS, WORDS, how_bad
from rules.question import UNKNOWN
from tests.support.launch.car_questions import shipped_car
from tests.support.once import once
from tests.support.sample import sampled

DEMO = shipped_car("demo")
TODAY = starts(DEMO)
CARRIES = "front-carries"


def seen(word: str, *, symptom: str = CARRIES, measured: tuple = ()) -> Seen:
    """Return a pass on which a fault was as bad as that; "" where nobody was asked."""
    facts = ((how_bad(symptom), word),) if word else ()
    return Seen(tuple(sorted(TODAY.items())), facts, measured, symptoms=(symptom,))


@once
def after_more_rebound(word: str, clicks: int) -> Prospect:
    """Return what firmer front rebound comes to after such a pass."""
    turned = TODAY | {
        key: moved(one, TODAY[key], True, clicks)
        for key, one in adjusters(DEMO).items()
        if one.axle == "front" and one.part == "knob" and one.controls == "rebound"
    }
    asked = OutlookAsked(DEMO, TODAY, (turned,), (CARRIES,), (seen(word),), 48)
    return look_ahead(asked, seed=1).ways[0]


def believed(word: str) -> float:
    """Return how far over its line the fault is on the middle car of the cloud [-]."""
    cars = Cars(DEMO, learnt(DEMO, (seen(word),), 1).z).on(TODAY, 0, 0)
    run = launched(launch_many(cars, step_s=STEP_S), cars)
    return float(np.median(indices(run)[:, of_symptom(CARRIES)[0]]))


def test_every_fault_that_a_launch_has_a_number_of_has_its_words() -> None:
    assert EDGES.keys() == JUDGED
    assert set(PROMPTS) == set(map(how_bad, JUDGED))
    for symptom, edges in EDGES.items():
        assert len(edges) == len(of_symptom(symptom))
        assert all(1.0 < plain < bad for plain, bad in edges)


@given(st.floats(-3.0, 5.0), st.floats(0.01, 1.0))
def test_the_words_share_all_there_is_and_a_worse_fault_is_called_worse(
    over: float, more: float
) -> None:
    faults = np.full((2, len(FAULTS)), over)
    faults[1] += more
    for shares in said_of(faults).values():
        assert list(shares) == list(WORDS)
        assert sum(shares.values()) == pytest.approx([1.0, 1.0])
        assert all((share >= 0.0).all() for share in shares.values())
        little, _, badly = shares.values()
        assert little[1] <= little[0]
        assert badly[1] >= badly[0]


@pytest.mark.parametrize("symptom", sorted(JUDGED))
def test_each_word_is_the_likeliest_somewhere_over_the_line(symptom: str) -> None:
    """A fault just over its line is little, one in the middle band plain, one far over it bad."""
    [*edges] = EDGES[symptom]
    for place, (plain, bad) in zip(of_symptom(symptom), edges, strict=True):
        faults = np.full((3, len(FAULTS)), -1.0)
        faults[:, place] = np.log([1.001, np.sqrt(plain * bad), bad**2 / plain * 1.01])
        shares = np.array(list(said_of(faults)[how_bad(symptom)].values()))
        assert shares.argmax(axis=0).tolist() == [0, 1, 2]


@pytest.mark.parametrize("symptom", sorted(JUDGED))
def test_a_word_says_in_which_band_a_fault_is_and_dont_know_says_nothing(symptom: str) -> None:
    for place, edges in zip(of_symptom(symptom), EDGES[symptom], strict=True):
        plain, bad = np.log(edges)
        told = [middle_of(place, {how_bad(symptom): word}) for word in WORDS]
        little, middle, badly = (one[0] for one in told if one is not None)
        assert 0.0 < little < plain < middle < bad < badly
        assert all(one is not None and one[1] >= EYE for one in told)
        assert middle_of(place, {how_bad(symptom): UNKNOWN}) is None
        assert middle_of(place, {}) is None


@pytest.mark.sweep
def test_one_word_in_ten_is_wrong_so_no_word_throws_a_car_out() -> None:
    found = learnt(DEMO, tuple(seen(word) for word in WORDS), 1)
    assert len(found.z) == KEPT
    assert np.isfinite(found.loglik).all()
    assert np.exp(found.loglik[:, -1]).min() > (WRONG / 3.0) * WRONG**2 / 20.0


@pytest.mark.long
def test_the_worse_the_word_the_further_over_its_line_the_fault_is_believed() -> None:
    found = [believed(word) for word in WORDS]
    assert all(later > earlier + 0.1 for earlier, later in pairwise(found))


@pytest.mark.long
def test_dont_know_teaches_no_more_than_not_being_asked() -> None:
    assert np.array_equal(learnt(DEMO, (seen(UNKNOWN),), 1).z, learnt(DEMO, (seen(""),), 1).z)


@pytest.mark.sweep
def test_dont_know_foretells_no_other_than_not_being_asked() -> None:
    assert after_more_rebound(UNKNOWN, 3) == after_more_rebound("", 3)


@pytest.mark.parametrize("clicks", sampled([(4,), (2,), (8,)], 3))
def test_the_same_turn_is_less_of_a_cure_the_worse_the_fault_was(clicks: int) -> None:
    chances = [after_more_rebound(word, clicks).gone for word in WORDS]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > chances[-1] + 0.1


@pytest.mark.sweep
def test_a_word_beside_a_reading_never_silences_it() -> None:
    """A measured lift and any word about it leave a cloud that still goes about as high."""
    for word in ("", *WORDS):
        one = seen(word, measured=(("lift", (0.42, 0.03)),))
        belief = learnt(DEMO, (one,), 1)
        cars = Cars(DEMO, belief.z).on(TODAY, 0, 0)
        lifts = launched(launch_many(cars, step_s=STEP_S), cars).columns["front_lift_max"]
        assert len(np.unique(belief.z, axis=0)) > KEPT // 4
        assert np.median(lifts) == pytest.approx(0.42, abs=0.08)
