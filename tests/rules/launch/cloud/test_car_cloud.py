"""From a car file to a cloud of cars: what is known, what a setting moves, and on the same cars."""

from typing import Any

import numpy as np
import pytest

from rules.car.adjusters import adjusters, starts
from rules.car.checks import cross_faults
from rules.car.model import Car
from rules.launch.cloud.car_cloud import LaunchCars, TooLittleKnown, deviates, launch_cars
from rules.launch.cloud.knobs import curve_of, is_modelled
from rules.launch.cloud.on_paper import Known, on_paper
from rules.launch.mechanics import launch_many
from tests.support.launch.car_questions import pair, shipped_car, turned

DEMO, LEAF = shipped_car("demo"), shipped_car("leaf-metric")


def cloud(car: Car, settings: Any = None, count: int = 24) -> LaunchCars:
    found = launch_cars(car, starts(car) if settings is None else settings, count)
    assert isinstance(found, LaunchCars)
    return found


def with_knob(stroke: str, **more: Any) -> Car:
    """An invented car whose front knob has a curve."""
    raw: dict[str, Any] = {"id": "damping", "controls": stroke, "clicks": 10, "start": 5}
    raw |= {"count_from": "full soft", **more}
    corners = ("left front", "right front")
    return Car.parse(
        {"id": "x", "name": "x", "units": "metric", "rear_suspension": "other"}
        | {"masses": {"total": 1400}, "geometry": {"wheelbase": 2.7}}
        | {"dampers": [{"corner": corner, "knobs": [raw]} for corner in corners]}
    )


@pytest.mark.parametrize("car", [DEMO, LEAF], ids=["demo", "leaf"])
def test_a_shipped_car_launches(car: Car) -> None:
    ensemble = cloud(car)
    run = launch_many(ensemble.cars, step_s=0.002)
    assert np.isfinite(run.columns["front_lift_max"]).mean() > 0.5
    assert ensemble.paper["L"] == car.geometry.wheelbase_m


def test_the_paper_car_has_the_files_numbers() -> None:
    paper = on_paper(DEMO)
    masses, params = DEMO.masses, paper.params
    assert masses.total_kg is not None
    assert params["ms"] + params["mf"] + params["mr"] == pytest.approx(masses.total_kg)
    front = masses.left_front_kg + masses.right_front_kg  # type: ignore[operator]
    sprung_front = params["ms"] * (1.0 - params["a"] / params["L"])
    assert sprung_front + params["mf"] == pytest.approx(front)
    heights = ((params["ms"], params["hs"]), (params["mf"], params["rf"]))
    moment = sum(m * h for m, h in (*heights, (params["mr"], params["rr"])))
    assert moment / masses.total_kg == pytest.approx(DEMO.geometry.cg_height_m)
    assert paper.known["L"] is Known.MEASURED
    assert paper.known["hs"] is Known.GUESSED
    assert paper.known["ktr"] is Known.UNKNOWN


@pytest.mark.parametrize(
    ("said", "ratio"),
    [
        ({"motion_ratio": 0.8}, 0.8),
        ({"motion_ratio": 0.8, "damper_angle": 60}, 0.4),
        ({"motion_ratio": 0.8, "damper_angle": 60, "spring_motion_ratio": 0.5}, 0.5),
        ({"spring_motion_ratio": 0.5}, 0.5),
    ],
)
def test_a_spring_off_the_damper_acts_by_its_own_ratio(
    said: dict[str, float], ratio: float
) -> None:
    """n K MR^2 (Milliken and Milliken, chapter 16, from memory)."""
    raw = {"id": "x", "name": "x", "units": "metric", "front": {"spring_rate": 50_000, **said}}
    paper = on_paper(Car.parse(raw))
    assert paper.params["kf"] == pytest.approx(2 * 50_000 * ratio**2)
    assert paper.known["kf"] is Known.MEASURED


def test_measured_numbers_spread_less_than_unknown_ones() -> None:
    demo, leaf = cloud(DEMO, count=300), cloud(LEAF, count=300)

    def spread(ensemble: LaunchCars, name: str) -> float:
        return float(np.std(np.log([car[name] for car in ensemble.cars])))

    assert spread(demo, "F_launch") < 0.5 * spread(leaf, "F_launch")
    assert spread(demo, "L") < 0.005


