"""No step lets the front rise further where nobody saw what the last one did; a big stand that
the front rebound cannot treat goes to the launch before the limiter."""

import pytest

from rules.log.advice import Advice
from rules.question import UNKNOWN
from tests.support.crew import FRONT, Crew, invented_car


def _advice(crew: Crew, **told: object) -> Advice:
    about = crew.tell(**told).about
    assert isinstance(about, Advice)
    return about


def _lazy() -> Crew:
    firm = [{**one, "start": 14} if one["id"] == "rebound" else one for one in FRONT]
    crew = Crew(invented_car(front=firm))
    first = _advice(
        crew,
        symptoms=["front-slow-to-rise"],
        hooked="lazy",
        stand="none",
        front_travel="short-soft",
    )
    assert first.rule == "slow-rise-rebound-softer"
    crew.say("make", "done", "done", "ran")
    return crew


@pytest.mark.parametrize("verdict", ["same", "better"])
def test_the_same_way_again_waits_for_the_stand_where_it_lets_the_front_rise(verdict: str) -> None:
    again = _advice(_lazy(), verdict=verdict, hooked="lazy", stand=UNKNOWN, front_travel=UNKNOWN)
    assert again.kind == "measure"
    assert not again.turns


def test_with_the_stand_seen_it_goes_the_same_way_again() -> None:
    again = _advice(
        _lazy(), verdict="better", hooked="lazy", stand="none", front_travel="short-soft"
    )
    assert again.rule == "slow-rise-rebound-softer"


def test_a_big_hard_landing_with_the_rebound_shut_has_less_launch_before_the_limiter() -> None:
    shut = [{**one, "start": 18} if one["id"] == "rebound" else one for one in FRONT]
    crew = Crew(invented_car(front=shut))
    given = _advice(
        crew, **{"symptoms": ["front-drops-hard"], "stand": "big", "front-travel": "at-stop"}
    )
    assert given.rule == "drops-hard-big-stand-launch"


def test_past_the_bars_the_rebound_comes_after_a_launch_that_did_not_help() -> None:
    crew = Crew(invented_car())
    seen = {"stand": "dangerous", "front-travel": "at-stop"}
    first = _advice(crew, symptoms=["front-drops-hard"], **seen)
    assert first.rule == "drops-hard-launch-softer"
    crew.say("make", "done", "ran")
    assert _advice(crew, verdict="worse", **seen).rule == "drops-hard-big-stand-rebound"


@pytest.mark.parametrize(("stand", "kind"), [(UNKNOWN, "measure"), ("none", "half back")])
def test_after_a_danger_half_back_up_waits_for_the_stand(stand: str, kind: str) -> None:
    crew = Crew(invented_car())
    first = _advice(crew, symptoms=["front-carries"], stand="big", carry="long")
    assert first.rule == "carries-rebound-firmer"
    crew.say("make", "done", "done", "ran")
    told = {"symptoms": ["spins-at-hit"], "tyre-hit": "under", "rear-motion": "squats"}
    assert _advice(crew, verdict="other", stand=stand, **told).kind == kind
