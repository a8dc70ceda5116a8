"""The screen and the headless twin are one road: the same answers make the same events."""

import asyncio
import re
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pytest
from drive import BOOK, START, Rig, at_the_screen, choice_keys, make_desk
from textual.events import Key

from rules.book.schema import Example, RuleText
from rules.crew.examples import example_car
from rules.log.events.event import BODY, Event
from rules.question import UNKNOWN, Prompt
from tui.commands.consult import Answers, as_json, consult
from tui.desk import Desk
from tui.widgets.asker import Asker

LONGEST_ROAD = 20
PAIR = re.compile(r"\{[^{}|\n]*\|[^{}|\n]*\}")
ID_FIELDS = frozenset({"run", "change", "meeting", "baseline", "report", "job", "damper"})


def rules_by_symptom() -> dict[str, list[RuleText]]:
    found: dict[str, list[RuleText]] = defaultdict(list)
    for rule in BOOK.rules.values():
        found[rule.symptom].append(rule)
    return dict(found)


def answer_for(rule: RuleText, example: Example, prompt: Prompt) -> Any:
    """Return what an example answers; what it does not say is "don't know"."""
    if prompt.id == "symptoms":
        return [rule.symptom]
    if prompt.id == "what-else":
        return ["nothing"]
    if prompt.kind == "tick":
        return "all ok"
    return example.answers.get(prompt.id, UNKNOWN)


