"""Who has the word: the gates and the book's lists first, the mechanics where they can judge."""

from collections.abc import Mapping
from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.by_mechanics.words import COMPUTED
from rules.car.model import Car
from rules.launch.belief.faults import FAULTS
from rules.launch.judged import JUDGED
from rules.launch.outlook import Outlook, OutlookAsked, Prospect
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.surprise import SurpriseAsked
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import HOPELESS

CARRIES: Mapping[str, Any] = {
    "symptoms": ["front-carries"], "stand": "small", "carry": "long", "bars": "clear"
}  # fmt: skip
LIKELY = Prospect(good=0.9, gone=0.9, better=0.95, harm=0.0, small=1.0, left=0.0)


class Prefers:
    """A launch on which only ways that move one adjuster that way to that setting do anything."""

    hardly_shown: frozenset[str] = frozenset()

    def __init__(self, adjuster: str, after: float | None = None, harm: float = 0.0) -> None:
        self.adjuster, self.after, self.harm = adjuster, after, harm
        self.asked = 0

    def __call__(self, question: ProposedChange) -> Expected:
        return Expected(standing="unsure", reason="x", trade_step=1, step=len(question.steps))

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        self.asked += 1
        today = question.today[self.adjuster]

        def prospect(settings: Mapping[str, float]) -> Prospect:
            there = settings[self.adjuster]
            wanted = there != today if self.after is None else there == self.after
            return LIKELY if wanted else HOPELESS

        ways = tuple(prospect(one) for one in question.ways)
        return Outlook(
            ways, HOPELESS, goal="lift", version=1, seed=7, cars=9, hardly_shown=self.hardly_shown
        )

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> None:
        return None


def crew_on(told: Mapping[str, Any] = CARRIES) -> Crew:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**told)
    return crew


def test_the_books_lever_is_turned_as_far_as_its_cure_needs_in_the_books_words() -> None:
    crew = crew_on()
    alone = crew.advice
    today = crew.state.settings["left front rebound"]
    far = Prefers("left front rebound", today + 6)
    given = advise(crew.state, crew.run, crew.book, far)
    assert (given.rule, given.cause) == (alone.rule, alone.cause)
    assert [turn.after - turn.before for turn in given.turns] == [6, 6]


def test_a_lever_that_no_rule_names_is_labelled_computed_and_the_book_is_told_beside_it() -> None:
    crew = crew_on()
    model = Prefers("left rear compression")
    given = advise(crew.state, crew.run, crew.book, model)
    assert given.kind == "turn"
    assert {turn.adjuster for turn in given.turns} == {
        "left rear compression", "right rear compression"
    }  # fmt: skip
    assert given.label == COMPUTED
    assert given.rule is None
    assert any(crew.advice.title in one.what for one in given.alternatives)
    assert given.basis.model is not None
    assert any(one.startswith("Never: ") for one in given.cautions)
    assert any(one.startswith("Risk of a clearly worse danger") for one in given.cautions)


@pytest.mark.parametrize(
    "told",
    [
        {"symptoms": ["wanders-at-speed"]},
        {"symptoms": ["brakes-badly"]},
        {"symptoms": ["tyre-shake"], "shake": "violent"},
        {"symptoms": ["it-is-good"]},
        {"symptoms": ["front-carries", "wheel-hop"], "stand": "small", "carry": "long"},
    ],
    ids=lambda told: told["symptoms"][-1],
)
def test_what_the_launch_knows_nothing_of_gets_no_turn_from_it(told: Mapping[str, Any]) -> None:
    crew = crew_on(told)
    model = Prefers("left front rebound")
    given = advise(crew.state, crew.run, crew.book, model)
    assert model.asked == 0
    assert given.label != COMPUTED


