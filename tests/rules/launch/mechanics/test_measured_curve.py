"""A dyno table in a launch: the curve itself, and not the family fitted to it."""

from copy import deepcopy
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.adjusters import starts
from rules.car.model import Car
from rules.launch.cloud.car_cloud import LaunchCars, launch_cars
from rules.launch.cloud.knobs import curve_of
from rules.launch.mechanics import LaunchParameterError, launch_many, launch_scalars
from rules.launch.mechanics.valve import Valve
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.newton import derivative
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import Case, cases, felt, shares
from tests.support.sample import by_name, examples, sampled

integrate = pytest.importorskip("scipy.integrate")
interpolate = pytest.importorskip("scipy.interpolate")

DENSE = [0.0, *np.geomspace(0.0005, 3.0, 150).tolist()]
# The speeds of a common dyno sheet [m/s]; common practice, no source.
SHEET = [0.025, 0.05, 0.075, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5]
ANY = {"kb": 6e5, "F0": 900.0, "chs": 3500.0}


def tabled(params: dict[str, Any], speeds: list[float]) -> dict[str, Any]:
    """Return a car whose dampers are tables off its own family; another family stands beneath."""
    car = deepcopy(params)
    for strokes in car["damper"].values():
        for name, stroke in strokes.items():
            force = Valve(stroke["kb"], stroke["F0"], stroke["chs"]).force(speeds).tolist()
            strokes[name] = {**ANY, "table": {"speed": speeds, "force": force}}
    return car


@pytest.mark.parametrize("case", sampled(((case,) for case in cases()), one_in=8), ids=by_name)
def test_a_dense_table_of_a_family_gives_the_reference_launch(case: Case) -> None:
    found = launch_scalars(tabled(case.params, DENSE), step_s=0.001)
    assert max(shares(found, case.scalars).values()) <= 1.0


@pytest.mark.parametrize("end_s", [0.6, pytest.param(1.6, marks=pytest.mark.sweep)])
def test_a_table_follows_a_general_purpose_integrator_with_its_own_interpolation(
    end_s: float,
) -> None:
    params = {**cases()[0].params, "t_end": end_s}
    car = tabled(params, SHEET)
    traces = launch_many([car], step_s=0.0002, trace_s=0.05).traces
    plain = deepcopy(params)
    for axle, strokes in car["damper"].items():
        for name, stroke in strokes.items():
            rows = [[0.0, *stroke["table"][row]] for row in ("speed", "force")]
            curve = interpolate.PchipInterpolator(*rows, extrapolate=False)
            slope = float(curve.derivative()(rows[0][-1]))

            def force(v: float, curve: Any = curve, rows: Any = rows, slope: float = slope) -> Any:
                last = rows[0][-1]
                return curve(v) if v <= last else rows[1][-1] + slope * (v - last)

            plain["damper"][axle][name] = {"curve": force}
    assert traces is not None
    run = integrate.solve_ivp(
        derivative, (0.0, end_s + 0.01), [0.0, params["hs"], *[0.0] * 8], t_eval=traces.time,
        args=(plain,), method="RK45", rtol=1e-6, atol=1e-8, max_step=0.001,
    )  # fmt: skip
    assert run.success
    assert np.abs(traces.front_comp[0] - run.y[3]).max() < 2e-4
    assert np.abs(traces.rear_comp[0] - run.y[4]).max() < 5e-5


@examples(3, 10)
@given(st.integers(0, 2**32 - 1))
def test_what_stands_beneath_a_table_does_not_matter(seed: int) -> None:
    [car] = random_cars(1, seed, t_end=1.0)
    other = tabled(car, SHEET)
    own = deepcopy(other)
    for axle, strokes in own["damper"].items():
        for name, stroke in strokes.items():
            stroke.update(car["damper"][axle][name])
    run = launch_many([own, other])
    for name in ("body_front_rise_0p2s", "rear_sep_0p1s"):
        one, two = run.columns[name]
        assert one == pytest.approx(two, abs=2e-4, nan_ok=True)


