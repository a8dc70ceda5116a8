"""Two passes that contradict each other: one question, once, whose answer weighs in the belief."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from rules.advice.earlier_passes import sightings
from rules.launch.belief.faults import launched
from rules.launch.belief.learning import STEP_S, learnt
from rules.launch.belief.particles import A_PASS, APART, Cars, drawn, layout
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Seen
from rules.log.two_passes import OTHERWISE, PROMPT, SEEN_WRONGLY, contradicted
from rules.question import UNKNOWN
from tests.support.crew import Crew, invented_car
from tests.support.launch.car_questions import shipped_car

LOW: Mapping[str, Any] = {
    "symptoms": ["squats-and-drags"], "stand": "none", "front_travel": "short-soft",
}  # fmt: skip
GOOD: Mapping[str, Any] = {"symptoms": ["it-is-good"]}
HIGH: Mapping[str, Any] = {
    "symptoms": ["front-carries"], "stand": "big", "carry": "short", "bars": "clear",
}  # fmt: skip
SMALL: Mapping[str, Any] = {**HIGH, "stand": "small"}


def two(first: Mapping[str, Any], second: Mapping[str, Any], crew: Crew | None = None) -> Crew:
    """Return a crew after two passes on the same settings, all of the second told that is asked."""
    crew = crew or Crew(car=shipped_car("demo"))
    told(crew, first)
    told(crew, second)
    return crew


def told(crew: Crew, words: Mapping[str, Any]) -> None:
    if crew.state.open_run is not None:
        crew.say("ok" if "ok" in [one.id for one in crew.prompt.choices] else "leave")
    while crew.tell(**words).id in crew.book.prompts:
        crew.say(UNKNOWN)


def weights(crew: Crew) -> list[tuple[float, bool]]:
    return [(one.weight, one.apart) for one in sightings(crew.state, crew.run)]


@pytest.mark.parametrize(("first", "second"), [(GOOD, HIGH), (GOOD, LOW)])
def test_passes_that_contradict_each_other_are_asked_about_once(
    first: Mapping[str, Any], second: Mapping[str, Any]
) -> None:
    crew = two(first, second)
    assert crew.prompt.id == PROMPT
    assert "Passes 1 and 2" in crew.prompt.question
    crew.say(UNKNOWN)
    assert crew.prompt.id == "advice"
    assert weights(crew) == [(1.0, False), (1.0, False)]
    told(crew, first)
    told(crew, second)
    assert crew.prompt.id == "advice"


def test_stands_two_bands_apart_contradict_and_next_to_each_other_do_not() -> None:
    crew = two({**HIGH, "stand": "none"}, HIGH)
    assert crew.prompt.id == PROMPT
    for pair in ((SMALL, HIGH), (HIGH, SMALL), (HIGH, HIGH)):
        assert two(*pair).prompt.id == "advice"


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("start", [(1.0, True), (1.0, True)]),
        ("car", [(OTHERWISE, True), (OTHERWISE, True)]),
        ("before", [(SEEN_WRONGLY, False), (1.0, False)]),
        ("now", [(1.0, False), (SEEN_WRONGLY, False)]),
    ],
)
def test_each_answer_says_what_the_passes_count_and_can_be_taken_back(
    said: str, wanted: list[tuple[float, bool]]
) -> None:
    crew = two(GOOD, HIGH)
    crew.say(said)
    assert crew.prompt.id == "advice"
    assert weights(crew) == wanted
    assert crew.back().id == PROMPT
    assert weights(crew) == [(1.0, False), (1.0, False)]


def test_nothing_is_asked_where_no_answer_would_weigh() -> None:
    assert two(HIGH, GOOD).prompt.id == "advice"
    assert two(GOOD, HIGH, Crew(car=invented_car())).prompt.id == "advice"
    crew = Crew(car=shipped_car("demo"))
    told(crew, GOOD)
    crew.say("ok")
    crew.do(
        "already turned", adjuster="launch rpm", now=str(crew.state.settings["launch rpm"] + 100)
    )
    crew.say("ran")
    crew.tell(symptoms=["front-carries"])
    assert contradicted(crew.state, crew.run) is None


@pytest.mark.sweep
def test_a_pass_that_counts_less_moves_the_cloud_less() -> None:
    """At no weight a pass teaches nothing, at the whole weight what it always did."""
    car = shipped_car("demo")
    settings = tuple(sorted(Crew(car=car).state.settings.items()))

    def lift(weight: float) -> float:
        high = Seen(settings, (("stand", "dangerous"),), (("lift", (0.9, 0.02)),), weight=weight)
        z = learnt(car, (high,), 3).z
        cars = Cars(car, z).on(dict(settings), 0, 0)
        run = launched(launch_many(cars, step_s=STEP_S), cars)
        return float(np.median(run.columns["front_lift_max"]))

    assert lift(0.0) < lift(SEEN_WRONGLY) < lift(1.0)


def test_a_pass_run_otherwise_has_a_wider_thrust_and_grip_of_its_own() -> None:
    car = shipped_car("demo")
    z = drawn(car, 400, np.random.default_rng(2))
    z[:, :-2] = 0.0
    where = layout(car)
    for what in (0, 1):
        usual, apart = (np.std(np.log(where.day(z, 0, -1, wide)[what])) for wide in (False, True))
        assert usual == pytest.approx(A_PASS[what], rel=0.1)
        assert apart == pytest.approx(APART * usual)
