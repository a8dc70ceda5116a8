"""What a crew calls a fault: more of it is a larger index, and a car that goes over is worst."""

from copy import deepcopy
from math import erf, sqrt

import numpy as np
import pytest

from rules.car.model import Car
from rules.launch.belief.faults import (
    FAULTS,
    SETTLES_AT_M_S,
    bars_possible,
    below,
    indices,
    launched,
    of_symptom,
    settling_s,
)
from rules.launch.belief.learning import STEP_S
from rules.launch.mechanics.run import launch_many
from rules.launch.mechanics.valve import Valve
from rules.launch.proposed_change import Seen
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.reference import cases


def test_the_distribution_is_the_normal_one_within_a_hundredth() -> None:
    """Against the error function of the standard library."""
    values = np.linspace(-4.0, 4.0, 81)
    exact = [0.5 * (1.0 + erf(one / sqrt(2.0))) for one in values]
    assert below(values) == pytest.approx(exact, abs=0.0096)


def test_less_thrust_is_less_of_every_fault_of_a_big_stand() -> None:
    """The reference's baseline and the same car with less thrust: lift falls 19 % for 3 %."""
    base = dict(cases()[0].params)
    cars = [base, {**base, "F_launch": 0.9 * float(base["F_launch"])}]
    found = indices(launched(launch_many(cars, step_s=STEP_S), cars))
    for symptom in ("front-carries", "front-drops-hard", "wheelie-bar-hits"):
        for place in of_symptom(symptom):
            assert found[1, place] < found[0, place], FAULTS[place]


def test_a_car_that_goes_over_stands_lands_and_carries_and_does_nothing_else() -> None:
    base = dict(cases()[0].params)
    cars = [{**base, "F_launch": 3.0 * float(base["F_launch"]), "mu": 5.0}]
    run = launched(launch_many(cars, step_s=STEP_S), cars)
    assert run.lost.all()
    over = {FAULTS[place].symptom for place in np.nonzero(indices(run)[0] > 0.0)[0]}
    assert over >= {"front-carries", "front-drops-hard", "wheelie-bar-hits"}
    assert not over & {"front-slow-to-rise", "spins-at-hit", "unloads-after-hit"}


def test_a_car_without_bars_hits_none_however_high_it_stands() -> None:
    """Bars that nobody measured are met by the stand; none that are not fitted."""
    base = dict(cases()[0].params)
    cars = [{**base, "F_launch": 1.2 * float(base["F_launch"])}]
    run = launch_many(cars, step_s=STEP_S)
    (place,) = of_symptom("wheelie-bar-hits")
    unmeasured, none = (indices(launched(run, cars, bars))[0] for bars in (True, False))
    assert unmeasured[place] > 0.0
    assert none[place] < -5.0
    assert np.array_equal(np.delete(unmeasured, place), np.delete(none, place))


def test_bars_that_a_crew_saw_touch_are_fitted_whatever_the_file_says() -> None:
    none = Car.parse(shipped_car("demo").model_dump(by_alias=True) | {"wheelie_bars": False})
    clear = Seen(facts=(("bars", "clear"),), symptoms=("front-carries",))
    assert not bars_possible(none, (clear,))
    assert bars_possible(none, (clear, Seen(symptoms=("wheelie-bar-hits",))))
    assert bars_possible(none, (Seen(facts=(("bars", "touched"),)), clear))
    assert bars_possible(shipped_car("demo"), ())


def test_a_nose_settles_as_slowly_as_the_dampers_hold_it_against_the_spring() -> None:
    """c / k of a first-order lag, against the valve itself; what hardly went up is not high."""
    base = dict(cases()[0].params)
    firm, softer, heavier = base, deepcopy(base), {**base, "kf": 2.0 * base["kf"]}
    softer["damper"]["front"]["comp"]["kb"] /= 10.0
    cars = [firm, softer, heavier]
    run = launched(launch_many(cars, step_s=STEP_S), cars)
    for car, settles in zip(cars, settling_s(run), strict=True):
        comp = car["damper"]["front"]["comp"]
        force = Valve(comp["kb"], comp["F0"], comp["chs"]).force(SETTLES_AT_M_S)
        assert settles == pytest.approx(force / SETTLES_AT_M_S / car["kf"])
    assert settling_s(run)[1] < settling_s(run)[0] / 5.0
    slow = of_symptom("nose-stays-high")[0]
    up = indices(run)[:, slow]
    run.columns["pitch_max"] = run.columns["pitch_max"] * 0.01
    assert (indices(run)[:, slow] < up - 1.0).all()