def keys_for(prompt: Prompt, value: Any) -> list[str]:
    """Return the keys that give an answer."""
    ids = [choice.id for choice in prompt.choices]
    if value == UNKNOWN:
        return ["0"]
    if value == "all ok":
        pages = [choice_keys(index, index // 8, len(ids)) for index in range(len(ids))]
        return [*(key for page in pages for key in page), "enter"]
    if isinstance(value, list):
        chosen = [key for one in value for key in choice_keys(ids.index(one), 0, len(ids))]
        return [*chosen, "enter"]
    at = ids.index(value)
    return list(choice_keys(at, 0, len(ids), prompt.choices[at].key))


def step_for(prompt: Prompt, value: Any) -> dict[str, Any]:
    """Return the same answer as a file of answers gives it, an inspection item by item."""
    if value == "all ok":
        value = {choice.id: "ok" for choice in prompt.choices}
    return {"prompt": prompt.id, "answer": value}


def normal(events: list[Event]) -> list[dict[str, Any]]:
    """Return the bodies with identifiers numbered in the order in which they appear."""
    bodies = [BODY.dump_python(event.body, mode="json", by_alias=True) for event in events]
    numbers: dict[str, str] = {}
    for body in bodies:
        for key in ID_FIELDS & body.keys():
            if isinstance(body[key], str):
                numbers.setdefault(body[key], f"{key} {len(numbers) + 1}")
    return [_renamed(body, numbers) for body in bodies]


def _renamed(value: Any, numbers: dict[str, str]) -> Any:
    if isinstance(value, dict):
        return {key: _renamed(one, numbers) for key, one in value.items()}
    if isinstance(value, list):
        return [_renamed(one, numbers) for one in value]
    return numbers.get(value, value) if isinstance(value, str) else value


async def press(rig: Rig, keys: list[str]) -> None:
    """Send keys through the driver and wait until they were answered."""
    asker = rig.app.screen.query_one(Asker)
    before = rig.desk.state.events
    for key in keys:
        event = Key(key, key if len(key) == 1 else None)
        event.set_sender(rig.app)
        rig.app._driver.send_message(event)  # type: ignore[union-attr]
    for _ in range(20_000):
        await asyncio.sleep(0)
        done = rig.desk.state.events - before
        if done and asker.prompt.id == rig.desk.prompt.id and _ticked(rig, keys, done):
            return
    raise AssertionError(f"{keys} were not answered: {rig.text}")


def _ticked(rig: Rig, keys: list[str], done: int) -> bool:
    answers = [body for body in rig.desk.log.events()[-done:] if body.body.kind == "item-ticked"]
    return not answers or len(answers) == len(keys) - keys.count("9") - keys.count("enter")


async def drive_screen(rig: Rig, rule: RuleText, example: Example) -> list[dict[str, Any]]:
    """Press an example's answers down to the advice; return the steps a file would give."""
    steps = []
    for _ in range(LONGEST_ROAD):
        prompt = rig.desk.prompt
        if prompt.id == "advice":
            return steps
        value = answer_for(rule, example, prompt)
        await press(rig, keys_for(prompt, value))
        steps.append(step_for(prompt, value))
    raise AssertionError(f"{rule.id}: no advice after {LONGEST_ROAD} answers")


def fresh(desk: Desk, rig: Rig) -> None:
    """Put a fresh desk behind the screen."""
    rig.desk = desk
    screen: Any = rig.app.screen
    screen.desk = desk
    screen.draw()


async def same_events(examples: Iterable[tuple[RuleText, Example]]) -> None:
    """Hold the screen against the twin, each example from a fresh desk on."""
    async with at_the_screen(make_desk()) as rig:
        for rule, example in examples:
            car = example_car(example.car)
            desk = make_desk(car=car, meeting="Consultation")
            fresh(desk, rig)
            steps = await drive_screen(rig, rule, example)
            twin, events = consult(car, Answers(step=tuple(steps)), BOOK, clock=lambda: START)
            assert normal(desk.log.events()) == normal(events)
            assert desk.state.settings == twin.state.settings
            assert desk.prompt.id == twin.prompt.id == "advice"
            assert not PAIR.search(as_json(twin, [])), "a text that was not put into words"


async def test_an_example_of_many_a_symptom_makes_the_same_events() -> None:
    some = list(rules_by_symptom().values())[::3]
    await same_events((rules[0], rules[0].fires[0]) for rules in some)


@pytest.mark.sweep
@pytest.mark.parametrize("symptom", sorted(rules_by_symptom()))
async def test_every_example_makes_the_same_events(symptom: str) -> None:
    rules = rules_by_symptom()[symptom]
    await same_events((rule, one) for rule in rules for one in (*rule.fires, *rule.silent))


LOOP: list[dict[str, Any]] = [
    {"prompt": "symptoms", "answer": ["front-drops-hard", "front-bounces"]},
    {"prompt": "what-else", "answer": ["nothing"]},
    {"prompt": "stand", "answer": "small"},
    {"prompt": "front-travel", "answer": "at-stop"},
    {"prompt": "inspect:hard-landing", "answer": "all ok"},
    {"prompt": "advice", "answer": "make"},
    {"prompt": "turn:left front high-speed compression", "answer": "done"},
    {"action": "note", "text": "Right one grinds [again]"},
    {"prompt": "turn:right front high-speed compression", "answer": "stops early"},
    {"prompt": "reached:right front high-speed compression", "answer": "6"},
    {"prompt": "inspect:damper-damage", "answer": "all ok"},
    {"prompt": "settle", "answer": "even out"},
    {"prompt": "turn:left front high-speed compression", "answer": "done"},
    {"prompt": "ran", "answer": "ran"},
    {"prompt": "what-else", "answer": ["lane-or-air"]},
    {"prompt": "verdict", "answer": "gone"},
    {"prompt": "symptoms", "answer": ["it-is-good"]},
    {"prompt": "sixty-foot", "answer": "1.31"},
    {"prompt": "advice", "answer": "ok"},
    {
        "action": "conditions",
        "lane": "right",
        "air_temperature": 84.5,
        "humidity": 41,
        "pressure": 29.9,
        "pressure_kind": "sea-level barometer",
        "elevation": 1200,
        "breathing": "turbo held",
    },
    {
        "action": "slip",
        "reaction": 0.512,
        "sixty": 1.31,
        "eighth": 6.412,
        "eighth_speed": 107.5,
        "marks": ["red light"],
        "lane": "right",
    },
    {"action": "worth", "gain": 0.008},
    {"action": "recount", "adjuster": "left rear rebound", "found": "7"},
    {"action": "put back to baseline", "knowing": True},
]
FORM_KEYS: dict[str, list[str]] = {
    "note": ["n", *"Right one grinds [again]", "enter"],
    "recount": ["r", "8", "7", "enter"],
    "conditions": [
        *("a", "2", *"84.5", "enter", *"41", "enter", *"29.9", "enter", "2", *"1200", "enter"),
        *("enter", "4", "escape"),
    ],
    "slip": [
        *("s", "p", *"0512", *"1310", "enter", *"6412", *"10750", "enter", "enter", "enter"),
        *("4", "enter"),
    ],
    "worth": ["y", *"0.008", "enter"],
    "put back to baseline": ["p", "2", "y"],
}


@pytest.mark.long
async def test_the_loop_past_the_advice_makes_the_same_events() -> None:
    desk = make_desk(meeting="Consultation")
    steps = []
    async with at_the_screen(desk) as rig:
        for step in LOOP:
            if "action" in step:
                await rig.keys(*FORM_KEYS[step["action"]])
                steps.append(step)
                continue
            prompt = desk.prompt
            assert prompt.id == step["prompt"], rig.text
            typed = prompt.kind in ("text", "number")
            answer = step["answer"]
            await rig.keys(*([*answer, "enter"] if typed else keys_for(prompt, answer)))
            steps.append(step_for(prompt, answer))
        while desk.prompt.id.startswith("turn:"):
            steps.append({"prompt": desk.prompt.id, "answer": "done"})
            await rig.choose("done")
    _, events = consult(desk.car, Answers(step=tuple(steps)), BOOK, clock=lambda: START)
    assert normal(desk.log.events()) == normal(events)
    assert desk.state.baseline is not None
    assert dict(desk.state.settings) == dict(desk.state.baseline.settings)