def test_the_same_cars_at_every_setting() -> None:
    assert cloud(DEMO).cars == cloud(DEMO).cars
    firmer = cloud(DEMO, turned(DEMO, pair("rebound"), True, 3))
    for before, after in zip(cloud(DEMO).cars, firmer.cars, strict=True):
        assert after["damper"]["front"]["reb"]["kb"] > before["damper"]["front"]["reb"]["kb"]
        same = {**after, "damper": before["damper"]}
        assert same == before
        assert after["damper"]["front"]["comp"] == before["damper"]["front"]["comp"]


@pytest.mark.parametrize(
    ("name", "stroke", "parts"),
    [
        ("low-speed compression", "comp", {"kb"}),
        ("rebound", "reb", {"kb", "F0", "chs"}),
    ],
)
def test_a_knob_moves_its_own_part(name: str, stroke: str, parts: set[str]) -> None:
    before = cloud(DEMO).paper["damper"]["front"][stroke]
    after = cloud(DEMO, turned(DEMO, pair(name), True, 2)).paper["damper"]["front"][stroke]
    assert {part for part in before if after[part] > before[part]} == parts


def test_one_side_alone_counts_half() -> None:
    def kb(levers: tuple[str, ...]) -> float:
        settings = turned(DEMO, levers, True, 2)
        return float(cloud(DEMO, settings).paper["damper"]["front"]["reb"]["kb"])

    start, both = kb(()), kb(pair("rebound"))
    assert kb(pair("rebound")[:1]) == pytest.approx((start * both) ** 0.5)


@pytest.mark.parametrize(
    ("lever", "upward", "name", "wanted"),
    [
        ("front travel limiter", False, "front_droop", -0.25 * 0.0254),
        ("front ride height", True, "front_bump", 0.125 * 0.0254),
    ],
)
def test_a_lever_in_lengths_moves_travel(
    lever: str, upward: bool, name: str, wanted: float
) -> None:
    after = cloud(DEMO, turned(DEMO, (lever,), upward, 1)).paper
    assert after[name] - cloud(DEMO).paper[name] == pytest.approx(wanted)


def test_launch_and_spring_go_in_proportion() -> None:
    before = cloud(DEMO).paper
    softer = cloud(DEMO, turned(DEMO, ("launch rpm",), False, 1)).paper
    assert softer["F_launch"] / before["F_launch"] == pytest.approx(4100 / 4200)
    stiffer = cloud(DEMO, turned(DEMO, ("front spring",), True, 1)).paper
    assert stiffer["kf"] / before["kf"] == pytest.approx(200 / 175)


def test_what_the_launch_has_nothing_for_is_named() -> None:
    fitted = adjusters(DEMO)
    silent = {one.id for one in fitted.values() if not is_modelled(DEMO, one)}
    assert silent == {
        "launch preload",
        "front valving",
    }
    moved = turned(DEMO, ("launch preload",), True, 1)
    assert cloud(DEMO, moved).not_modelled == ("launch preload",)
    assert cloud(DEMO, moved).cars == cloud(DEMO).cars


def test_a_name_alone_says_what_is_missing() -> None:
    bare = Car.parse({"id": "x", "name": "x", "units": "us", "rear_suspension": "other"})
    assert launch_cars(bare, {}, 8) == TooLittleKnown(("masses.total", "geometry.wheelbase"))


DYNO = ["speed [mm/s], 0 [N], 5 [N], 10 [N]", "50, 100, 200, 400", "250, 250, 500, 1000"]


def test_a_dyno_table_goes_before_points_and_the_generic_curve() -> None:
    car = with_knob("rebound", rebound_dyno=DYNO)
    assert cross_faults(car) == []
    valve = cloud(car).paper["damper"]["front"]["reb"]
    generic = cloud(with_knob("rebound")).paper["damper"]["front"]["reb"]
    assert valve != generic
    firm = cloud(car, dict.fromkeys(starts(car), 10.0)).paper["damper"]["front"]["reb"]
    speeds = [0.02, 0.05, 0.2, 0.5]
    assert (curve_of(firm).force(speeds) > curve_of(valve).force(speeds)).all()


