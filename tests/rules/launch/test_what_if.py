"""What a turn would do, without a screen: curves, bands, travel and what is left out."""

import json
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from profiles.files import SHIPPED_CARS, load_car
from rules.car.adjusters import Settings, adjusters, starts
from rules.car.model import Car
from rules.launch.cloud.car_cloud import LaunchCars, launch_cars
from rules.launch.mechanics.run import launch_many
from rules.launch.mechanics.valve import Valve
from rules.launch.what_if import CARS, RUN_S, WhatIf, as_dict, what_if

DEMO = load_car(SHIPPED_CARS / "demo.toml")
METRIC = load_car(SHIPPED_CARS / "leaf-metric.toml")
REBOUND = "left front rebound"


def moved(car: Car, axle: str, name: str, by: float) -> Settings:
    settings = dict(starts(car))
    for side in ("left", "right"):
        settings[f"{side} {axle} {name}"] += by
    return settings


@lru_cache(maxsize=1)
def firmer() -> WhatIf:
    """Three clicks more front rebound on the demonstration car, once for all tests."""
    return what_if(DEMO, starts(DEMO), moved(DEMO, "front", "rebound", 3), starts(DEMO), REBOUND)


def test_firmer_rebound_is_more_force_and_less_lift() -> None:
    found = firmer()
    (curve,) = found.curves
    assert curve.stroke == "rebound"
    pairs = list(zip(curve.force["today"], curve.force["proposed"], strict=True))[1:]
    assert all(a is not None and b is not None and b > a for a, b in pairs)
    lift = found.numbers[0]
    assert lift.name == "front tyre lift"
    assert lift.rises == 0.0
    assert lift.change.high is not None
    assert lift.change.high < 0.0


def test_the_curve_is_the_one_the_launch_takes() -> None:
    cloud = launch_cars(DEMO, moved(DEMO, "front", "rebound", 3), 2)
    assert isinstance(cloud, LaunchCars)
    parts = cloud.paper["damper"]["front"]["reb"]
    (curve,) = firmer().curves
    expected = Valve(parts["kb"], parts["F0"], parts["chs"]).force(np.array(curve.speed))
    assert curve.force["proposed"] == pytest.approx(expected.tolist(), rel=1e-5)


def test_the_ranges_are_those_of_the_ensemble() -> None:
    found = firmer()
    cloud = launch_cars(DEMO, starts(DEMO), CARS)
    assert isinstance(cloud, LaunchCars)
    run = launch_many([{**car, "t_end": RUN_S} for car in cloud.cars])
    lifts = run.columns["front_lift_max"]
    low, middle, high = np.quantile(lifts[np.isfinite(lifts)], (0.1, 0.5, 0.9))
    today = found.numbers[0].by["today"]
    assert (today.low, today.middle, today.high) == pytest.approx((low, middle, high), rel=1e-4)
    assert found.lost is not None
    assert sum(found.lost["today"].values()) == np.isnan(lifts).sum()
    assert today.known == pytest.approx(np.isfinite(lifts).mean())


def test_a_baseline_like_today_has_todays_numbers() -> None:
    found = firmer()
    for number in found.numbers:
        assert number.by["baseline"] == number.by["today"]
    assert found.front is not None
    assert found.front["baseline"] == found.front["today"]


def test_bands_are_in_order_and_start_at_rest() -> None:
    found = firmer()
    assert found.front is not None
    assert found.rear_load is not None
    for traces in (found.front, found.rear_load):
        for trace in traces.values():
            assert len(trace.low) == len(trace.middle) == len(trace.high) == len(found.time)
            rows = zip(trace.low, trace.middle, trace.high, strict=True)
            assert all(a <= b <= c for a, b, c in rows)  # type: ignore[operator]
    assert found.front["today"].middle[0] == pytest.approx(0.0, abs=1e-6)


def test_travel_used_and_travel_there() -> None:
    names = [travel.name for travel in firmer().travel]
    assert names == ["front, into bump", "front, into droop", "rear, into bump", "rear, into droop"]
    for travel in firmer().travel:
        assert travel.there.middle is not None
        for used in travel.used.values():
            assert used.low is not None
            assert used.low >= 0.0
    front = firmer().travel[0].there
    assert front.low is not None
    assert front.high is not None
    assert front.low <= DEMO.front.bump_travel_m <= front.high  # type: ignore[operator]


def test_the_same_question_has_the_same_answer() -> None:
    again = what_if(DEMO, starts(DEMO), moved(DEMO, "front", "rebound", 3), starts(DEMO), REBOUND)
    assert again == firmer()


def test_the_knob_is_found_where_none_is_named() -> None:
    found = what_if(DEMO, starts(DEMO), moved(DEMO, "rear", "compression", -2))
    assert found.knob == "left rear compression"
    assert [curve.stroke for curve in found.curves] == ["compression"]
    assert set(found.settings) == {"today", "proposed"}


def test_a_lever_has_no_curve_and_a_silent_one_is_named() -> None:
    changed = dict(starts(DEMO)) | {"launch preload": 1.0}
    found = what_if(DEMO, starts(DEMO), changed)
    assert found.curves == ()
    assert found.silent == ("launch preload",)


def test_a_knob_of_both_strokes_has_two_curves() -> None:
    both = next((a for a in adjusters(METRIC).values() if a.controls == "both"), None)
    if both is None:
        pytest.skip("no such knob on the shipped cars")
    found = what_if(METRIC, starts(METRIC), starts(METRIC), knob=both.id)
    assert [curve.stroke for curve in found.curves] == ["compression", "rebound"]


def test_what_is_not_modelled_and_not_measured_is_said() -> None:
    found = firmer()
    assert found.not_modelled[-1] == "wheelie bars"
    assert any("slip" in text for text in found.not_modelled)
    assert "geometry.cg_height" in found.guessed
    assert (
        "wheelie bars"
        not in what_if(
            DEMO.model_copy(update={"wheelie_bars": False}), starts(DEMO), starts(DEMO)
        ).not_modelled
    )


def test_a_car_with_a_name_only_says_what_is_missing() -> None:
    bare = Car.parse(
        {
            "setdown_car": 1,
            "id": "bare",
            "name": "Invented, name only",
            "units": "us",
            "rear_suspension": "other",
        },
        "us",
    )
    found = what_if(bare, {}, {}, {})
    assert found.missing == ("masses.total", "geometry.wheelbase")
    assert found.numbers == ()


def test_an_unknown_knob_is_refused() -> None:
    with pytest.raises(KeyError):
        what_if(DEMO, starts(DEMO), starts(DEMO), knob="left front nothing")


def test_it_goes_into_json_whole() -> None:
    def strict(value: Any) -> str:
        return json.dumps(value, allow_nan=False)

    found = json.loads(strict(as_dict(firmer())))
    assert found["format"] == 1
    assert len(found["front"]["today"]["middle"]) == len(found["time"])
    lost = replace(firmer(), numbers=())
    assert json.loads(strict(as_dict(lost)))["numbers"] == []
