"""A question is asked only where an answer can change something: turns, lists, blocks or gates.

Walked from every symptom, on cars and passes that differ in what the rules may reach for. The
outcomes are compared at the end of each road, not by the function that passes a question over.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.asking.imagined_pass import open_ask
from rules.advice.asking.worth_asking import next_ask
from rules.advice.safety import gates
from rules.advice.safety.pass_facts import PassFacts, facts_of
from rules.advice.situation import situation
from rules.book import shipped
from rules.car.model import Car
from rules.log.said import named_symptoms
from rules.question import UNKNOWN
from tests.support.crew import FRONT, LEVERS, REAR, Crew, invented_car
from tests.support.sample import sampled

BOOK = shipped()
End = tuple[Any, ...]


def at_the_end(**places: float) -> Car:
    """Make a car with some front knobs at an end of their range."""
    front = [knob | {"start": places.get(knob["controls"], knob["start"])} for knob in FRONT]
    return invented_car(front=front, wheelie_bars=True)


CARS: dict[str, Callable[[], Car]] = {
    "all fitted": lambda: invented_car(wheelie_bars=True),
    "no bars": invented_car,
    "no launch lever": lambda: invented_car(levers=LEVERS[1:]),
    "no knobs in front": lambda: invented_car(front=()),
    "full hard in front": lambda: at_the_end(rebound=18, compression=18),
    "full soft in front": lambda: at_the_end(rebound=0, compression=0),
    "leaf springs": lambda: invented_car(rear_suspension="leaf with traction device", rear=REAR),
}
CASES = [*((car, "nothing") for car in CARS), ("no bars", "burnout"), ("no bars", "driver-lifted")]
EACH_CASE = [(symptom, *case) for symptom, case in product(sorted(BOOK.symptoms), CASES)]


def fork(crew: Crew) -> Crew:
    again = Crew.__new__(Crew)
    again.__dict__.update(crew.__dict__)
    again.log = list(crew.log)
    return again


def reached(crew: Crew) -> End:
    """Return what a pass comes to whose questions are all answered, every list ticked clean."""
    run, ticked = crew.run, fork(crew)
    raised = gates.raised(frozenset(named_symptoms(crew.state, run)), run.answers)
    while ticked.prompt.kind == "tick":
        ticked.say("all ok")
    now = situation(ticked.state, ticked.run, BOOK)
    given = advise(ticked.state, ticked.run, BOOK)
    said = () if given.turns else (given.title, given.cause, given.lines)
    big = PassFacts({**run.answers, **facts_of(crew.state, run)}).stood_big
    blocks = frozenset(one.inspection for one in raised)
    return (given.kind, given.turns, given.inspection, said, blocks, now.danger, big)


def answers(crew: Crew) -> tuple[str, ...]:
    return (*(choice.id for choice in crew.prompt.choices), UNKNOWN)


def walk(crew: Crew, useless: list[str], road: tuple[str, ...] = ()) -> frozenset[End]:
    """Return what every way to go on comes to; note each question that leads to one end alone."""
    if crew.prompt.id not in BOOK.prompts:
        return frozenset({reached(crew)})
    here = (*road, crew.prompt.id)
    ends: frozenset[End] = frozenset()
    for value in answers(crew):
        other = fork(crew)
        other.say(value)
        ends |= walk(other, useless, (*here, value))
    if len(ends) == 1:
        useless.append(" ".join(here))
    return ends


@pytest.mark.parametrize(("symptom", "car", "else_"), sampled(EACH_CASE, 20))
def test_no_question_leads_every_answer_to_the_same_end(symptom: str, car: str, else_: str) -> None:
    crew = Crew(CARS[car]())
    crew.say([symptom], [else_])
    useless: list[str] = []
    walk(crew, useless)
    assert useless == []


@pytest.mark.parametrize(("symptom", "car"), sampled(product(sorted(BOOK.symptoms), CARS), 20))
def test_a_question_passed_over_would_have_changed_nothing(symptom: str, car: str) -> None:
    """Each question left out, answered all the same in every way, leaves the advice as it is."""
    crew = Crew(CARS[car]())
    crew.say([symptom], ["nothing"])
    for end in list(every_end(crew)):
        now = situation(end.state, end.run, BOOK)
        assert next_ask(now) is None
        asked, passed_over = set(end.run.answers), []
        while (prompt := open_ask(now, frozenset(passed_over))) is not None:
            passed_over.append(prompt)
        wanted = comes_to(end, {})
        words = [[*(c.id for c in BOOK.prompts[one].choices), UNKNOWN] for one in passed_over]
        for values in product(*words):
            given = dict(zip(passed_over, values, strict=True))
            assert comes_to(end, given) == wanted, (sorted(asked), given)


def every_end(crew: Crew) -> Iterator[Crew]:
    if crew.prompt.id not in BOOK.prompts:
        yield crew
        return
    for value in answers(crew):
        other = fork(crew)
        other.say(value)
        yield from every_end(other)


def comes_to(end: Crew, given: dict[str, str]) -> End:
    """Return the advice and the blocks of a pass with more answers, those that fit still asked."""
    run = replace(end.run, answers={**end.run.answers, **given})
    state = replace(end.state, runs=(*end.state.runs[:-1], run))
    told = advise(state, run, BOOK)
    said = () if told.turns else (told.title, told.cause, told.lines)
    blocks = gates.raised(frozenset(named_symptoms(state, run)), run.answers)
    return (told.kind, told.turns, said, frozenset(one.inspection for one in blocks))


@pytest.mark.parametrize(
    ("symptom", "said", "not_asked"),
    [
        ("front-drops-hard", {"stand": "big"}, "front-travel"),
        ("front-drops-hard", {"stand": "dangerous"}, "front-travel"),
        ("front-carries", {"stand": UNKNOWN, "bars": UNKNOWN}, "carry"),
        ("wheel-hop", {"shake": "mild"}, "rear-motion"),
    ],
)
def test_known_ways_to_the_same_advice_are_short(
    symptom: str, said: dict[str, str], not_asked: str
) -> None:
    crew = Crew(invented_car(wheelie_bars=True))
    crew.say([symptom], ["nothing"])
    for prompt, value in said.items():
        assert crew.prompt.id == prompt
        crew.say(value)
    crew.tell()
    assert crew.prompt.id == "advice"
    assert not_asked not in crew.run.answers


@pytest.mark.parametrize("symptom", ["spins-at-hit", "bogs", "front-slow-to-rise"])
def test_before_a_control_pass_only_what_blocks_is_asked(symptom: str) -> None:
    """The pass says too little: three questions about the rear come to the same control pass."""
    crew = Crew()
    crew.say([symptom], ["burnout"])
    blocking = {prompt for block in gates.BLOCKS for prompt, _ in block.answers}
    rules = BOOK.rules_for(symptom)
    if symptom == "spins-at-hit":
        assert all(rule.do == "turn" for rule in rules)
        assert crew.prompt.id == "advice"
        assert crew.advice.kind == "control"
    while crew.prompt.id in BOOK.prompts:
        looks = any(rule.do in ("inspect", "stop") for rule in rules)
        assert looks or blocking & {ask.prompt for ask in BOOK.symptoms[symptom].asks}
        crew.say(UNKNOWN)


def test_what_was_passed_over_is_asked_once_it_counts() -> None:
    """A mild hop is looked at first; what the rear did is asked when the list is clean."""
    crew = Crew()
    crew.say(["wheel-hop"], ["nothing"], "mild")
    crew.tell()
    assert crew.advice.kind == "inspect"
    crew.say("inspect", "all ok")
    assert crew.prompt.id == "rear-motion"


def test_a_question_that_raises_a_block_is_asked_whatever_the_turn() -> None:
    """A stand over the bars wants its list, though a shorter rise is the turn either way."""
    crew = Crew(invented_car(wheelie_bars=True))
    crew.say(["front-rises-violently"], ["nothing"])
    assert crew.prompt.id == "top-out"
    crew.say("no")
    assert crew.prompt.id == "stand"
