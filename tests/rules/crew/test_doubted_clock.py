"""A pass that is dated before the one before it is asked back, once; no time is moved by it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from rules.book import shipped
from rules.crew import doubted_clock
from rules.crew.correctable import prompt_of
from rules.log.call_time import SLACK
from rules.log.folds.fold import fold
from rules.question import UNKNOWN, AnswerError
from tests.support.crew import Crew


def second_pass(later: timedelta) -> Crew:
    """A crew at its second pass, by a clock that was set by so much since the first."""
    crew = Crew()
    crew.say(["it-is-good"], ["nothing"], "ok")
    crew.clock = crew.state.runs[-1].at + later
    crew.say(["it-is-good"], ["nothing"])
    return crew


@pytest.mark.parametrize(
    ("later", "asked"),
    [(timedelta(minutes=30), False), (-SLACK / 2, False), (-timedelta(days=1), True)],
)
def test_it_is_asked_back_beyond_what_two_clocks_differ_by(later: timedelta, asked: bool) -> None:
    prompt = second_pass(later).prompt
    assert (prompt.id == doubted_clock.MEANT) == asked


def test_letters_answer_it_once_and_the_answer_stays() -> None:
    crew = second_pass(-timedelta(days=1))
    prompt = crew.prompt
    assert prompt.asks_back
    assert "before pass 1 at" in prompt.question
    assert [one.id for one in prompt.choices] == ["now", "before", "keep", UNKNOWN]
    at = crew.run.at
    assert crew.say("before").id != doubted_clock.MEANT
    assert crew.run.answers[doubted_clock.MEANT] == "before"
    assert crew.run.at == at
    assert fold(crew.log).runs == crew.state.runs
    assert prompt_of(crew.state, shipped(), crew.run, doubted_clock.MEANT) == replace(
        prompt, question=prompt.question.removeprefix("Pass 2: ").replace("it is", "It is", 1)
    )
    assert crew.back().id == doubted_clock.MEANT
    with pytest.raises(AnswerError):
        crew.say("yesterday")
    crew.say(UNKNOWN)
    crew.say("ok", ["it-is-good"], ["nothing"])
    assert crew.prompt.id != doubted_clock.MEANT, "the clock went on from there"