def test_a_car_without_a_table_does_not_feel_its_neighbours() -> None:
    assert felt(tabled(cases()[1].params, SHEET)) == []


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("x", "table: found x, wanted 'speed' [m/s] and 'force' [N]"),
        ({"speed": [0.1, 0.2]}, "wanted 'speed' [m/s] and 'force' [N]"),
        ({"speed": [0.1], "force": [5.0]}, "table.speed: found no row of numbers"),
        ({"speed": [0.1, 0.2], "force": [5.0, "much"]}, "table.force: found no row of numbers"),
        ({"speed": [0.1, 0.2], "force": [5.0, float("nan")]}, "table.force: found no row"),
        ({"speed": [0.1, 0.2, 0.3], "force": [5.0, 6.0]}, "found 3 speeds and 2 forces"),
        ({"speed": [0.2, 0.1], "force": [5.0, 6.0]}, "table.speed: wanted speeds that rise"),
        ({"speed": [-0.2, 0.1], "force": [5.0, 6.0]}, "table.speed: wanted speeds that rise"),
        ({"speed": [0.1, 0.2], "force": [6.0, 5.0]}, "table.force: wanted forces that do not"),
        ({"speed": [0.1, 0.2], "force": [0.0, 0.0]}, "table.force: wanted forces that do not"),
    ],
)
def test_odd_tables_among_the_parameters_are_refused(table: Any, words: str) -> None:
    car = deepcopy(cases()[0].params)
    car["damper"]["front"]["comp"]["table"] = table
    with pytest.raises(LaunchParameterError) as caught:
        launch_scalars(car)
    assert words in str(caught.value)


ROWS = ("speed [mm/s], 0 [N], 9 [N], 18 [N]", "25, 60, 110, 200", "75, 170, 300, 560",
        "150, 240, 420, 800", "300, 330, 600, 1100", "500, 430, 760, 1450")  # fmt: skip


def dyno_car(*corners: str) -> Car:
    """The demo car with a dyno table on the front rebound knobs of some corners."""
    demo = shipped_car("demo")
    dampers = [
        damper.model_copy(
            update={
                "knobs": tuple(
                    knob.model_copy(update={"rebound_dyno": ROWS, "rebound_points": None})
                    if knob.id == "rebound" and damper.corner in corners
                    else knob
                    for knob in damper.knobs
                )
            }
        )
        for damper in demo.dampers
    ]
    return demo.model_copy(update={"dampers": tuple(dampers)})


BOTH = ("left front", "right front")


def front_rebound(car: Car, count: float | None = None) -> LaunchCars:
    levers = {f"{corner} rebound": count for corner in BOTH if count is not None}
    found = launch_cars(car, {**starts(car), **levers}, 40)
    assert isinstance(found, LaunchCars)
    return found


@pytest.mark.parametrize("count", [0, 9, 18])
def test_the_launch_takes_the_measured_column_itself(count: int) -> None:
    car = dyno_car(*BOTH)
    ratio = car.front.motion_ratio or 0.0
    ratio *= float(np.cos(np.radians(car.front.damper_angle or 0.0)))
    curve = curve_of(front_rebound(car, count).paper["damper"]["front"]["reb"])
    for row in ROWS[1:]:
        speed, *forces = (float(cell) for cell in row.split(","))
        wanted = 2.0 * ratio * forces[(0, 9, 18).index(count)]
        assert float(curve.force(speed / 1000.0 / ratio)) == pytest.approx(wanted, rel=1e-9)


def test_cars_of_a_cloud_stand_close_around_the_table() -> None:
    cloud = front_rebound(dyno_car(*BOTH), 8)
    forces = [curve_of(car["damper"]["front"]["reb"]).force(0.2) for car in cloud.cars]
    assert 0.01 < np.std(np.log(forces)) < 0.08
    firmer = front_rebound(dyno_car(*BOTH), 12)
    for before, after in zip(cloud.cars, firmer.cars, strict=True):
        rows = (
            np.array(one["damper"]["front"]["reb"]["table"]["force"]) for one in (before, after)
        )
        assert np.greater(*reversed(list(rows))).all()
    assert (
        launch_many(firmer.cars, step_s=0.002).columns["front_lift_max"][0]
        < (launch_many(cloud.cars, step_s=0.002).columns["front_lift_max"][0])
    )


def test_a_side_without_a_table_stands_as_the_other_does() -> None:
    one, two = (
        curve_of(front_rebound(dyno_car(*corners)).paper["damper"]["front"]["reb"]).force(0.1)
        for corners in (BOTH, BOTH[:1])
    )
    assert one == pytest.approx(two)
