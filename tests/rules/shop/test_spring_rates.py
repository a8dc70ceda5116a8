"""Choosing a spring from what the crew owns. Every spring and car here is invented."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.chassis import frequency, wheel_rate
from rules.shop.findings import gravest
from rules.shop.spring_rates import (
    Landing,
    Owned,
    Seat,
    rate_for_frequency,
    rate_for_landing,
    spring_work,
    springs_in_seat,
)
from rules.wording import say

SEAT = Seat(load=3400.0, ratio=0.9, mass=620.0, bump=0.054, droop=0.072, at_ride=0.25)
STOCK = (
    Owned("A", 26e3, free=0.37, solid=0.15),
    Owned("B", 32e3, free=0.35, solid=0.14),
    Owned("C", 45e3, free=0.31, solid=0.13),
)
LANDING = Landing(energy=1800.0, static=6100.0, droop=0.08, bump=0.06)


@given(st.floats(0.5, 4.0), st.floats(100, 1000), st.floats(0.3, 1.2), st.sampled_from([1, 2]))
def test_the_suggested_rate_has_the_frequency(
    wanted: float, mass: float, ratio: float, springs: int
) -> None:
    spring = rate_for_frequency(wanted, mass, ratio, springs)
    assert frequency(wheel_rate(spring, ratio, springs), mass) == pytest.approx(wanted)


def test_the_best_first_and_what_stops_last() -> None:
    found = springs_in_seat(STOCK, SEAT, wanted=1.45, landing=LANDING)
    assert [one.spring.name for one in found] == ["B", "A", "C"]
    best = found[0]
    assert best.at_ride == pytest.approx(0.35 - 3400.0 / 32e3)
    assert best.collar == pytest.approx(0.25 - (0.35 - 3400.0 / 32e3))
    assert best.left_to_dampers == LANDING.left_to_dampers(wheel_rate(32e3, 0.9))
    assert gravest(best.findings) == "ok"


def test_a_stiff_spring_on_the_same_ride_height_is_loose_in_droop() -> None:
    seat = replace(SEAT, droop=0.08)
    (stiff,) = springs_in_seat([replace(STOCK[2])], seat, wanted=1.45)
    loose = next(one for one in stiff.findings if one.name == "C spring at full droop")
    assert loose.level == "stop"
    assert loose.value == pytest.approx(3400.0 / 45e3 - 0.08)


def test_unknown_lengths_and_single_springs() -> None:
    bare, single = springs_in_seat([replace(STOCK[0], count=1), Owned("D", 26e3)], SEAT, wanted=1.3)
    assert bare.spring.name == "D"
    assert bare.at_ride is None
    assert gravest(bare.findings) == "unknown"
    assert gravest(single.findings) == "stop"
    assert springs_in_seat([], SEAT, wanted=1.3) == ()


def test_a_spring_that_does_not_fit_its_seat() -> None:
    short, long = Seat(3400.0, 0.9, 620.0, shortest=0.26), Seat(3400.0, 0.9, 620.0, longest=0.2)
    for seat, way in ((short, "far enough up"), (long, "far enough down")):
        (only,) = springs_in_seat([STOCK[1]], seat, wanted=1.3)
        assert way in only.findings[1].says
        assert only.findings[1].level == "stop"
    (crushed,) = springs_in_seat([Owned("E", 10e3, free=0.3, solid=0.1)], SEAT, wanted=1.3)
    assert "alone would close" in crushed.findings[1].says
    for choice in springs_in_seat(STOCK, SEAT, wanted=1.3):
        for one in choice.findings:
            assert say(one.says, "us").isascii()


def test_the_landing_rate() -> None:
    # More bump than droop: a stiffer spring takes up more, as much as is short.
    deep = Landing(energy=1300.0, static=6100.0, droop=0.05, bump=0.12)
    rate = rate_for_landing(deep, by_dampers=0.0)
    assert rate is not None
    assert spring_work(rate, 6100.0, 0.05, 0.12) == pytest.approx(1300.0)
    assert rate_for_landing(deep, by_dampers=1300.0) == 0.0
    # Less bump than droop: no spring at the same ride height does it, and it says so.
    assert rate_for_landing(LANDING, by_dampers=100.0) is None
    assert LANDING.left_to_dampers(40e3) > LANDING.left_to_dampers(30e3)
    # One that would be loose in droop is no answer.
    hard = Landing(energy=5000.0, static=3000.0, droop=0.1, bump=0.12)
    assert rate_for_landing(hard, by_dampers=0.0) is None


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: rate_for_frequency(0.0, 1.0, 1.0), "frequency"),
        (lambda: spring_work(1.0, 0.0, 0.1, 0.1), "static load"),
        (lambda: spring_work(1.0, 1.0, -0.1, 0.1), "droop"),
        (lambda: rate_for_landing(LANDING, -1.0), "by dampers"),
        (lambda: rate_for_landing(Landing(1.0, 1.0, 0.0, 0.0), 0.0), "stroke"),
        (lambda: springs_in_seat([Owned("F", float("nan"))], SEAT, 1.3), "spring rate"),
        (lambda: springs_in_seat(STOCK, replace(SEAT, mass=0.0), 1.3), "sprung mass"),
    ],
)
def test_numbers_that_no_car_has_are_named(call: object, name: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=rf"{name}: found .* wanted"):
        call()
