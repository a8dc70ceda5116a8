"""The times speak for a change as well as against it, where it was not for a danger."""

from typing import Any

import pytest

from rules.advice.by_time import by_time, proven_off_the_car, speaks_against, speaks_for
from rules.advice.situation import situation
from rules.book import shipped
from tests.support.crew import SQUATS, Crew

BOOK = shipped()
BEFORE = (1.430, 1.433, 1.431, 1.432)


def twice(verdict: str, sixties: tuple[float, float]) -> Crew:
    """Let a rule turn its lever twice, with the same word and these times."""
    crew = Crew()
    for sixty in BEFORE:
        crew.good_pass(sixty)
    crew.say(["spins-at-hit"])
    crew.do("slip", sixty=1.431)
    crew.tell(**SQUATS)
    for sixty in sixties:
        assert crew.advice.kind == "turn"
        crew.make()
        crew.say("ran")
        crew.do("slip", sixty=sixty)
        crew.tell(verdict=verdict, **SQUATS)
    return crew


def test_two_steps_that_nobody_saw_and_the_clock_did_stay_on() -> None:
    crew = twice("same", (1.379, 1.329))
    assert speaks_for(by_time(situation(crew.state, crew.run, BOOK), crew.last))
    assert crew.advice.kind != "put back"


def test_two_steps_that_neither_eye_nor_clock_saw_are_not_the_lever() -> None:
    crew = twice("same", (1.431, 1.432))
    assert crew.advice.kind == "put back"
    assert "this is not the lever" in crew.advice.cause


@pytest.mark.long
def test_what_eases_the_fault_and_costs_time_is_named_and_gone_no_further() -> None:
    crew = twice("better", (1.440, 1.500))
    assert speaks_against(by_time(situation(crew.state, crew.run, BOOK), crew.last))
    assert crew.advice.kind == "put back"
    assert "costs time" in crew.advice.cause


def test_a_danger_that_eases_is_treated_further_whatever_the_clock_says() -> None:
    crew = Crew()
    for sixty in BEFORE:
        crew.good_pass(sixty)
    landing: dict[str, Any] = {"stand": "big", "front_travel": "short-harsh"}
    crew.tell(symptoms=["front-drops-hard"], **landing)
    crew.make()
    crew.say("ran")
    crew.do("slip", sixty=1.50)
    crew.tell(verdict="better", **landing)
    assert by_time(situation(crew.state, crew.run, BOOK), crew.last) is None
    assert crew.advice.kind == "turn"


def test_a_setting_that_the_times_prove_is_gone_back_to() -> None:
    """A-B-A-B-A with about 0.05 s gained by B, by hand; the car stands on A."""
    crew = Crew()
    for sixty in (1.430, 1.431, 1.432):
        crew.good_pass(sixty)
    for sixty in (1.380, 1.381):
        if crew.prompt.id == "advice":
            crew.say("ok")
        crew.do("already turned", adjuster="left rear compression", now="11", sides="both")
        crew.say("ran")
        crew.do("slip", sixty=sixty)
        crew.tell(verdict="gone", symptoms=["it-is-good"])
        crew.say("ok")
        crew.do("undo last change")
        crew.tick()
        crew.tell(symptoms=["it-is-good"])
        crew.do("slip", sixty=1.431)
    now = situation(crew.state, crew.run, BOOK)
    draft = proven_off_the_car(now)
    assert draft is not None
    assert "the times prove it quicker" in draft.cause
    assert {turn.after for turn in draft.turns} == {11.0}
    assert crew.advice.turns == draft.turns
