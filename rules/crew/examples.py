"""Plays the book's own examples, on a plain car with everything fitted unless one differs."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import count

from rules.advice.candidates import Candidate, candidates
from rules.advice.record import Record
from rules.advice.situation import situation, tried_facts
from rules.asked import Topic
from rules.book import Book
from rules.book.schema import Example, ExampleCar, RuleText
from rules.car.adjusters import starts
from rules.car.model import Car
from rules.crew.loop import answer
from rules.crew.open_question import next_step
from rules.log.changes import Change
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.log.events.event import Body
from rules.log.events.meeting import MeetingOpened
from rules.log.events.passes import Answered
from rules.log.said import SYMPTOMS, WHAT_ELSE
from rules.log.state import State
from rules.log.state_after import after
from rules.question import UNKNOWN

CLICKS = 18
_PLACES = {"middle": 9, "soft end": 0, "hard end": CLICKS, "near hard end": CLICKS - 2}
_KNOBS = {
    "rebound": ("rebound", "all"),
    "low-speed compression": ("compression", "low"),
    "high-speed compression": ("compression", "high"),
}
_LEVERS: tuple[tuple[str, str, str], ...] = (
    ("front limiter", "travel limiter", "front"),
    ("front tyre pressure", "tyre pressure", "front"),
    ("rear tyre pressure", "tyre pressure", "rear"),
    ("launch rpm", "launch rpm", "car"),
    ("front spring", "spring", "front"),
    ("rear spring", "spring", "rear"),
    ("front ride height", "ride height", "front"),
    ("rear ride height", "ride height", "rear"),
    ("rear preload", "preload", "rear"),
    ("rear link", "link position", "rear"),
    ("rear anti-roll bar", "anti-roll bar", "rear"),
    ("front valving", "valving", "front"),
    ("rear valving", "valving", "rear"),
)


def example_car(kind: ExampleCar) -> Car:
    """Return the plain car with an example's differences."""
    knobs = {
        name: (controls, speed)
        for name, (controls, speed) in _KNOBS.items()
        if f"{speed} speed knobs" not in kind.without and "knobs" not in kind.without
    }
    dampers = [
        {
            "corner": f"{side} {axle}",
            "knobs": [
                {
                    "id": name,
                    "controls": controls,
                    "speed": speed,
                    "clicks": CLICKS,
                    "count_from": "full soft",
                    "start": _PLACES[kind.at],
                }
                for name, (controls, speed) in knobs.items()
            ],
        }
        for axle in ("front", "rear")
        for side in ("left", "right")
    ]
    levers = [
        {
            "id": name,
            "kind": part,
            "axle": axle,
            "start": 50.0,
            "low": 0.0,
            "high": 100.0,
            **({"makers_minimum": 10.0} if part == "tyre pressure" else {}),
        }
        for name, part, axle in _LEVERS
        if "levers" not in kind.without
    ]
    return Car.parse(
        {
            "setdown_car": 5,
            "id": "example",
            "name": "Example car",
            "units": "metric",
            "invented": True,
            "rear_suspension": kind.rear_suspension,
            "wheelie_bars": kind.wheelie_bars,
            "dampers": dampers,
            "levers": levers,
            "stock": _measured_valvings() if kind.measured_valvings else [],
        }
    )


def _measured_valvings() -> list[dict[str, object]]:
    """Return the front valving and firmer ones, each half as firm again: linear, invented."""
    stock: list[dict[str, object]] = []
    for name, firm in (("50", 1.0), ("51", 1.5), ("52", 2.25), ("53", 3.375)):
        rows = [f"{speed}, {firm * speed}, {2 * firm * speed}" for speed in (50, 250, 650)]
        table = [f"speed [mm/s], 0 [N], {CLICKS} [N]", *rows]
        tables = {f"{stroke}_dyno": table for stroke in ("compression", "rebound")}
        stock.append({"kind": "valving", "axle": "front", "name": name, **tables})
    return stock


def example_log(car: Car) -> list[Body]:
    """Return the events with which a log of the example car begins."""
    return [
        CarDescribed(car=car),
        BaselineDeclared(baseline="start", name="Car file", settings=starts(car)),
        MeetingOpened(meeting="meeting", name="Invented meeting", session="test"),
    ]


def consult_example(book: Book, rule: RuleText, example: Example) -> tuple[State, int]:
    """Answer every prompt of an example down to its advice; return the state and the prompt count.

    Prompts the example does not answer are answered with "don't know"; inspections are clean.
    """
    numbers = count(1)
    state = after(State(), example_log(example_car(example.car)))
    asked = 0
    while (prompt := next_step(state, book)).topic != Topic.ADVICE:
        asked += 1
        value: object = example.answers.get(prompt.id, UNKNOWN)
        if prompt.id == SYMPTOMS:
            value = (rule.symptom,)
        elif prompt.id == WHAT_ELSE:
            value = ("nothing",)
        elif prompt.kind == "tick":
            value = "all ok"
        bodies = answer(state, book, prompt.id, value, lambda: f"id-{next(numbers)}")  # type: ignore[arg-type]
        state = after(state, bodies)
    return state, asked


def all_answered(book: Book, rule: RuleText, example: Example) -> State:
    """Return the pass of an example with every question of its symptom answered, needed or not."""
    state, _ = consult_example(book, rule, example)
    for ask in book.symptoms[rule.symptom].asks:
        run = state.runs[-1]
        if ask.prompt not in run.answers and ask.when.holds(situation(state, run, book).facts):
            value = example.answers.get(ask.prompt, UNKNOWN)
            state = after(state, [Answered(run=run.id, prompt=ask.prompt, value=value)])
    return state


def play(book: Book, rule: RuleText, example: Example) -> Candidate:
    """Return what becomes of a rule in one of its examples."""
    state = all_answered(book, rule, example)
    run = state.runs[-1]
    record = Record(tuple(tried_change(key, verdict) for key, verdict in example.tried.items()))
    now = replace(situation(state, run, book), record=record)
    now = replace(now, facts={**now.facts, **tried_facts(record, book)})
    return next(c for c in candidates(now) if c.rule.id == rule.id)


def example_faults(book: Book, rule: RuleText) -> Iterator[str]:
    """Yield each example that does not do what it promises."""
    if rule.status != "active":
        return
    for number, example in enumerate(rule.fires, 1):
        asked = {ask.prompt for ask in book.symptoms[rule.symptom].asks}
        lost = play(book, rule, example).lost
        if lost:
            yield f"rule {rule.id}: fires example {number} stays silent: {lost}"
        if unasked := example.answers.keys() - asked:
            yield f"rule {rule.id}: fires example {number} answers unasked {sorted(unasked)}"
    for number, example in enumerate(rule.silent, 1):
        if not play(book, rule, example).lost:
            yield f"rule {rule.id}: silent example {number} becomes a candidate"


def tried_change(rule: str, verdict: str) -> Change:
    """Return a judged change of this meeting, as an example's `tried` means it."""
    words = {"past": "other"}
    return Change(
        id=f"tried {rule}",
        origin="advice",
        title=rule,
        steps=(),
        meeting="meeting",
        status="judged",
        rule=rule,
        verdict=words.get(verdict, verdict),  # type: ignore[arg-type]
    )