@pytest.mark.parametrize(
    ("rows", "found"),
    [
        (["speed [mm/s], 0 [N]", "50, 100"], "found 1 row, wanted at least two speeds"),
        (["speed [mm/s], 0 [N]", "50, 100", "50, 120"], "row 3: found 50 mm/s after 50 mm/s"),
        (["speed [mm/s], 0 [N], 5 [lb]", "50, 1, 2", "90, 2, 3"], "mixed units of force"),
        (["speed [mm/s], 0 [N], 5 [N]", "50, , 2", "90, 2, 3"], "row 2 column 2: found an empty"),
        (["speed [mm/s], 0 [N]", "50, much", "90, 2"], "row 2 column 2: found 'much'"),
        (["speed [mm/s], 0", "50, 1", "90, 2"], "column 2: found no unit"),
        (["speed [m/s]" + ", 1 [N]" * 250, "1" + ", 2" * 250], "found 251 columns"),
    ],
)
def test_a_bad_dyno_table_is_a_fault_of_the_file(rows: list[str], found: str) -> None:
    faults = cross_faults(with_knob("compression", compression_dyno=rows))
    assert faults
    assert faults[0].where.startswith("left front damping.compression_dyno")
    assert faults[0].found.startswith(found)


def test_bad_points_and_a_curve_of_the_wrong_stroke_are_faults() -> None:
    def point(speed: float, force: float) -> dict[str, float]:
        return {"speed": speed, "force": force}

    points = {"soft_low": point(0.05, 100), "soft_high": point(0.25, 90)}
    points |= {"firm_low": point(0.05, 100), "firm_high": point(0.25, 9000)}
    faults = cross_faults(with_knob("compression", rebound_points=points))
    found = [str(fault) for fault in faults if fault.where.startswith("left")]
    assert len(found) == 3
    assert "found a knob of compression; wanted one that moves rebound" in found[0]
    assert "soft end: found 100 N at 50 mm/s and 90 N at 250 mm/s" in found[1]
    assert "firm end" in found[2]


def test_fresh_cars_near_others_stay_as_spread_as_before() -> None:
    drawn = deviates(DEMO, 400)
    rows = np.arange(400, dtype=np.intp)
    near = drawn.around(rows, 400, np.random.default_rng(1))
    assert np.std(near.numbers) == pytest.approx(np.std(drawn.numbers), rel=0.03)
    together = np.corrcoef(near.numbers.ravel(), drawn.numbers.ravel())[0, 1]
    assert together == pytest.approx(0.866, abs=0.02)


@pytest.mark.parametrize(
    ("last", "start", "said"),
    [(6, 8, "one that holds the start, 8"), (40, 8, "none beyond the knob's end, 12")],
)
def test_a_table_is_held_against_its_knob(last: int, start: int, said: str) -> None:
    rows = [f"speed [mm/s], 0 [N], {last} [N]", "50, 100, 300", "250, 200, 600"]
    faults = cross_faults(with_knob("compression", compression_dyno=rows, clicks=12, start=start))
    assert any(fault.wanted == said for fault in faults)


def test_beyond_its_table_a_knob_is_not_modelled_and_said() -> None:
    rows = ["speed [mm/s], 0 [N], 6 [N]", "50, 100, 300", "250, 200, 600"]
    car = with_knob("compression", compression_dyno=rows, clicks=12, start=5)
    (one,) = [one for key, one in adjusters(car).items() if key == "left front damping"]
    assert is_modelled(car, one, 6)
    assert not is_modelled(car, one, 7)
    assert one.id in cloud(car, {**starts(car), one.id: 7.0}).not_modelled


def test_a_table_that_ends_too_slow_asks_for_its_unit() -> None:
    rows = ["speed [mm/s], 0 [N], 12 [N]", "2, 100, 300", "10, 200, 600"]
    (fault, other) = cross_faults(with_knob("compression", compression_dyno=rows, clicks=12))
    assert "compression_dyno: found a fastest point of 10 mm/s, wanted one of 50" in str(fault)
    assert "is the unit of speed right?" in str(other)
    rows = ["speed [in/s], 0 [lb], 12 [lb]", "1, 10, 30", "2, 20, 60"]
    assert cross_faults(with_knob("compression", compression_dyno=rows, clicks=12)) == []


@pytest.mark.parametrize("turns", [None, 3.0])
def test_a_table_is_held_against_its_knob_in_the_files_counts(turns: float | None) -> None:
    rows = ["speed [mm/s], 0 [N], 3 [N]", "50, 100, 300", "250, 200, 600"]
    sized = {"clicks": 3, "start": 1} if turns is None else {"clicks": None, "turns": turns}
    car = with_knob("compression", **{"compression_dyno": rows, "start": 1.5} | sized)
    assert cross_faults(car) == []
    one = adjusters(car)["left front damping"]
    assert is_modelled(car, one, one.high)
