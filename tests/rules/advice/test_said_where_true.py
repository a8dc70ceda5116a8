"""What a question or an advice says is true of this car, this pass and what was done on it."""

from datetime import timedelta
from typing import Any

import pytest

from rules.crew.forms import FORMS
from rules.question import Prompt
from tests.support.crew import Crew, invented_car

LANDING: dict[str, Any] = {"stand": "big", "front_travel": "at-stop"}


def test_no_pass_before_is_spoken_of_on_the_first_pass() -> None:
    crew = Crew()
    crew.say(["it-is-good"])
    assert crew.prompt.question == "Pass 1: what else changed since the settings were noted?"
    crew.say(["nothing"], "ok", ["it-is-good"])
    assert crew.prompt.question == "Pass 2: what else changed since the pass before?"


def _bars_asked(crew: Crew) -> Prompt:
    crew.tell(symptoms=["front-carries"], stand="big")
    assert crew.prompt.id == "bars"
    return crew.prompt


@pytest.mark.parametrize(
    ("file", "offered"),
    [
        ({"wheelie_bars": True}, False),
        ({"wheelie_bars": True, "guesses": ["wheelie_bars"]}, True),
    ],
)
def test_no_bars_is_offered_unless_the_file_has_them(file: dict[str, Any], offered: bool) -> None:
    crew = Crew(invented_car(**file))
    assert ("none" in [one.id for one in _bars_asked(crew).choices]) is offered
    crew.say("clear")
    asked = FORMS["correct"](crew.state, crew.book, {"run": "1", "prompt": "bars"})
    assert isinstance(asked, Prompt)
    assert ("none" in [one.id for one in asked.choices]) is offered


def test_an_inspection_that_was_done_is_not_warned_of() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    assert crew.advice.kind == "turn"
    (never,) = [one for one in crew.advice.cautions if one.startswith("Never")]
    assert never == "Never: softer front rebound."


def test_the_own_turn_that_has_no_time_to_go_back_says_that_the_clock_went_back() -> None:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    crew.do("already turned", adjuster="left rear rebound", now="5")
    crew.say("ran")
    crew.do("minutes to call", minutes=60)
    crew.clock -= timedelta(days=1)
    crew.tell(verdict="other", symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert "the clock went back, say the call again" in crew.advice.why
