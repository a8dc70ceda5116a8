"""Every rule that turns something is played for three passes, in three lives and at its end."""

from dataclasses import replace
from typing import Any

import pytest

from rules.advice.safety.turn_gates import refused
from rules.advice.situation import situation
from rules.book import Book, shipped
from rules.book.schema import RuleText
from rules.car.adjusters import UPWARD
from rules.crew.examples import example_car
from rules.log.way_back import undo_turns
from rules.question import UNKNOWN
from tests.support.crew import Crew, steps_of
from tests.support.sample import sampled

BOOK = shipped()
# A rule that wants another tried before it has no first pass of its own.
TURNING = sorted(
    r.id
    for r in BOOK.rules.values()
    if r.do == "turn" and r.status == "active" and not all(one.tried for one in r.fires)
)
turning = pytest.mark.parametrize("rule_id", sampled(((one,) for one in TURNING), one_in=4))


def book_from(rule: RuleText) -> Book:
    """Return the book without the rules that are tried before this one."""
    kept = {
        key: one
        for key, one in BOOK.rules.items()
        if one.symptom != rule.symptom or (one.order, one.id) >= (rule.order, rule.id)
    }
    return replace(BOOK, rules=kept)


class Player:
    """Plays one rule on the car of its first example."""

    def __init__(self, rule_id: str) -> None:
        self.rule = BOOK.rules[rule_id]
        example = next(one for one in self.rule.fires if not one.tried)
        self.answers = example.answers
        self.crew = Crew(example_car(example.car), book_from(self.rule))

    def drive(self, **more: Any) -> None:
        """Answer on to the advice: the example's answers, and don't know for the rest."""
        told: dict[str, Any] = {"symptoms": [self.rule.symptom], **self.answers, **more}
        crew = self.crew
        while crew.tell(**{k.replace("-", "_"): v for k, v in told.items()}).id != "advice":
            crew.say(UNKNOWN)
            told = {**self.answers}

    def again(self, **more: Any) -> None:
        """Make what is advised, run, and answer on to the next advice."""
        self.crew.make()
        assert self.crew.say("ran").id == "what-else"
        self.drive(**more)

    def is_again(self) -> bool:
        """Tell whether the rule is advised once more; it may only stop at an end."""
        advice = self.crew.advice
        if advice.kind == "turn" and advice.rule == self.rule.id:
            return True
        lost = next(a.lost for a in advice.alternatives if a.rule == self.rule.id)
        assert lost in ("already at the end of its range", "does not fit what was seen")
        return False

    def refused(self, changes: int) -> str:
        """Return why the last changes may not be put back, or nothing."""
        crew = self.crew
        turns = undo_turns(crew.state, list(crew.state.changes[-changes:]))
        now = situation(crew.state, crew.run, crew.book)
        return refused(now, turns, back=True)


def first(rule_id: str) -> Player:
    player = Player(rule_id)
    player.drive()
    advice = player.crew.advice
    assert (advice.kind, advice.rule) == ("turn", rule_id)
    upward = player.rule.direction in UPWARD
    steps = [steps for _, steps in steps_of(advice, player.crew.fitted)]
    assert len(set(steps)) == 1
    assert (steps[0] > 0) is upward
    return player


@turning
def test_helped_goes_the_same_way_by_the_same_step_until_gone(rule_id: str) -> None:
    player = first(rule_id)
    crew = player.crew
    made = steps_of(crew.advice, crew.fitted)
    player.again(verdict="better")
    if player.is_again():
        again = steps_of(crew.advice, crew.fitted)
        assert [key for key, _ in again] == [key for key, _ in made]
        for (_, one), (_, other) in zip(made, again, strict=True):
            assert one * other > 0
            assert abs(other) <= abs(one)
        assert ("by the same step" in crew.advice.cause) is (again == made)
        player.again(verdict="gone", symptoms=["it-is-good"])
        assert crew.advice.kind == "leave"
    crew.put_back()
    assert crew.off == {}


@turning
def test_no_effect_once_more_then_back_then_the_next_lever(rule_id: str) -> None:
    player = first(rule_id)
    crew = player.crew
    player.again(verdict="same")
    if not player.is_again():
        return
    player.again(verdict="same")
    if player.refused(2):
        assert crew.advice.kind != "put back"
    else:
        assert crew.advice.kind == "put back"
        crew.make()
        assert crew.off == {}
        player.drive()
        assert [c.status for c in crew.state.changes[:2]] == ["withdrawn", "withdrawn"]
    assert crew.advice.rule != rule_id
    lost = {a.rule: a.lost for a in crew.advice.alternatives}
    assert lost[rule_id] in ("tried twice: no effect", "does not fit what was seen")


@turning
def test_went_past_goes_half_back_or_back_by_the_single_step(rule_id: str) -> None:
    player = first(rule_id)
    crew = player.crew
    made = dict(steps_of(crew.advice, crew.fitted))
    past = player.rule.overshoot[0]
    player.again(verdict="other", symptoms=[past])
    single = max(abs(steps) for steps in made.values()) == 1
    # A danger that came with a change sends it back whole: half of it is a setting nobody has run.
    symptoms = crew.book.symptoms
    single = single or bool(symptoms[past].safety and not symptoms[player.rule.symptom].safety)
    if player.refused(1):
        # Half of a way back may stay gentler than the danger that the whole leads to.
        assert crew.advice.kind != "put back"
        if single or crew.advice.kind != "half back":
            return
    assert crew.advice.kind == ("put back" if single else "half back")
    for key, steps in steps_of(crew.advice, crew.fitted):
        assert steps * made[key] < 0
        assert abs(steps) == abs(made[key]) // (1 if single else 2)
    if single:
        crew.make()
        assert crew.off == {}
        return
    player.again(verdict="better", symptoms=[player.rule.symptom])
    assert crew.advice.rule != rule_id


@turning
def test_at_the_end_of_its_range_the_next_rule_or_the_ladder(rule_id: str) -> None:
    turns = first(rule_id).crew.advice.turns
    player = Player(rule_id)
    crew = player.crew
    for turn in turns:
        one = crew.fitted[turn.adjuster]
        end = one.high if turn.after > turn.before else one.floor
        crew.do("recount", adjuster=one.id, found=end)
    player.drive()
    assert crew.advice.rule != rule_id
    lost = {a.rule: a.lost for a in crew.advice.alternatives}
    assert lost[rule_id] in ("already at the end of its range", "does not fit what was seen")
    if crew.advice.kind == "ladder":
        assert crew.advice.lines
