"""Where the tyre let go the advice says what grip does to the stand, and only there."""

from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.by_mechanics.grip_back import MATTERS
from rules.advice.by_mechanics.words import if_the_tyre_holds
from rules.car.model import Car
from rules.launch.outlook import IfItHolds, Outlook, OutlookAsked
from rules.launch.proposed_change import Expected, ProposedChange, Range, Seen
from rules.launch.surprise import SurpriseAsked
from rules.units import localise
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import hopeless

STAND = Range(low=0.05, middle=0.46, high=0.71)
CAUTION = if_the_tyre_holds(STAND)
SPINS: dict[str, Any] = {
    "symptoms": ["spins-at-hit"],
    "tyre_hit": "over",
    "rear_motion": "separates",
    "stand": "none",
}
UNLOADS: dict[str, Any] = {
    "symptoms": ["unloads-after-hit"],
    "stand": "small",
    "unload_when": "rear-droop",
    "rear_travel": "most",
}
CARRIES: dict[str, Any] = {
    "symptoms": ["front-carries"],
    "stand": "big",
    "carry": "long",
    "bars": "clear",
}


class GripBack:
    """A launch that expects nothing of any way, and this much of grip that comes back."""

    def __init__(self, up: float) -> None:
        self.up = up
        self.ways: list[dict[str, float]] = []

    def __call__(self, question: ProposedChange) -> Expected:
        return Expected(standing="unsure", reason="x", trade_step=1, step=len(question.steps))

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> None:
        return None

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        found = hopeless(question)
        if not question.holds:
            return found
        self.ways += [dict(one) for one in question.ways]
        held = IfItHolds(STAND, self.up)
        return Outlook(found.ways, found.unchanged, "lift", 1, 7, 9, if_it_holds=held)


def cautions(told: dict[str, Any], up: float) -> tuple[str, ...]:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**told)
    model = GripBack(up)
    given = advise(crew.state, crew.run, crew.book, model)
    assert given.kind in ("turn", "control"), given.kind
    after = {turn.adjuster: turn.after for turn in given.turns}
    for one in model.ways:
        assert one == dict(crew.state.settings) | after
    return given.cautions


@pytest.mark.parametrize("told", [SPINS, UNLOADS], ids=["spins", "unloads"])
def test_a_lost_tyre_is_told_what_grip_does_where_more_than_one_car_in_ten_stands_higher(
    told: dict[str, Any],
) -> None:
    assert CAUTION in cautions(told, up=MATTERS + 0.01)
    assert CAUTION not in cautions(told, up=MATTERS)


def test_a_tyre_that_held_is_told_nothing_of_it() -> None:
    assert CAUTION not in cautions(CARRIES, up=0.9)


def test_it_is_said_in_the_crews_units() -> None:
    assert localise(CAUTION, "us") == "If the tyre holds: front about 18 in, 8 in 10 from 2 to 28."
    assert localise(CAUTION, "metric") == (
        "If the tyre holds: front about 460 mm, 8 in 10 from 50 to 710."
    )
