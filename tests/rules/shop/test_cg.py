"""The height of the centre of gravity: what it refuses, how wide it says it is, in words."""

from math import atan, cos, radians, sin, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.shop.cg import (
    PROCEDURE,
    CgHeight,
    Weighing,
    cg_height,
    height_findings,
    sprung_centre,
    sprung_findings,
)
from rules.units import POUND_KG
from rules.wording import say

# An invented car: mass, wheelbase, distance from the rear axle, height, radii.
MASS, BASE, AHEAD, HEIGHT, FRONT_RADIUS, REAR_RADIUS = 1465.0, 2.74, 1.43, 0.53, 0.32, 0.36


def stood(degrees: float, height: float = HEIGHT) -> Weighing:
    """Turn the rigid car about its front axle centre, lift it on to its tyres, take moments."""
    turn = radians(degrees)
    places = {"rear": (-BASE, REAR_RADIUS), "centre": (AHEAD - BASE, height)}
    turned = {}
    for name, (x, z) in places.items():
        z -= FRONT_RADIUS
        turned[name] = (x * cos(turn) + z * sin(turn), -x * sin(turn) + z * cos(turn))
    rear_x, rear_z = turned["rear"]
    front = MASS * (turned["centre"][0] - rear_x) / -rear_x
    lifted = max(0.0, REAR_RADIUS - FRONT_RADIUS - rear_z)
    return Weighing(front, FRONT_RADIUS + lifted, FRONT_RADIUS + rear_z + lifted)


LEVEL, RAISED = stood(0.0), tuple(stood(angle) for angle in (4.0, 7.0, 10.0))
REAR = MASS - LEVEL.front


def test_exact_readings_give_the_height_exactly() -> None:
    found = cg_height(LEVEL, REAR, BASE, RAISED)
    assert found.height == pytest.approx(HEIGHT, abs=1e-9)
    assert found.each == pytest.approx((HEIGHT,) * 3, abs=1e-9)
    assert found.low < HEIGHT < found.high


@given(st.floats(0.3, 0.9), st.lists(st.floats(2.0, 14.0), min_size=1, max_size=6))
def test_any_height_comes_back_from_either_axle_raised(height: float, angles: list[float]) -> None:
    level = stood(0.0, height)
    for sign in (1.0, -1.0):
        raised = [stood(sign * angle, height) for angle in angles]
        found = cg_height(level, MASS - level.front, BASE, raised)
        assert found.height == pytest.approx(height, abs=1e-7)


def test_two_pounds_of_scale_error_move_it_by_several_millimetres() -> None:
    # In a trial 2 lb moved the height by 7.5 mm; at one raise of about 12 degrees.
    off = 2 * POUND_KG
    one = stood(12.5)
    moved = cg_height(LEVEL, REAR, BASE, [Weighing(one.front + off, one.front_hub, one.rear_hub)])
    assert 0.006 < moved.height - HEIGHT < 0.009
    sure = cg_height(LEVEL, REAR, BASE, [one], scale_error=off, tape_error=0.0)
    # Two readings, each even within +/- 2 lb: 1.96 standard deviations of their difference.
    assert sure.give == pytest.approx(1.96 * sqrt(2 / 3) * (moved.height - HEIGHT), rel=1e-6)


@pytest.mark.parametrize("angles", [(8.0,), (4.0, 7.0, 10.0), (3.0, 5.0, 7.0, 9.0, 11.0)])
def test_the_range_holds_nineteen_in_twenty_of_honest_readings(angles: tuple[float, ...]) -> None:
    draw = Random(1)
    exact = [stood(angle) for angle in (0.0, *angles)]

    def read() -> CgHeight:
        first, *rest = (
            Weighing(
                one.front + draw.uniform(-0.9, 0.9),
                one.front_hub + draw.uniform(-0.002, 0.002),
                one.rear_hub + draw.uniform(-0.002, 0.002),
            )
            for one in exact
        )
        return cg_height(first, REAR, BASE, rest)

    tried = [read() for _ in range(2000)]
    assert sum(one.low <= HEIGHT <= one.high for one in tried) >= 0.93 * len(tried)
    assert sum(one.agrees for one in tried) >= 0.93 * len(tried)


