"""What a hand is asked, and how it answers, fits what it has in it: a knob, a gauge, a spring."""

import re
from dataclasses import replace
from typing import get_args

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.adjusters import DIRECTIONS, Adjuster, Turn
from rules.car.hand_words import HAND_WORDS
from rules.car.model import LeverKind
from rules.crew import reaching, work_prompts
from rules.log.changes import Change, Step
from rules.log.state import State
from rules.log.work_orders import even_turns
from rules.question import Prompt
from tests.support.crew import Crew, invented_car
from tests.support.once import once
from tui.drawn.car_view import car_view
from tui.drawn.header import header
from tui.drawn.work import work_plate

ONLY_KNOBS = re.compile(r"\b(knobs?|turn|turned|turns|clicks?|dampers?)\b", re.IGNORECASE)
LEVERS = sorted(kind for kind in HAND_WORDS if kind != "knob")
KNOB = "left front rebound"
ENDS = {"low": 1.0, "high": 5.0, "start": 2.0, "step": 1.0, "unit": "in", "minutes": 3}
NAMED = {"positions": ["first", "second", "third"], "start": "second", "minutes": 60}


@once
def crew() -> Crew:
    """Return a crew whose car has a lever of every kind."""
    parts = ("spring", "valving", "link position")
    levers = [
        {"id": f"own {kind}", "kind": kind, "axle": "rear", **(NAMED if kind in parts else ENDS)}
        for kind in LEVERS
    ]
    return Crew(invented_car(levers=levers))


def order(state: State, one: Adjuster) -> Change:
    """Return an order of one step up."""
    value = state.settings[one.id]
    step = Step(Turn(adjuster=one.id, before=value, after=value + one.step))
    return Change("c", "advice", f"{one.label}: one up", (step,), "m")


def asked(state: State, one: Adjuster) -> list[Prompt]:
    """Return every question that an order of one step can come to."""
    change = order(state, one)
    step = change.steps[0]
    return [
        work_prompts.turn(change, step, state),
        work_prompts.reached(change, step, state),
        reaching.prompt(step, state),
        work_prompts.recount(one, state),
        work_prompts.settle(change, even=False),
    ]


def words(prompt: Prompt) -> str:
    return " ".join((prompt.question, prompt.hint, *(one.label for one in prompt.choices)))


def test_every_kind_of_adjuster_has_its_words() -> None:
    assert set(HAND_WORDS) == set(DIRECTIONS) == {*get_args(LeverKind), "knob"}


@pytest.mark.parametrize("kind", LEVERS)
def test_no_word_of_a_knob_is_said_of_anything_else(kind: str) -> None:
    state, one = crew().state, crew().fitted[f"own {kind}"]
    change = order(state, one)
    told = [words(prompt) for prompt in asked(state, one)]
    plate = work_plate(state, change, one.id)
    told += [plate.head, *plate.says, *plate.below]
    view = car_view(state, work_prompts.turn(change, change.steps[0], state))
    assert view is not None
    told += [shown.order for shown in view.levers]
    told.append(header(replace(state, changes=state.changes.plus(change)), None, 80, None).plain)
    assert [said for said in told if ONLY_KNOBS.search(said)] == []


def test_a_knob_is_turned_counted_and_reached() -> None:
    told = " ".join(words(prompt) for prompt in asked(crew().state, crew().fitted[KNOB]))
    assert "It stops early" in told
    assert "Turn the damper's base" in told
    assert "Count it by hand." in told


@pytest.mark.parametrize("kind", [*LEVERS, "knob"])
def test_one_key_means_the_same_on_every_kind(kind: str) -> None:
    state = crew().state
    one = crew().fitted[KNOB if kind == "knob" else f"own {kind}"]
    change = order(state, one)
    choices = work_prompts.turn(change, change.steps[0], state).choices
    ids = ["not-yet", "done", "stops early", "cannot reach", "not done"]
    assert [choice.id for choice in choices] == ids
    assert one.show(change.steps[0].turn.after) in choices[1].label
    assert reaching.prompt(change.steps[0], state).choices


@pytest.mark.parametrize(
    ("lever", "blocks"), [(KNOB, True), ("own travel limiter", True), ("own launch rpm", False)]
)
def test_only_what_can_be_bent_or_stuck_opens_a_list(lever: str, blocks: bool) -> None:
    state = crew().state
    change = order(state, crew().fitted[lever])
    step = replace(change.steps[0], state="stopped", reason="stops early", reached=2.0)
    state = replace(state, changes=state.changes.plus(replace(change, steps=(step,))))
    lists = [one.inspection for one in open_blocks(state, crew().book)]
    assert ("damper-damage" in lists) == blocks


def test_what_came_out_elsewhere_and_has_no_other_side_can_be_kept_there() -> None:
    state, one = crew().state, crew().fitted["own launch rpm"]
    turn = Turn(adjuster=one.id, before=2.0, after=5.0)
    step = Step(turn, state="stopped", reason="stops early", reached=4.0)
    change = Change("c", "advice", "one", (step,), "m", status="part-applied")
    assert even_turns(state, change) == (replace(turn, after=4.0),)
    assert work_prompts.settle(change, even=True).choices[-1].label == "Keep it where it came out"
