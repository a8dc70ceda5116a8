"""Every scalar of every reference case, at the steps in use and finer: see reference.py."""

import pytest

from rules.launch.mechanics import launch_many, launch_scalars
from rules.launch.mechanics.scalars import BARS, SLIP
from tests.support.launch.reference import Case, cases, shares
from tests.support.sample import by_name, sampled

CASES = cases()


@pytest.mark.parametrize("case", sampled(((case,) for case in CASES), one_in=20), ids=by_name)
def test_one_launch_gives_the_reference_scalars(case: Case) -> None:
    used = shares(launch_scalars(case.params), case.scalars)
    assert {name: share for name, share in used.items() if share > 0.25} == {}


@pytest.mark.parametrize(
    ("step_s", "share_allowed"),
    [
        (0.002, 0.6),
        (0.001, 0.5),
        pytest.param(0.0005, 0.2, marks=pytest.mark.sweep),
        pytest.param(0.0001, 0.15, marks=pytest.mark.sweep),
    ],
)
def test_a_batch_holds_the_accuracy_at_every_step(step_s: float, share_allowed: float) -> None:
    found = launch_many([case.params for case in CASES], step_s=step_s)
    worst = {
        (case.name, name): share
        for number, case in enumerate(CASES)
        for name, share in shares(found.scalars(number), case.scalars).items()
        if share > share_allowed
    }
    assert worst == {}


def test_names_are_those_of_the_reference() -> None:
    found = launch_scalars({**CASES[0].params, "t_end": 0.1})
    assert set(found) - {*BARS, *SLIP} == set(CASES[0].scalars)
    assert {found[name] for name in (*BARS, *SLIP)} == {None}
