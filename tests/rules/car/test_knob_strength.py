"""How strongly a click acts, against hand calculation; a step is as large as its force, within
what the trade and a danger allow."""

import math
from typing import Any

import pytest

from rules.advice.candidates import first_steps
from rules.advice.situation import situation
from rules.car.adjusters import adjusters, starts
from rules.car.curve_checks import curve_faults
from rules.car.knob_strength import moves, step_in_force, strengths
from rules.car.model import Car
from rules.car.steps import cut
from rules.launch.cloud.knobs import moves as launch_moves
from tests.support.crew import Crew, invented_car, knob

# A needle: 100 N at 0, 150 N at 10, 300 N at 12, in proportion to speed.
NEEDLE = ["speed [in/s], 0 [N], 10 [N], 12 [N]", "2, 20, 30, 60", "10, 100, 150, 300"]


def needled(start: float, count_from: str = "full soft", **more: Any) -> Car:
    rows = NEEDLE
    if count_from == "full hard":
        rows = ["speed [in/s], 0 [N], 2 [N], 12 [N]", "2, 60, 30, 20", "10, 300, 150, 100"]
    told = {"clicks": 12, "start": start, "count_from": count_from, "compression_dyno": rows}
    return invented_car(front=[{**knob("needle", "compression"), **told, **more}])


@pytest.mark.parametrize("count_from", ["full soft", "full hard"])
def test_a_click_is_told_next_to_each_end(count_from: str) -> None:
    """1.5^(1/10) - 1 = 4.1 % next to full soft, 2^(1/2) - 1 = 41.4 % next to full hard."""
    car = needled(6, count_from)
    one = adjusters(car)["left front needle"]
    (found,) = strengths(car, starts(car), one)
    assert (found.soft, found.hard) == pytest.approx((0.0414, 0.4142), abs=0.0002)
    assert found.says == (
        "a click near full soft is 4% of compression force at {10 in/s|254 mm/s}, "
        "near full hard 41%"
    )


@pytest.mark.parametrize(
    ("start", "upward", "step"),
    [
        (0, True, 4),  # 1.0414^4 is 17.6 %, 1.0414^3 is 12.9 %
        (10, True, 1),  # one click is 41 %
        (12, False, 1),
        (10, False, 4),
    ],
)
def test_a_step_is_the_fewest_clicks_that_are_felt(start: float, upward: bool, step: int) -> None:
    car = needled(start)
    one = adjusters(car)["left front needle"]
    assert step_in_force(car, starts(car), one, upward=upward) == step


def test_a_knob_without_a_table_keeps_the_trades_step() -> None:
    car = invented_car()
    one = adjusters(car)["left front rebound"]
    assert step_in_force(car, starts(car), one, upward=True) is None
    assert strengths(car, starts(car), one) == []


def test_a_knob_on_both_strokes_says_so_and_steps_by_the_stroke_it_acts_on_most() -> None:
    gentle = ["speed [in/s], 0 [N], 12 [N]", "2, 20, 22", "10, 100, 110"]
    car = needled(10, controls="both", rebound_dyno=gentle)
    one = adjusters(car)["left front needle"]
    assert moves(one) == "compression and rebound, at all speeds"
    assert [found.stroke for found in strengths(car, starts(car), one)] == [
        "compression",
        "rebound",
    ]
    assert step_in_force(car, starts(car), one, upward=True) == 1


def test_after_a_danger_no_step_is_smaller_than_the_trades() -> None:
    crew = Crew(needled(4))
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    now = situation(crew.state, crew.run, crew.book)
    rule = crew.book.rules["drops-hard-compression-firmer"]
    levers = [one for one in crew.fitted.values() if one.name == "needle"]
    assert now.danger
    assert set(first_steps(now, levers, rule).values()) == {4}
    assert step_in_force(needled(10), {**crew.state.settings, "left front needle": 10}, levers[0],
                         upward=True) == 1  # fmt: skip


def told(**more: Any) -> Car:
    """Return a car whose file says by words and numbers, and by no table, what a knob does."""
    return invented_car(front=[knob("rebound", "rebound", **more)])


@pytest.mark.parametrize(("count_from", "start"), [("full soft", 0), ("full hard", 18)])
def test_a_click_said_in_the_car_file_is_told_and_stepped(count_from: str, start: float) -> None:
    """2 % to 50 % over 18 clicks, each by the same factor more: six from soft add 18 %."""
    ends = {"rebound_click_soft": 2, "rebound_click_hard": 50, "count_from": count_from}
    car = told(start=start, curve="needle", **ends)
    one = adjusters(car)["left front rebound"]
    (found,) = strengths(car, starts(car), one)
    assert (found.soft, found.hard) == pytest.approx((0.02, 0.5))
    assert found.says == (
        "a click near full soft is 2% of rebound force, by the car file, near full hard 50%"
    )
    low, high = math.log(1.02), math.log(1.5)
    gained, clicks = 0.0, 0
    while gained < math.log(1.15):
        gained += low * (high / low) ** (clicks / 17)
        clicks += 1
    assert step_in_force(car, starts(car), one, upward=True) == clicks == 5
    at_shut = {**starts(car), one.id: 18.0 - start}
    assert step_in_force(car, at_shut, one, upward=False) == 1


def test_a_needle_without_a_table_is_turned_one_click_at_a_time_in_its_last_third() -> None:
    plain, needle = (
        adjusters(told(curve=curve))["left front rebound"] for curve in ("unknown", "needle")
    )
    assert [cut(one, 12, True, 3) for one in (plain, needle)] == [3, 1]
    assert [cut(one, 10, True, 4) for one in (plain, needle)] == [4, 2]
    assert [cut(one, 13, False, 3) for one in (plain, needle)] == [3, 1]
    assert [cut(one, 4, False, 3) for one in (plain, needle)] == [3, 3]
    assert "a needle" in moves(needle)


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ({"rebound_click_soft": 2}, "rebound_click_soft: found no rebound_click_hard to go"),
        ({"compression_click_hard": 9}, "compression_click_hard: found a knob of rebound"),
    ],
)
def test_half_a_word_or_one_of_the_other_stroke_is_refused(
    said: dict[str, Any], fault: str
) -> None:
    assert any(fault in str(one) for one in curve_faults(told(**said)))


@pytest.mark.parametrize("count_from", ["full soft", "full hard"])
def test_the_launch_takes_the_word_of_the_file_for_what_a_click_does(count_from: str) -> None:
    """Next to full hard a click adds 50 %: so much more are the numbers of its stroke."""
    ends = {"rebound_click_soft": 2, "rebound_click_hard": 50, "count_from": count_from}
    hard = 18.0 if count_from == "full soft" else 0.0
    car = told(start=hard, **ends)
    softer = 17.0 if count_from == "full soft" else 1.0
    settings = {f"{side} front rebound": softer for side in ("left", "right")}
    found = launch_moves(car, {**starts(car), **settings}).moves
    factors = {one.name: 1.0 for one in found}
    for one in found:
        factors[one.name] *= float(one.factor)
    assert factors == pytest.approx(dict.fromkeys(factors, 1 / 1.5))
    assert "damper.front.reb.chs" in factors