def test_a_suspension_that_was_not_locked_shows() -> None:
    creeping = [
        Weighing(one.front + 3.0 * place**2, one.front_hub, one.rear_hub)
        for place, one in enumerate(RAISED, 1)
    ]
    height, agreement = height_findings(cg_height(LEVEL, REAR, BASE, creeping), BASE)
    assert agreement.level == "look"
    assert "locked" in agreement.says
    good = height_findings(cg_height(LEVEL, REAR, BASE, RAISED), BASE)
    assert [one.level for one in good] == ["ok", "ok"]
    assert say(good[0].says, "metric").startswith("Centre of gravity 5")
    few = height_findings(cg_height(LEVEL, REAR, BASE, RAISED[:1]), BASE)
    assert few[0].level == "look"
    assert height.level == "look"


def test_the_sprung_centre_in_words() -> None:
    centre = sprung_centre(LEVEL.front, REAR, BASE, HEIGHT, 75.0, 140.0, 0.32, 0.36, give=0.006)
    up, along = sprung_findings(centre)
    assert up.value == pytest.approx((MASS * HEIGHT - 75 * 0.32 - 140 * 0.36) / 1250)
    assert centre.give == pytest.approx(0.006 * MASS / 1250)
    assert say(up.says, "metric") == (
        "Sprung centre of gravity 555 to 569 mm over the ground, for 1250 kg of sprung mass."
    )
    assert along.value == pytest.approx((MASS * (BASE - AHEAD) - 140 * BASE) / 1250)


def test_what_cannot_be_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="raised weighings: found none"):
        cg_height(LEVEL, REAR, BASE, [])
    with pytest.raises(ValueError, match=r"raised weighing 2.*tilt of 0.0 %"):
        cg_height(LEVEL, REAR, BASE, [RAISED[0], LEVEL])
    with pytest.raises(ValueError, match="raised weighing 1, front load"):
        cg_height(LEVEL, REAR, BASE, [Weighing(2000.0, 0.3, 0.8)])
    with pytest.raises(ValueError, match="level, rear hub"):
        cg_height(Weighing(700.0, 0.3, -0.1), REAR, BASE, RAISED)
    with pytest.raises(ValueError, match="hubs"):
        cg_height(LEVEL, REAR, BASE, [Weighing(700.0, 0.3, 4.0)])
    with pytest.raises(ValueError, match="front unsprung"):
        sprung_centre(700.0, 700.0, BASE, 0.5, 800.0, 100.0, 0.3, 0.3)
    with pytest.raises(ValueError, match="height"):
        sprung_centre(700.0, 700.0, BASE, float("nan"), 80.0, 100.0, 0.3, 0.3)


def test_a_fault_is_told_in_the_crews_units() -> None:
    """3.7 m and BASE in inches of 0.0254 m (NIST Special Publication 811, appendix B.8)."""
    with pytest.raises(ValueError, match="hubs") as caught:
        cg_height(LEVEL, REAR, BASE, [Weighing(700.0, 0.3, 4.0)])
    assert "found hubs 145.67 in apart in height, wanted less than" in say(str(caught.value), "us")
    assert "found hubs 3700 mm apart" in say(str(caught.value), "metric")
    with pytest.raises(ValueError, match="front load") as caught:
        cg_height(LEVEL, REAR, BASE, [Weighing(2000.0, 0.3, 0.8)])
    assert "found 4409 lb, wanted above 0" in say(str(caught.value), "us")


def test_the_tilt_of_unequal_tyres_is_not_a_raise() -> None:
    start = atan((REAR_RADIUS - FRONT_RADIUS) / BASE)
    assert start > 0.014
    naive = BASE * (RAISED[0].front - LEVEL.front) / MASS
    naive /= (RAISED[0].rear_hub - RAISED[0].front_hub) / BASE
    on_line = (FRONT_RADIUS * AHEAD + REAR_RADIUS * (BASE - AHEAD)) / BASE
    assert abs(on_line + naive - HEIGHT) > 0.02


def test_the_procedure_is_safe() -> None:
    together = " ".join(say(step, "us") for step in PROCEDURE)
    for word in ("nobody in or under", "Lock the suspension", "stands", "roll"):
        assert word in together
    assert together.isascii()
