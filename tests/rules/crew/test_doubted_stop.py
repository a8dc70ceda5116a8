"""An O-ring at its stop on a car whose tyres stayed down is asked back, once. Common practice."""

from typing import Any

import pytest

from rules.advice.safety.dangers import dangers
from rules.book import shipped
from rules.crew import doubted_stop
from rules.crew.correctable import prompt_of
from rules.log.folds.fold import fold
from rules.question import UNKNOWN, Prompt
from tests.support.crew import Crew


def lazy(**told: Any) -> tuple[Crew, Prompt]:
    """A crew whose nose hardly rises, up to the question that is not told."""
    crew = Crew()
    crew.say(["front-slow-to-rise"], ["nothing"])
    while crew.prompt.id.replace("-", "_") in told:
        crew.say(told[crew.prompt.id.replace("-", "_")])
    return crew, crew.prompt


@pytest.mark.parametrize(
    ("stand", "travel", "asked"),
    [
        ("none", "at-stop", True),
        ("none", "near-stop", False),
        ("none", "short-soft", False),
        ("small", "at-stop", False),
        (UNKNOWN, "at-stop", False),
    ],
)
def test_it_is_asked_where_nothing_can_have_landed(stand: str, travel: str, asked: bool) -> None:
    _, prompt = lazy(hooked="lazy", stand=stand, front_travel=travel)
    assert (prompt.id == doubted_stop.MEANT) == asked
    assert not asked or prompt.asks_back


def test_braking_says_nothing_of_the_landing_and_wakes_no_danger() -> None:
    crew, _ = lazy(hooked="lazy", stand="none", front_travel="at-stop")
    assert crew.say("braking").id != doubted_stop.MEANT
    assert crew.run.answers["front-travel"] == UNKNOWN
    assert not list(dangers(crew.state))
    assert crew.prompt.id == "inspect:hard-landing", "the stop was met all the same"
    assert doubted_stop.BRAKED in crew.prompt.notice
    assert "Corrected" not in crew.prompt.notice
    assert fold(crew.log).runs == crew.state.runs


def test_a_landing_asks_again_how_high_the_front_came_up() -> None:
    crew, _ = lazy(hooked="lazy", stand="none", front_travel="at-stop")
    assert crew.say("landing").id == "stand"
    assert crew.say("none").id != doubted_stop.MEANT, "asked once"
    assert fold(crew.log).runs == crew.state.runs
    crew.back()
    assert crew.back().id == doubted_stop.MEANT
    assert crew.back().id in ("stand", "front-travel")


@pytest.mark.parametrize("said", ["landing", UNKNOWN])
def test_in_doubt_it_was_the_landing(said: str) -> None:
    crew, asked = lazy(hooked="lazy", stand="none", front_travel="at-stop")
    crew.say(said)
    assert crew.prompt.id != doubted_stop.MEANT, "asked once"
    assert crew.run.answers["front-travel"] == "at-stop"
    assert [one.landing for one in dangers(crew.state)]
    again = prompt_of(crew.state, shipped(), crew.run, doubted_stop.MEANT)
    assert again.choices == asked.choices
    assert crew.back().id == doubted_stop.MEANT


@pytest.mark.parametrize("named", ["front-drops-hard", "front-bounces"])
def test_a_front_that_was_seen_to_come_down_is_taken_at_its_word(named: str) -> None:
    crew = Crew()
    crew.tell(symptoms=[named], stand="none", front_travel="at-stop")
    assert crew.prompt.id != doubted_stop.MEANT
