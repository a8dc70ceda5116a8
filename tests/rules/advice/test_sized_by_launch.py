"""A turn of the book alone, weighed: never larger, perhaps smaller, and kept with the advice."""

from typing import Any

import pytest

from rules.advice.advise import advise
from rules.asked import Topic
from rules.car.model import Car
from rules.crew.loop import answer, due_advice
from rules.crew.open_question import next_step
from rules.launch.model import launch_model
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.surprise import SurpriseAsked
from rules.log.events.advice import AdviceGiven
from rules.log.events.event import BODY
from rules.log.folds.fold import apply
from rules.log.state import State
from tests.support.crew import Crew
from tests.support.launch.advised import carries
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import Told, hopeless

TOLD: dict[str, Any] = {
    "symptoms": ["front-drops-hard"],
    "stand": "small",
    "front_travel": "at-stop",
}
SPINS: dict[str, Any] = {
    "symptoms": ["spins-at-hit"],
    "tyre_hit": "under",
    "rear_motion": "squats",
}


class Model:
    """A model that says what it is told to, and remembers what it was asked."""

    def __init__(self, step: int = 1) -> None:
        self.step = step
        self.asked: list[ProposedChange] = []

    def __call__(self, question: ProposedChange) -> Expected:
        self.asked.append(question)
        trade = len(question.steps)
        return Expected(
            standing="agrees", reason="x", trade_step=trade, step=self.step, seed=7, cars=9
        )

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        return hopeless(question)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> None:
        return None


def due(**told: Any) -> tuple[Crew, State]:
    """Return a crew whose answers are all given, and the state with its advice due."""
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**{**TOLD, **told})
    log = [event for event in crew.log if event.body.kind != "advice-given"]
    state = State()
    for event in log:
        state = apply(state, event)
    return crew, state


def test_the_trades_turn_becomes_the_models_smaller_one() -> None:
    crew, state = due()
    plain = crew.advice
    assert [turn.after - turn.before for turn in plain.turns] == [2, 2]
    model = Model(step=1)
    given = advise(state, state.runs[-1], crew.book, model)
    assert [turn.after - turn.before for turn in given.turns] == [1, 1]
    assert "1 click" in given.title
    assert given.basis.model is not None
    assert (given.basis.model.seed, given.basis.model.cars) == (7, 9)
    asked = model.asked[0]
    assert [step["left front high-speed compression"] for step in asked.steps] == [6, 7]
    assert asked.settings == state.settings


def test_a_model_cannot_turn_further_than_the_trade() -> None:
    crew, state = due()
    given = advise(state, state.runs[-1], crew.book, Model(step=9))
    assert given.turns == crew.advice.turns


def test_a_model_that_cannot_take_the_car_leaves_the_trades_step() -> None:
    def broken(_: ProposedChange) -> Expected:
        raise ValueError("no such car")

    crew, state = due()
    given = advise(state, state.runs[-1], crew.book, Told(broken))
    assert given.turns == crew.advice.turns
    assert given.expected is not None
    assert given.expected.standing == "unsure"


def test_danger_is_told_and_a_stop_is_not_weighed() -> None:
    for told, danger in (({}, True), ({"stand": "dangerous"}, True), (SPINS, False)):
        crew, state = due(**told)
        model = Model()
        assert advise(state, state.runs[-1], crew.book, model).kind == "turn"
        assert [question.danger for question in model.asked] == [danger]
    crew, state = due(symptoms=["brakes-badly"])
    model = Model()
    if advise(state, state.runs[-1], crew.book, model).kind != "turn":
        assert model.asked == []


def test_an_answer_can_be_taken_before_its_advice_is_worked_out() -> None:
    crew, state = due()
    prompt = next_step(state, crew.book)
    assert prompt.topic == Topic.WORKING_OUT
    assert prompt.choices == ()
    assert due_advice(State(), crew.book) == []
    [body] = due_advice(state, crew.book)
    assert isinstance(body, AdviceGiven)
    assert body.advice == crew.advice
    early = Crew(car=shipped_car("demo"))
    early.say(["front-drops-hard"])
    bodies = answer(
        early.state, early.book, early.prompt.id, ("nothing",), early.new_id, advised=False
    )
    assert [one.kind for one in bodies] == ["answered"]


@pytest.mark.long
@pytest.mark.parametrize("car", ["demo", pytest.param("leaf-metric", marks=pytest.mark.sweep)])
def test_the_log_replays_to_the_same_advice_with_the_real_model(car: str) -> None:
    crew, given = carries(car)
    log = [event for event in crew.log if event.body.kind != "advice-given"]
    state = State()
    for event in log:
        state = apply(state, event)
    [body] = due_advice(state, crew.book, launch_model)
    assert isinstance(body, AdviceGiven)
    read = BODY.validate_json(BODY.dump_json(body, by_alias=True))
    assert read == body
    assert given == read.advice  # type: ignore[union-attr]
    assert given.expected is not None
    assert given.basis.model is not None
