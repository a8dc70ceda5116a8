"""How far to turn: the trade's table, held against every kind of knob."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.candidates import first_step
from rules.book import shipped
from rules.book.schema import RuleText
from rules.car.adjusters import Adjuster, adjusters
from rules.car.steps import cut, lets_front_rise, moved, trade_step
from tests.support.crew import FRONT, invented_car, knob

RULES = shipped().rules
FIRMER_REBOUND = RULES["carries-rebound-firmer"]
SOFTER_REBOUND = next(
    rule
    for rule in RULES.values()
    if rule.symptom == "front-slow-to-rise" and rule.direction == "softer"
)
DIVIDED = RULES["spins-separates-rebound-firmer"]


def one(name: str = "rebound", **more: Any) -> Adjuster:
    raw = {"id": name, "controls": "rebound", "speed": "all", "count_from": "full soft", "start": 0}
    raw |= more if "turns" in more else {"clicks": 18, **more}
    return adjusters(invented_car(front=[raw]))[f"left front {name}"]


@pytest.mark.parametrize(
    ("clicks", "step"),
    [(1, 1), (5, 1), (6, 1), (8, 1), (9, 2), (11, 2), (12, 2), (18, 3), (24, 4), (30, 4), (60, 4)],
)
def test_the_trade_step_by_range(clicks: int, step: int) -> None:
    assert trade_step(one(clicks=clicks)) == step


@pytest.mark.parametrize(("turns", "marks", "step"), [(2, 8, 2), (5, 8, 5), (1, 8, 1), (0.5, 8, 1)])
def test_without_clicks_an_eighth_of_the_range(turns: float, marks: int, step: int) -> None:
    assert trade_step(one(turns=turns, marks_per_turn=marks)) == step


@pytest.mark.parametrize(
    ("rule", "clicks", "step"),
    [
        (FIRMER_REBOUND, 24, 4),
        (SOFTER_REBOUND, 24, 2),
        (SOFTER_REBOUND, 18, 1),
        (SOFTER_REBOUND, 6, 1),
        (DIVIDED, 24, 2),
    ],
)
def test_half_a_step_where_the_front_would_rise_or_crews_differ(
    rule: RuleText, clicks: int, step: int
) -> None:
    assert first_step(one(clicks=clicks), rule) == step


def test_a_lever_moves_by_one_step_of_its_own() -> None:
    pressure = adjusters(invented_car())["rear tyre pressure"]
    assert trade_step(pressure) == 1
    assert moved(pressure, 13, False, 1) == 12.5


@pytest.mark.parametrize(
    ("value", "upward", "step"),
    [
        (9, True, 4),
        (13, True, 2),
        (14, True, 1),
        (15, True, 1),
        (17, True, 1),
        (18, True, 0),
        (15, False, 1),
        (17, False, 1),
        (14, False, 4),
        (2, False, 2),
        (0, False, 0),
    ],
)
def test_one_at_a_time_within_three_of_shut(value: float, upward: bool, step: int) -> None:
    assert cut(one(), value, upward, 4) == step


@pytest.mark.parametrize(
    ("value", "upward", "step"), [(15, False, 4), (18, False, 4), (15, True, 1), (13, True, 2)]
)
def test_what_the_mechanics_size_opens_further_and_shuts_one_at_a_time(
    value: float, upward: bool, step: int
) -> None:
    assert cut(one(), value, upward, 4, opens_further=True) == step
    needle = cut(one(curve="needle"), value, upward, 4, opens_further=True)
    assert needle == 1, "a needle click by click"


def test_near_shut_is_the_same_place_counted_from_the_other_end() -> None:
    hard = one(count_from="full hard")
    assert [cut(hard, value, True, 4) for value in (9, 5, 4, 3, 0)] == [4, 2, 1, 1, 0]


ENDS = st.sampled_from(["full soft", "full hard"])


@given(st.integers(1, 40), ENDS, st.data(), st.booleans(), st.integers(1, 9))
def test_never_beyond_the_range(
    clicks: int, end: str, data: st.DataObject, upward: bool, steps: int
) -> None:
    knob = one(clicks=clicks, count_from=end)
    value = data.draw(st.integers(0, clicks))
    made = cut(knob, value, upward, steps)
    assert 0 <= made <= steps
    assert knob.holds(moved(knob, value, upward, made))


def test_the_makers_minimum_is_the_end_of_the_range() -> None:
    pressure = adjusters(invented_car())["rear tyre pressure"]
    assert cut(pressure, 11, False, 1) == 0
    assert cut(pressure, 11.5, False, 4) == 1


@pytest.mark.parametrize(
    ("part", "axle", "upward", "rises"),
    [
        ("launch rpm", "car", True, True),
        ("launch rpm", "car", False, False),
        ("travel limiter", "front", True, True),
        ("travel limiter", "front", False, False),
        ("spring", "front", False, True),
        ("spring", "rear", False, False),
        ("valving", "front", False, True),
        ("tyre pressure", "front", False, False),
    ],
)
def test_what_lets_the_front_rise(part: str, axle: str, upward: bool, rises: bool) -> None:
    lever = replace(one(), part=part, axle=axle, controls=None)
    assert lets_front_rise(lever, upward) is rises


@pytest.mark.parametrize(
    ("controls", "upward", "rises"),
    [
        ("rebound", False, True),
        ("both", False, True),
        ("compression", False, False),
        ("rebound", True, False),
    ],
)
def test_which_front_knobs_let_the_front_rise(controls: str, upward: bool, rises: bool) -> None:
    assert lets_front_rise(one(controls=controls), upward) is rises
    rear = adjusters(invented_car(front=FRONT, rear=[knob("r", "rebound")]))["left rear r"]
    assert lets_front_rise(rear, upward) is False
