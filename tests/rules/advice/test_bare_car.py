"""A car with nothing but a name and its knobs still gets advice, and what to measure first."""

from typing import Any

import pytest

from rules.advice.advise import advise
from rules.launch.forecast_words import expected_details
from rules.launch.model import launch_model
from rules.launch.proposed_change import Expected, ProposedChange
from tests.support.crew import Crew, invented_car, knob, steps_of
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import Told

TOLD: dict[str, Any] = {"symptoms": ["front-carries"], "stand": "big", "bars": "clear"}
NAME_AND_KNOBS = invented_car(front=(knob("rebound", "rebound"),), rear=(), levers=())


def test_the_trades_step_stands_and_what_to_measure_is_ranked() -> None:
    crew = Crew(car=NAME_AND_KNOBS)
    crew.tell(**TOLD)
    plain = crew.advice
    given = advise(crew.state, crew.run, crew.book, launch_model)
    assert given.kind == "turn"
    assert given.turns == plain.turns
    assert steps_of(given, crew.fitted)[0] == ("left front rebound", 3)
    found = given.expected
    assert found is not None
    assert (found.standing, found.step) == ("too little known", 3)
    # Without mass and wheelbase there is no launch; the rest by what it does to the lift.
    assert found.measure_first[:2] == ("masses.total", "geometry.wheelbase")
    assert len(found.measure_first) == 4
    assert not found.effects
    rows = dict(expected_details(found, "metric"))
    assert rows["Narrower"].startswith("Measure first: total mass, wheelbase, ")


def test_a_name_alone_is_told_what_is_missing_and_turns_nothing() -> None:
    crew = Crew(car=invented_car(front=(), rear=(), levers=()))
    crew.tell(**TOLD)
    given = advise(crew.state, crew.run, crew.book, launch_model)
    assert given.kind == "ladder"
    assert given.turns == ()
    assert given.lines
    assert given.expected is not None
    assert given.expected.standing == "too little known"
    assert given.expected.measure_first[:2] == ("masses.total", "geometry.wheelbase")


def test_the_ladder_of_a_known_car_has_no_word_of_the_model() -> None:
    asked = []

    def model(question: ProposedChange) -> Expected:
        asked.append(question.steps)
        return launch_model(question)

    car = shipped_car("demo")
    crew = Crew(car=car.model_copy(update={"dampers": (), "levers": ()}))
    crew.tell(**TOLD)
    given = advise(crew.state, crew.run, crew.book, Told(model))
    assert given.kind == "ladder"
    assert given.expected is None
    assert asked == []


@pytest.mark.sweep
@pytest.mark.parametrize("name", ["demo", "leaf-metric"])
def test_what_is_known_is_not_asked_for(name: str) -> None:
    car = shipped_car(name)
    crew = Crew(car=car)
    crew.tell(**TOLD, carry="long")
    found = advise(crew.state, crew.run, crew.book, launch_model).expected
    if found is not None:
        assert not {"masses.total", "geometry.wheelbase"} & set(found.measure_first)
