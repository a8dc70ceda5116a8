"""The same log gives the same advice: nothing but the log decides."""

from collections.abc import Iterable
from typing import Any

import pytest

from rules.advice.advise import advise
from rules.book import shipped
from rules.crew.examples import consult_example
from rules.crew.loop import with_advice
from rules.crew.open_question import next_step
from rules.log.events.advice import AdviceGiven
from rules.log.events.event import BODY, Event
from rules.log.folds.fold import apply, fold
from rules.log.state import State
from tests.support.crew import Crew, invented_car
from tests.support.sample import sampled

BOOK = shipped()
LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


def a_day() -> Crew:
    crew = Crew(invented_car(wheelie_bars=True))
    crew.do("minutes to call", minutes=30)
    crew.tell(symptoms=["front-drops-hard", "nose-stays-high"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    crew.do("recount", adjuster="left front rebound", found="8")
    crew.say("keep")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["front-bounces"], front_travel="short-soft")
    crew.say("several")
    while crew.prompt.id != "advice":
        crew.say("unknown")
    crew.make()
    return crew


def prefixes(log: Iterable[Event]) -> Iterable[tuple[State, Event]]:
    state = State()
    for event in log:
        yield state, event
        state = apply(state, event)


def test_every_advice_of_a_day_is_given_again_from_the_log() -> None:
    given = 0
    for state, event in prefixes(a_day().log):
        if isinstance(event.body, AdviceGiven):
            given += 1
            again = advise(state, state.run(event.body.run), BOOK)
            assert again.model_copy(update={"basis": event.body.advice.basis}) == event.body.advice
            for key in ("book", "version", "facts", "settings", "tried", "session"):
                assert getattr(again.basis, key) == getattr(event.body.advice.basis, key)
    assert given >= 4


def test_the_log_survives_being_written_and_read() -> None:
    crew = a_day()
    bodies = [BODY.validate_json(BODY.dump_json(event.body, by_alias=True)) for event in crew.log]
    assert bodies == [event.body for event in crew.log]
    assert fold(crew.log) == crew.state


def test_the_basis_names_what_the_advice_rests_on() -> None:
    crew = a_day()
    basis = next(e.body.advice.basis for e in reversed(crew.log) if e.body.kind == "advice-given")
    assert basis.book == BOOK.digest
    assert basis.tried == {"drops-hard-compression-firmer": ("other",)}
    assert basis.settings["left front rebound"] == 8
    assert basis.minutes_left is None


@pytest.mark.parametrize("rule_id", sampled(zip(sorted(BOOK.rules)), 4))
def test_an_example_ends_in_an_advice_that_is_in_the_log(rule_id: str) -> None:
    rule = BOOK.rules[rule_id]
    for example in rule.fires:
        state, _ = consult_example(BOOK, rule, example)
        assert state.runs[-1].advice is not None
        assert next_step(state, BOOK).about == state.runs[-1].advice
        assert with_advice(state, BOOK, []) == []
