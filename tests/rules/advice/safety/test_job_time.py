"""No job is begun that a call would hurry: stands, lists, a margin and the lanes are counted.

By hand, as README states it: the work and 4 minutes for stands, a quarter more, rounded up, and 3
minutes to the lanes. Common practice, no source.
"""

from datetime import timedelta

import pytest

from rules.advice.safety.gates import hurried
from rules.advice.safety.job_time import LANES_MINUTES, needed
from rules.log.state import State
from tests.support.crew import START, Crew, invented_car, knob

CARRY = {"stand": "big", "bars": "none", "carry": "long"}
LIFTED = [knob("rebound", "rebound", minutes=6, lift_car=True)]


@pytest.mark.parametrize(
    ("minutes", "lifted", "needs"), [(6, True, 16), (6, False, 11), (3, False, 7), (20, True, 33)]
)
def test_a_job_needs_more_than_its_own_minutes(minutes: int, lifted: bool, needs: int) -> None:
    assert needed(minutes, lifted) == needs


@pytest.mark.parametrize("minutes", range(1, 60))
@pytest.mark.parametrize("lifted", [True, False])
def test_no_job_fits_without_a_quarter_of_it_and_the_way_to_the_lanes(
    minutes: int, lifted: bool
) -> None:
    assert needed(minutes, lifted) >= minutes * 1.25 + LANES_MINUTES
    assert needed(minutes, True) > needed(minutes, False)


def test_six_minutes_are_too_few_for_six_minutes_on_stands() -> None:
    crew = Crew(invented_car(front=LIFTED, rear=(), levers=()), session="eliminations")
    crew.do("minutes to call", minutes=6)
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.kind == "leave"
    assert "needs 16 min on stands, " in crew.advice.cause
    assert "a lifted car is never hurried" in crew.advice.cause
    assert "a quarter more" in crew.advice.lines[0]
    crew.do("minutes to call", minutes=17)
    assert crew.advice.kind == "turn"


def test_an_inspection_says_when_there_is_no_time_for_it() -> None:
    crew = Crew()
    crew.do("minutes to call", minutes=6)
    crew.say(["front-drops-hard"])
    while crew.prompt.kind != "tick":
        crew.say("unknown" if crew.prompt.unknown else crew.prompt.choices[0].id)
    assert "a list is never hurried" in crew.prompt.notice
    crew.do("minutes to call", minutes=90)
    assert "never hurried" not in crew.prompt.notice


def test_a_put_back_on_stands_says_when_there_is_no_time_for_it() -> None:
    lifted = knob("compression", "compression", minutes=6, lift_car=True)
    crew = Crew(invented_car(rear=[lifted], levers=()))
    squats = {"tyre_hit": "under", "rear_motion": "squats"}
    crew.tell(symptoms=["spins-at-hit"], **squats)
    crew.make()
    crew.say("ran")
    crew.do("minutes to call", minutes=6)
    crew.tell(symptoms=["spins-at-hit"], verdict="worse", **squats)
    assert crew.advice.kind == "put back"
    assert "a lifted car is never hurried" in " ".join(crew.advice.cautions)


def left(crew: Crew) -> int | None:
    return crew.state.minutes_left


def test_a_clock_set_back_leaves_no_minutes_until_they_are_said_again() -> None:
    crew = Crew()
    crew.do("minutes to call", minutes=20)
    crew.clock += timedelta(minutes=5)
    crew.do("note", text="fuel in")
    assert left(crew) == 14
    crew.clock = START - timedelta(days=2524)
    crew.do("note", text="the clock was put right")
    assert left(crew) == 0
    assert crew.state.clock_went_back
    crew.clock = START + timedelta(minutes=7)
    crew.do("note", text="and forward")
    assert left(crew) == 0, "how long it was set back nobody knows"
    crew.do("minutes to call", minutes=20)
    assert left(crew) == 20
    assert not crew.state.clock_went_back


def test_minutes_left_never_exceed_what_was_said_whatever_the_clock_does() -> None:
    for jumps in ([-3, 5], [600, -590], [0, -1], [-100000, 100000], [3, -2, 4]):
        crew = Crew()
        crew.do("minutes to call", minutes=30)
        before = 30
        for jump in jumps:
            crew.clock += timedelta(minutes=jump)
            crew.do("note", text="x")
            now = left(crew)
            assert now is not None
            assert 0 <= now <= before
            before = now


def test_the_gate_stays_on_with_a_clock_that_went_back() -> None:
    crew = Crew(invented_car(front=LIFTED, rear=(), levers=()))
    crew.do("minutes to call", minutes=60)
    crew.clock -= timedelta(days=1)
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.kind == "leave"
    assert "the clock went back, say the call again" in crew.advice.cause


def test_a_second_of_two_clocks_is_no_clock_set_back() -> None:
    crew = Crew()
    crew.do("minutes to call", minutes=20)
    crew.clock -= timedelta(seconds=40)
    crew.do("note", text="x")
    assert left(crew) == 20


def test_without_a_call_nothing_is_hurried() -> None:
    assert State().minutes_left is None
    assert hurried([], 600, None) == ""