def test_a_pass_only_to_see_is_passed_over_where_a_turn_has_a_fair_chance() -> None:
    told = {"symptoms": ["unloads-after-hit"], "unload_when": "unknown", "rear_travel": "unknown"}
    crew = crew_on(told)
    assert crew.advice.kind == "measure"
    model = Prefers("left rear compression")
    given = advise(crew.state, crew.run, crew.book, model)
    assert given.kind == "turn"
    nothing = advise(crew.state, crew.run, crew.book, Prefers("left rear compression", -1.0))
    assert nothing.kind == "measure"


NOSE: Mapping[str, Any] = {
    "symptoms": ["nose-stays-high"], "on_lift": "sinks", "stand": "small",
    "front_travel": "short-soft",
}  # fmt: skip


def test_what_was_seen_of_the_cause_stands_over_a_cloud_without_it_until_a_pass_judged_it() -> None:
    """It sinks slowly, so the bleed is opened before an hour goes into springs; common practice."""
    crew = crew_on(NOSE)
    model = Prefers("front spring")
    assert advise(crew.state, crew.run, crew.book, model).label == COMPUTED
    model.hardly_shown = frozenset({"on-lift"})
    given = advise(crew.state, crew.run, crew.book, model)
    assert (given.rule, given.turns) == (crew.advice.rule, crew.advice.turns)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="same", **NOSE)
    assert advise(crew.state, crew.run, crew.book, model).label == COMPUTED


def test_where_no_way_does_anything_the_book_has_the_word() -> None:
    crew = crew_on()
    given = advise(crew.state, crew.run, crew.book, Prefers("left front rebound", -1.0))
    assert given.turns == crew.advice.turns
    assert any("no fair chance: gone on " in one.lost for one in given.alternatives)


def test_what_would_change_its_mind_is_said_before_the_pass() -> None:
    crew = crew_on()
    today = crew.state.settings["left front rebound"]
    given = advise(crew.state, crew.run, crew.book, Prefers("left front rebound", today + 6))
    said = [one.what for one in given.alternatives if one.what.startswith("If it looks ")]
    assert said == [
        "If it looks the same after this: put it back",
        "If it looks worse after this: put it back",
    ]


def test_past_every_stand_the_book_names_the_lever_and_only_its_size_is_computed() -> None:
    crew = crew_on({"symptoms": ["front-carries"], "stand": "dangerous", "bars": "clear"})
    lever = {turn.adjuster for turn in crew.advice.turns}
    given = advise(crew.state, crew.run, crew.book, Prefers("left front rebound"))
    assert {turn.adjuster for turn in given.turns} == lever


def test_a_put_back_is_one_even_where_a_turn_would_do_the_same() -> None:
    high = {"symptoms": ["nose-stays-high"], "on_lift": "sinks", "stand": "small"}
    crew = crew_on(high)
    turn = crew.advice.turns[0]
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", on_lift="sinks", stand="small", front_travel="short-soft")
    assert crew.advice.kind == "put back"
    model = Prefers(turn.adjuster, turn.before)
    given = advise(crew.state, crew.run, crew.book, model)
    assert given.kind == "put back"
    assert given.undoes == crew.advice.undoes


def test_what_the_opposite_of_the_book_is_the_book_is_told_beside_it() -> None:
    crew = crew_on()
    turn = crew.advice.turns[0]
    other_way = turn.before - (turn.after - turn.before)
    given = advise(crew.state, crew.run, crew.book, Prefers(turn.adjuster, other_way))
    if given.turns[0].after == other_way:
        assert any(crew.advice.title in one.what for one in given.alternatives)


def test_a_car_that_the_launch_cannot_take_is_left_to_the_book() -> None:
    class NoSuchCar(Prefers):
        def look_ahead(self, question: OutlookAsked) -> Outlook:
            raise ValueError("no such car")

    crew = crew_on()
    given = advise(crew.state, crew.run, crew.book, NoSuchCar("left front rebound"))
    assert given.turns == crew.advice.turns


def test_what_the_decider_judges_has_a_number_in_the_launch() -> None:
    assert frozenset(kind.symptom for kind in FAULTS) == JUDGED
