"""Weighings: sums, doubts, changes, the procedure. Limits are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.shop.findings import Finding
from rules.shop.scales import PROCEDURE, Corners, axle_distances, off_centre, read_again, weighed
from rules.units import Quantity
from rules.wording import say

# An invented car.
CAR = Corners(386.0, 376.0, 349.0, 340.0)


def _one(found: tuple[Finding, ...], name: str) -> Finding:
    (only,) = [one for one in found if one.name == name]
    return only


def test_sums_and_cross_weight() -> None:
    found = weighed(CAR, total=1451.0, base=2.74, tracks=(1.5, 1.45))
    values = {one.name: one.value for one in found}
    assert values["total"] == 1451.0
    assert values["front"] == 762.0
    assert values["left"] == 735.0
    assert values["cross weight"] == 376.0 + 349.0
    assert all(one.level == "ok" for one in found)
    assert say(_one(found, "cross weight").says, "metric") == (
        "725 kg on right front and left rear together, 50.0 %."
    )
    names = [one.name for one in found]
    assert len(set(names)) == len(names)


def test_the_order_never_changes() -> None:
    bare = [one.name for one in weighed(CAR)]
    full = [one.name for one in weighed(CAR, total=1400.0, base=2.74, last=CAR)]
    assert full[: len(bare)] == bare
    assert {one.level for one in weighed(CAR) if one.value is None} == {"unknown"}


def test_doubts() -> None:
    found = weighed(Corners(420.0, 340.0, 340.0, 350.0), total=1500.0)
    assert _one(found, "corners against total").level == "look"
    assert _one(found, "front sides").level == "look"
    assert "left front" in _one(found, "front sides").says
    assert _one(found, "rear sides").level == "ok"
    assert _one(found, "cross weight").level == "look"
    assert not any(one.level == "stop" for one in found)


def test_the_change_since_the_last_weighing() -> None:
    found = weighed(CAR, last=Corners(380.0, 376.0, 352.0, 340.0))
    left_front = _one(found, "left front, change")
    assert left_front.value == 6.0
    assert left_front.quantity is Quantity.MASS
    assert "6 kg more than last time" in say(left_front.says, "metric")
    assert _one(found, "rear, change").value == -3.0


def test_what_shows_no_change_is_as_last_time() -> None:
    last = Corners(386.0, 376.0, 349.0, 340.3)
    assert say(_one(weighed(CAR, last=last), "left front, change").says, "us").endswith(
        "now, as last time."
    )
    right_rear = _one(weighed(CAR, last=last), "right rear, change").says
    assert say(right_rear, "us") == "750 lb now, 1 lb less than last time."
    assert say(right_rear, "metric") == "340 kg now, as last time."


def test_two_readings_of_one_car() -> None:
    assert read_again(CAR, CAR).level == "ok"
    worse = read_again(CAR, Corners(386.0, 376.0, 349.0, 344.0))
    assert worse.level == "look"
    assert "right rear" in worse.says


@given(st.tuples(*[st.floats(50, 1500)] * 4), st.floats(1.5, 4.0))
def test_the_distances_balance_about_any_axle(weights: tuple[float, ...], base: float) -> None:
    corners = Corners(*weights)
    behind, ahead = axle_distances(corners.front, corners.rear, base)
    assert behind + ahead == pytest.approx(base)
    assert corners.front * behind == pytest.approx(corners.rear * ahead)
    assert abs(off_centre(corners, 1.5, 1.5)) < 0.75


def test_the_heavier_side_draws_the_centre() -> None:
    assert off_centre(Corners(1.0, 3.0, 1.0, 3.0), 2.0, 2.0) == pytest.approx(0.5)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf"), True])
def test_a_scale_that_reads_nonsense_is_named(bad: float) -> None:
    with pytest.raises(ValueError, match=r"left rear: found .* wanted a weight above 0"):
        Corners(386.0, 376.0, bad, 340.0)
    with pytest.raises(ValueError, match="wheelbase"):
        axle_distances(1.0, 1.0, bad)


def test_the_procedure_says_what_a_crew_forgets() -> None:
    together = " ".join(say(step, "us") for step in PROCEDURE)
    for word in ("race pressure", "driver", "fuel", "Unhook", "settle", "level", "jack alone"):
        assert word in together
    assert together.isascii()
