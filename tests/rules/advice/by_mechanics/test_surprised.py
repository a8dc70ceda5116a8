"""A pass that nobody foretold: first the list, once; after danger never a pass to see."""

from collections.abc import Mapping
from typing import Any, get_args

import pytest

from rules.advice.advise import advise
from rules.advice.by_mechanics.surprised import AGAIN, LIST, LOOK, surprised
from rules.advice.situation import situation
from rules.book import shipped
from rules.car.model import Car
from rules.crew.loop import answer, due_advice
from rules.launch.proposed_change import Expected, ProposedChange, Range, Seen
from rules.launch.surprise import RARE, SIXTY, Sight, Surprise, SurpriseAsked
from rules.log.advice import Advice, AdviceKind, Draft
from rules.log.events.advice import AdviceGiven
from rules.units import localise
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import Told

CARRIES: Mapping[str, Any] = {
    "symptoms": ["front-carries"], "stand": "small", "carry": "long", "bars": "clear"
}  # fmt: skip
CALM: Mapping[str, Any] = {
    "symptoms": ["nose-stays-high"], "on_lift": "sinks",
    "stand": "none", "front_travel": "short-soft",
}  # fmt: skip
HARD: Mapping[str, Any] = {
    "symptoms": ["front-drops-hard"], "stand": "big", "front_travel": "at-stop", "bars": "clear"
}  # fmt: skip
SIGHTS = (
    Sight("stand", "small", "big", 0.8, 0.01),
    Sight(SIXTY, 1.62, Range(low=1.42, middle=1.44, high=1.47), 0.8, 0.012, "time"),
    Sight("front-carries", "front-carries", "", 0.9, 0.1),
)


def _unsure(question: ProposedChange) -> Expected:
    return Expected(standing="unsure", reason="x", trade_step=1, step=len(question.steps))


class Surprised(Told):
    """A launch that holds every pass for as rare as it is told to."""

    def __init__(self, chance: float, sights: tuple[Sight, ...] = SIGHTS) -> None:
        super().__init__(_unsure)
        self.came = Surprise(chance, sights)
        self.asked: list[SurpriseAsked] = []

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        self.asked.append(question)
        return self.came


def on_second_pass(told: Mapping[str, Any], minutes: int | None = None) -> Crew:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**CARRIES)
    crew.say("leave")
    if minutes is not None:
        crew.do("minutes to call", minutes=minutes)
        return crew
    crew.tell(**told)
    return crew


def advised(crew: Crew, chance: float = RARE / 2) -> Advice:
    return advise(crew.state, crew.run, crew.book, Surprised(chance))


def test_the_car_is_looked_over_before_any_advice_and_hears_what_was_foretold() -> None:
    given = advised(on_second_pass(CARRIES))
    assert (given.kind, given.inspection, given.turns) == ("inspect", LIST, ())
    assert "fewer than 2 in 100" in given.cause
    for system in ("us", "metric"):
        said = localise(given.cause, system)
        assert "60-foot 1.420 to 1.470 s; came 1.620" in said
        assert "came: up, but under" in said
        assert "{" not in said


@pytest.mark.parametrize("chance", [RARE, 0.5, 1.0])
def test_what_is_not_that_rare_goes_on(chance: float) -> None:
    crew = on_second_pass(CARRIES)
    assert advised(crew, chance).kind == crew.advice.kind == "turn"


def test_once_looked_over_the_advice_goes_on_and_so_does_the_next_pass() -> None:
    crew = on_second_pass(CARRIES)
    model = Surprised(RARE / 2)
    bare = crew.advice

    def say(value: Any) -> None:
        bodies = answer(crew.state, crew.book, crew.prompt.id, value, crew.new_id, advised=False)
        crew.record(bodies)
        crew.record(due_advice(crew.state, crew.book, model))

    given = advise(crew.state, crew.run, crew.book, model)
    assert given.kind == "inspect"
    crew.record([AdviceGiven(run=crew.run.id, advice=given)])
    say("inspect")
    assert crew.prompt.kind == "tick"
    say({one.id: "ok" for one in crew.book.inspections[LIST].items})
    assert crew.advice.kind == bare.kind == "turn"
    crew.say("leave")
    asked = len(model.asked)
    crew.tell(**CARRIES)
    assert advise(crew.state, crew.run, crew.book, model).kind == "turn"
    assert len(model.asked) == asked


def test_after_danger_there_is_only_the_list_even_without_time_for_it() -> None:
    for told, kind, title in (
        (CALM, "control", AGAIN),
        (CARRIES, "inspect", LOOK),
        (HARD, "inspect", LOOK),
    ):
        crew = on_second_pass({}, minutes=4)
        crew.tell(**told)
        given = advised(crew)
        assert (given.kind, given.title) == (kind, title)


def test_the_pass_after_the_same_again_goes_on() -> None:
    crew = on_second_pass({}, minutes=4)
    crew.tell(**CALM)
    again = advised(crew)
    crew.record([AdviceGiven(run=crew.run.id, advice=again)])
    crew.say("control")
    crew.do("minutes to call", minutes=60)
    crew.tell(**CALM)
    assert advised(crew).title == crew.advice.title


@pytest.mark.parametrize("kind", get_args(AdviceKind))
def test_what_looks_at_the_car_or_keeps_it_from_running_stands(kind: AdviceKind) -> None:
    crew = on_second_pass(CARRIES)
    now = situation(crew.state, crew.run, crew.book)
    found = surprised(now, Draft(kind=kind, title="x"), Surprised(RARE / 2))
    assert (found is None) is (kind in ("inspect", "stop", "control", "put right"))


def test_every_item_of_the_list_can_be_ticked_in_the_gloves() -> None:
    assert 4 <= len(shipped().inspections[LIST].items) <= 8
