"""The stepping against scipy.integrate.solve_ivp on the same car, by Newton's laws in newton.py."""

import numpy as np
import pytest

from rules.launch.mechanics import launch_many
from tests.support.launch.newton import derivative
from tests.support.launch.reference import cases

integrate = pytest.importorskip("scipy.integrate")


@pytest.mark.parametrize(
    ("name", "end_s"),
    [
        ("01_baseline", 0.6),
        *(
            pytest.param(name, 1.6, marks=pytest.mark.sweep)
            for name in ("01_baseline", "09_low_IC_squat")
        ),
    ],
)
def test_places_follow_a_general_purpose_integrator(name: str, end_s: float) -> None:
    params = {**next(case for case in cases() if case.name == name).params, "t_end": end_s}
    traces = launch_many([params], step_s=0.0002, trace_s=0.05).traces
    assert traces is not None
    start = np.array([0.0, params["hs"], *[0.0] * 8])
    run = integrate.solve_ivp(
        derivative, (0.0, end_s + 0.01), start, t_eval=traces.time, args=(params,),
        method="RK45", rtol=1e-6, atol=1e-8, max_step=0.001,
    )  # fmt: skip
    assert run.success
    assert np.abs(traces.x[0] - run.y[0]).max() < 2e-4
    assert np.abs(traces.front_comp[0] - run.y[3]).max() < 2e-4
    assert np.abs(traces.rear_comp[0] - run.y[4]).max() < 2e-5
