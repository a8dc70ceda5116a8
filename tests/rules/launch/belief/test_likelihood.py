"""How likely a car is to have done what was seen: no word and no reading throws a car out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.adjusters import starts
from rules.launch.belief.faults import EYE, HIGH_NOSE, SLOW_NOSE, Launched, below, indices, launched
from rules.launch.belief.learning import STEP_S
from rules.launch.belief.likelihood import Crew, log_likelihood, there
from rules.launch.belief.particles import Cars, drawn, layout
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Seen
from tests.support.launch.car_questions import shipped_car
from tests.support.once import once

DEMO = shipped_car("demo")
COUNT = 40
STANDS = ("none", "small", "big", "dangerous")


@once
def cloud() -> tuple[Launched, Crew]:
    """Return a small cloud of the demonstration car, launched, and its crews."""
    z = drawn(DEMO, COUNT, np.random.default_rng(5))
    cars = Cars(DEMO, z).on(starts(DEMO), 0, 0)
    return launched(launch_many(cars, step_s=STEP_S), cars), layout(DEMO).crew(z)


def of(seen: Seen, before: np.ndarray | None = None) -> np.ndarray:
    run, crew = cloud()
    return log_likelihood(run, indices(run), crew, seen, before)


@given(
    st.sampled_from(STANDS),
    st.floats(0.0, 1.5),
    st.floats(0.5, 3.0),
    st.sampled_from(["front-carries", "it-is-good", "spins-at-hit"]),
)
def test_nothing_that_can_be_said_rules_a_car_out(
    stand: str, lift: float, sixty: float, symptom: str
) -> None:
    """A word and a symptom keep one in a hundred or so, a reading one in a thousand."""
    seen = Seen((), (("stand", stand),), (("lift", (lift, 0.02)),), False, (symptom,))
    found = of(seen) + of(Seen(sixty_s=sixty))
    assert np.isfinite(found).all()
    assert found.min() > -40.0


def test_a_measured_lift_favours_the_cars_that_go_as_high() -> None:
    lifts = cloud()[0].columns["front_lift_max"]
    found = of(Seen((), (), (("lift", (0.4, 0.02)),)))
    assert found[np.abs(lifts - 0.4).argmin()] == pytest.approx(found.max())
    assert np.corrcoef(np.abs(lifts - 0.4), found)[0, 1] < -0.5


def test_a_fault_beside_those_named_is_rarer_on_a_cars_first_pass() -> None:
    """The cars that show one weigh less then, those that show none as much as later."""
    run, crew = cloud()
    on_cars = there(below((indices(run) - crew.faults) / EYE))
    none = [1.0 - one for name, one in on_cars.items() if name != "front-drops-hard"]
    beside = 1.0 - np.prod(none, axis=0)
    seen = Seen(symptoms=("front-drops-hard",))
    first, later = (
        log_likelihood(run, indices(run), crew, seen, None, first=one) for one in (True, False)
    )
    less = later - first
    assert (less >= 0.0).all()
    assert np.corrcoef(less, beside)[0, 1] > 0.9


def test_a_ring_at_the_end_of_its_travel_is_a_bound() -> None:
    run, _ = cloud()
    bump = float(run.of("front_bump").max())
    found = of(Seen((), (), (("front ring", (bump, 0.003)),)))
    bottomed = run.columns["front_comp_max_after_td"] > bump
    if bottomed.any():
        assert found[bottomed].min() == pytest.approx(found.max())


def test_better_favours_the_cars_on_which_the_fault_fell() -> None:
    run, _ = cloud()
    index = indices(run)
    rose = index.copy()
    rose[: COUNT // 2] += 0.5
    rose[COUNT // 2 :] -= 0.5
    said = Seen(treated="front-carries", verdict="better")
    found = of(said, rose)
    assert found[: COUNT // 2].min() > found[COUNT // 2 :].max()
    assert (found[0] - found[-1]) < np.log(10.0)


def test_a_verdict_is_read_from_the_cause_that_was_worst() -> None:
    """Opening a bleed lets every nose settle sooner; of one that thrust holds it says nothing."""
    run, crew = cloud()
    before = indices(run)
    before[:, SLOW_NOSE], before[:, HIGH_NOSE] = crew.faults[:, SLOW_NOSE] - 1.0, 1.0
    after = before.copy()
    after[:, SLOW_NOSE] -= np.log(2.0)
    same, better = (
        log_likelihood(run, after, crew, Seen(treated="nose-stays-high", verdict=word), before)
        for word in ("same", "better")
    )
    assert (same > better).all()
