"""Wheelie bars and gear changes from the car file into the launch: optional, and spread if given.

Usual and typical numbers are common practice, no source.
"""

import json
from typing import Any

import numpy as np
import pytest

from rules.car.checks import cross_faults
from rules.car.model import Car
from rules.crew.sheets.describe.rank import measure_next
from rules.formats import CAR_FORMAT
from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
from rules.launch.cloud.ensemble import ABSOLUTE, BARS, DAMPER_NAMES, GEAR_CHANGES, RELATIVE, draw
from rules.launch.cloud.on_paper import Known, on_paper
from rules.launch.mechanics import launch_many
from rules.log.log_format import body_of
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.reference import cases

DEMO = shipped_car("demo")


def with_numbers(car: Car = DEMO, guesses: tuple[str, ...] = (), **tables: Any) -> Car:
    """Return a car with more numbers, in SI, by the keys of the file."""
    raw = car.model_dump(by_alias=True)
    for table, numbers in tables.items():
        raw[table] |= numbers
    raw["guesses"] = [*raw["guesses"], *guesses]
    return Car.parse(raw)


BARRED = with_numbers(geometry={"bar_height": 0.12, "bar_length": 1.5, "bar_rate": 2.2e5})
CHANGING = with_numbers(launch={"first_change_at": 1.2, "second_change_at": 2.4})


def test_a_car_that_says_neither_launches_as_it_did() -> None:
    paper = on_paper(DEMO)
    assert paper.params["dips"] == []
    names = {*paper.params, *paper.known} - {"dips"}
    assert not [name for name in names if name.startswith(("bar_", "dips"))]


def test_bars_of_known_height_are_in_the_launch() -> None:
    params = on_paper(BARRED).params
    names = ("bar_height", "bar_behind", "bar_rate", "bar_damping")
    assert [params[name] for name in names] == [0.12, 1.5, 2.2e5, 2e3]
    alone = on_paper(with_numbers(geometry={"bar_height": 0.12}))
    assert (alone.params["bar_behind"], alone.params["bar_rate"]) == (1.4, 2e5)
    assert (alone.known["bar_height"], alone.known["bar_behind"]) == (Known.MEASURED, Known.UNKNOWN)
    run = launch_many([params], step_s=0.002)
    assert np.isfinite(run.columns["bar_gap_min"][0])


def test_gear_changes_of_known_time_are_in_the_launch() -> None:
    paper = on_paper(CHANGING)
    assert paper.params["dips"] == [[1.2, 0.5, 0.15], [2.4, 0.5, 0.15]]
    assert paper.known["dips.0.start"] is Known.MEASURED
    assert paper.known["dips.lasts"] is Known.UNKNOWN
    told = with_numbers(
        CHANGING, launch={"change_lasts": 0.1, "change_loses": 0.8, "second_change_at": None}
    )
    assert on_paper(told).params["dips"] == [[1.2, 0.8, 0.1]]


def test_a_gear_change_under_a_carried_front_costs_landing_travel() -> None:
    """Half the thrust gone for 0.15 s late in the carry drops the nose harder.

    The engine of the reference cases holds the dips themselves, see mechanics/test_against_engine.
    """
    base = cases()[0].params
    rows = [
        {**base, "F_launch": 0.97 * base["F_launch"], "dips": dips}
        for dips in ([], [[1.2, 0.5, 0.15]], [[0.6, 0.5, 0.15]])
    ]
    found = launch_many(rows).columns
    travel, lift = found["front_comp_max_after_td"], found["front_lift_max"]
    assert travel[1] > travel[0] + 0.01
    assert lift[1] == pytest.approx(lift[0], rel=1e-3)
    assert lift[2] < lift[0] - 0.02


