"""Ensembles: the same draw for every setting, spreads by what is known, bands."""

from copy import deepcopy

import numpy as np
import pytest

from rules.launch.cloud.ensemble import NAMES, band, draw, effect, trace_band
from rules.launch.mechanics import launch_many
from tests.support.launch.reference import cases

BASE = cases()[0].params


def test_the_same_generator_draws_the_same_cars() -> None:
    one, other = (draw(16, np.random.default_rng(7)).cars(BASE) for _ in range(2))
    assert one == other
    assert one[0] == BASE
    assert draw(16, np.random.default_rng(8)).cars(BASE) != one


def test_settings_are_tried_on_the_same_cars() -> None:
    draws = draw(64, np.random.default_rng(1))
    firm = deepcopy(BASE)
    firm["damper"]["front"]["reb"]["kb"] *= 2.0
    before, after = draws.cars(BASE), draws.cars(firm)
    for one, other in zip(before, after, strict=True):
        ratio = other["damper"]["front"]["reb"]["kb"] / one["damper"]["front"]["reb"]["kb"]
        assert ratio == pytest.approx(2.0)
        one["damper"]["front"]["reb"]["kb"] = other["damper"]["front"]["reb"]["kb"]
    assert before == after


def test_cars_share_nothing_that_a_lever_moves() -> None:
    table = {"speed": [0.1, 0.5], "force": [300.0, 900.0]}
    tabled = deepcopy(BASE)
    tabled["damper"]["front"]["reb"]["table"] = table
    paper = deepcopy(tabled)
    one, other, _ = draw(3, np.random.default_rng(2)).cars(tabled)
    before = deepcopy(other)
    one["dips"].append([3.0, 0.5, 0.1])
    for strokes in one["damper"].values():
        for stroke in strokes.values():
            stroke["kb"] = 1.0
    one["damper"]["front"]["reb"]["table"]["force"] = [0.0, 1.0]
    assert (other, tabled) == (before, paper)


def test_what_is_measured_spreads_less_and_nothing_else_changes() -> None:
    draws = draw(2000, np.random.default_rng(3))
    guessed, measured = draws.cars(BASE), draws.cars(BASE, measured=("hs", "damper.front"))
    heights = [np.std([car["hs"] for car in cars]) for cars in (guessed, measured)]
    assert heights[0] == pytest.approx(0.04, rel=0.06)
    assert heights[1] == pytest.approx(0.008, rel=0.06)
    bleeds = [
        np.std(np.log([car["damper"]["front"]["comp"]["kb"] for car in cars]))
        for cars in (guessed, measured)
    ]
    assert bleeds == pytest.approx([0.25, 0.05], rel=0.06)
    assert [car["ms"] for car in guessed] == [car["ms"] for car in measured]
    with pytest.raises(ValueError, match="no such parameter: colour"):
        draws.cars(BASE, measured=("colour",))
    with pytest.raises(ValueError, match="at least 2"):
        draw(1, np.random.default_rng(0))


def test_a_light_car_stays_within_bounds() -> None:
    tiny = {**BASE, "front_bump": 0.0, "a": 2.7, "CdA": 0.0}
    cars = draw(200, np.random.default_rng(5)).cars(tiny)
    launch_many([{**car, "t_end": 0.02} for car in cars], step_s=0.002)


def test_every_number_that_spreads_is_drawn() -> None:
    assert len(set(NAMES)) == len(NAMES) == draw(2, np.random.default_rng(0)).z.shape[1]


def test_bands_leave_out_cars_without_the_number() -> None:
    found = band([1.0, 2.0, 3.0, np.nan])
    assert (found.low, found.middle, found.high) == pytest.approx((1.2, 2.0, 2.8))
    assert found.known == 0.75
    assert np.isnan(band([np.nan]).middle)
    low, middle, high = trace_band(np.array([[0.0, 1.0], [2.0, 3.0], [np.nan, 0.0]]))
    assert middle == pytest.approx([1.0, 2.0])
    assert (low < high).all()


def test_an_effect_is_the_difference_car_by_car() -> None:
    found = effect([1.0, 5.0, 9.0, np.nan], [2.0, 6.0, 10.0, 1.0])
    assert (found.change.low, found.change.high) == pytest.approx((1.0, 1.0))
    assert found.rises == 1.0
    with pytest.raises(ValueError, match="same ones"):
        effect([1.0], [1.0, 2.0])


def test_firmer_front_rebound_lowers_the_lift_on_the_ensemble() -> None:
    draws = draw(48, np.random.default_rng(11))
    firm = deepcopy(BASE)
    firm["damper"]["front"]["reb"] = {
        name: value * 1.4 for name, value in firm["damper"]["front"]["reb"].items()
    }
    measured = [name for name in BASE if name not in ("dips", "damper", "g", "t_end")]
    before, after = (launch_many(draws.cars(car, measured), step_s=0.002) for car in (BASE, firm))
    found = effect(before.columns["front_lift_max"], after.columns["front_lift_max"])
    assert found.change.high < 0.0
    assert found.rises < 0.1