def test_the_cloud_spreads_them_and_nothing_else_moves() -> None:
    drawn = deviates(DEMO, 64, SEED)
    plain = typical_cars(DEMO, {}, drawn).cars
    for car, names in ((BARRED, BARS), (CHANGING, ("dips",))):
        cars = typical_cars(car, {}, drawn).cars
        for one, other in zip(cars, plain, strict=True):
            assert {k: v for k, v in one.items() if k not in names} == {
                k: v for k, v in other.items() if k not in names
            }
        launch_many([{**one, "t_end": 0.02} for one in cars], step_s=0.002)
    heights = [one["bar_height"] for one in typical_cars(BARRED, {}, drawn).cars]
    assert heights[0] == 0.12
    assert np.std(heights) == pytest.approx(0.004, rel=0.3)
    dips = np.array([one["dips"] for one in typical_cars(CHANGING, {}, drawn).cars])
    assert dips.shape == (64, 2, 3)
    assert (dips[:, 0, 1:] == dips[:, 1, 1:]).all()
    assert np.std(dips[:, 0, 0]) == pytest.approx(0.03, rel=0.3)


def test_what_not_every_car_has_moves_no_draw_of_what_every_car_has() -> None:
    """The first columns are those of one generator, drawn as if there were no others."""
    first = len(RELATIVE) + len(ABSOLUTE) + len(DAMPER_NAMES)
    z = draw(32, np.random.default_rng(5)).z
    alone = np.clip(np.random.default_rng(5).standard_normal((32, first)), -2.5, 2.5)
    assert (z[1:, :first] == alone[1:]).all()
    assert z.shape[1] >= first + len(BARS) + len(GEAR_CHANGES)


def test_bars_rise_with_the_body() -> None:
    """Rear up by 10 mm: the bar by 10 (1 + behind / wheelbase), front up: -10 behind / L."""
    levers = [
        {"id": f"{end} height", "kind": "ride height", "axle": end, "unit": "mm", "start": 100.0}
        for end in ("front", "rear")
    ]
    raw = BARRED.model_dump(by_alias=True) | {"levers": levers}
    car = Car.parse(raw)
    base = on_paper(car).params["L"]
    for end, share in (("rear", 1.0 + 1.5 / base), ("front", -1.5 / base)):
        settings = {f"{end} height": 110.0}
        paper = typical_cars(car, settings, deviates(car, 2, SEED)).paper
        assert paper["bar_height"] == pytest.approx(0.12 + 0.01 * share)


def test_numbers_that_cannot_stand_together_are_faults() -> None:
    found = {
        "geometry.bar_height": Car.parse(
            BARRED.model_dump(by_alias=True) | {"wheelie_bars": False}
        ),
        "launch.second_change_at": with_numbers(launch={"second_change_at": 2.0}),
    }
    for where, car in found.items():
        assert where in [fault.where for fault in cross_faults(car)]
    late = with_numbers(CHANGING, launch={"second_change_at": 1.0})
    assert [fault.where for fault in cross_faults(late)] == ["launch.second_change_at"]
    assert cross_faults(BARRED) == cross_faults(CHANGING) == []


def test_what_to_measure_asks_for_bars_only_where_there_are_some() -> None:
    none = Car.parse(DEMO.model_dump(by_alias=True) | {"wheelie_bars": False})
    for car, asked in ((DEMO, True), (none, False), (BARRED, False)):
        keys = [one.key for one in measure_next(car, 0)]
        assert ("geometry.bar_height" in keys) is asked
        assert "launch.change_lasts" not in keys
    assert "launch.change_lasts" in [one.key for one in measure_next(CHANGING, 0)]


def test_a_car_in_an_older_log_is_the_car_of_today() -> None:
    """The stored car is brought up as its file is, so that both are alike."""
    stored = json.loads(DEMO.model_dump_json(by_alias=True)) | {CAR_FORMAT.key: 1}
    for table, keys in (("geometry", "bar"), ("launch", "change")):
        stored[table] = {key: one for key, one in stored[table].items() if keys not in key}
    body = body_of({"kind": "car-described", "car": stored})
    assert body.car == DEMO  # type: ignore[union-attr]
    assert stored[CAR_FORMAT.key] == 1
