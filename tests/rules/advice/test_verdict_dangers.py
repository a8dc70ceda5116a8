"""A verdict never sends the car out on a setting that showed danger, and counts no spoilt pass.

What a danger or a lifted pass means for a verdict is common practice, no source.
"""

from typing import Any

import pytest

from rules.advice.safety.gates import open_blocks
from rules.evidence.verdict_words import headline
from rules.log.events.car import CarDescribed
from tests.rules.advice.test_change_evidence import (
    BOOK,
    SQUATS,
    decided,
    follow,
    judged,
    known,
    with_an_advised_change,
)
from tests.support.crew import LEVERS, Crew, invented_car

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


def after_a_hard_landing() -> Crew:
    """A timed pass that dropped hard, inspected, and the change for it made."""
    crew = Crew()
    crew.good_pass(1.43)
    crew.say(["front-drops-hard"])
    crew.do("slip", sixty=1.43)
    crew.tell(**LANDING)
    assert crew.advice.kind == "turn", crew.advice.title
    crew.make()
    return crew


def with_a_danger_later() -> Crew:
    """A change for spin, gone; then a pass on that setting that drops hard, not inspected."""
    crew = with_an_advised_change(1.430, 1.432)
    judged(crew, 1.428, "gone")
    crew.say("ok")
    crew.say(["front-drops-hard"])
    crew.do("slip", sixty=1.43)
    crew.say(["nothing"], "small", "at-stop")
    return crew


def test_a_change_for_a_danger_offers_no_pass_without_it() -> None:
    crew = after_a_hard_landing()
    judged(crew, 1.44, "gone")
    told = known(crew)
    assert decided(crew).act == "keep"
    assert told.times is not None
    assert told.times.word == "cannot tell"
    assert told.offers == ()
    assert told.more is None
    assert "next useful pass" not in headline(told.times, told.more, told.names)


def test_a_danger_that_was_brought_offers_no_pass_with_it() -> None:
    crew = with_an_advised_change(1.430, 1.432)
    judged(crew, 1.42, "other", symptoms=["tyre-shake"], shake="mild")
    told = known(crew)
    assert decided(crew).act == "put back"
    assert told.offers == ()
    assert told.more is None


def test_a_danger_on_a_later_pass_of_the_setting_outranks_the_verdict() -> None:
    crew = with_a_danger_later()
    assert open_blocks(crew.state, BOOK)
    told = known(crew)
    assert told.danger is not None
    assert (told.danger.number, told.danger.later) == (4, True)
    assert decided(crew).act == "put back"
    assert "Front drops hard" in decided(crew).reason
    assert told.offers == ()


def test_a_danger_counts_on_its_setting_though_the_car_file_gained_or_lost_a_lever() -> None:
    more = {"id": "rear bar", "kind": "anti-roll bar", "axle": "rear", "start": 3.0}
    fitted = invented_car(levers=(*LEVERS, more))
    for before, after in ((invented_car(), fitted), (fitted, invented_car())):
        crew = with_an_advised_change(1.430, 1.432, car=before)
        judged(crew, 1.428, "gone")
        crew.say("ok")
        crew.record([CarDescribed(car=after)])
        crew.say(["front-drops-hard"])
        crew.do("slip", sixty=1.43)
        crew.say(["nothing"], "small", "at-stop")
        told = known(crew)
        assert told.danger is not None
        assert (told.danger.number, told.danger.later) == (4, True)
        assert decided(crew).act == "put back"
        assert told.offers == ()


def test_a_danger_that_comes_again_is_no_reason_to_undo_its_cure() -> None:
    crew = after_a_hard_landing()
    judged(crew, 1.44, "gone")
    crew.say("ok")
    crew.say(["front-drops-hard"])
    crew.tell(**LANDING)
    assert crew.advice.kind == "turn"
    assert decided(crew).act == "go further", "the way back is no safer: the danger is treated"
    assert decided(crew).reason == crew.advice.cause


def test_what_was_put_back_is_not_decided_again() -> None:
    crew = with_an_advised_change(1.430, 1.432)
    judged(crew, 1.428, "gone")
    crew.say("ok")
    crew.do("undo last change")
    crew.tick()
    told = known(crew)
    assert told.was_put_back
    assert follow(crew) is None
    assert told.offers == ()


@pytest.mark.parametrize("mark", ["lifted", "aborted"])
@pytest.mark.parametrize("word", ["gone", "better", "worse"])
def test_a_spoilt_pass_judges_no_change(mark: str, word: str) -> None:
    crew = with_an_advised_change(1.430, 1.432)
    crew.say("ran")
    crew.tell(verdict=word, **SQUATS)
    crew.do("slip", sixty=1.9, marks=(mark,))
    crew.tell(**SQUATS)
    assert crew.last.verdict is None
    assert not crew.last.counts_as_evidence
    assert follow(crew) is None
    assert crew.advice.kind == "control"
    assert crew.advice.cause == f"{mark.capitalize()}: the pass says nothing of the change."
    crew.do("slip", sixty=1.43)
    assert crew.state.changes[0].verdict == word


def test_a_slip_marked_first_asks_for_no_verdict() -> None:
    crew = with_an_advised_change(1.430, 1.432)
    crew.say("ran")
    crew.do("slip", sixty=1.9, marks=("lifted",))
    crew.say(["nothing"])
    assert crew.prompt.id == "symptoms"
    assert "Lifted: the pass says nothing of the change" in crew.prompt.notice


def test_a_spun_pass_judges_a_change_for_spin() -> None:
    crew = with_an_advised_change(1.430, 1.432)
    crew.say("ran")
    crew.do("slip", sixty=1.9, marks=("spun",))
    crew.tell(verdict="worse", **SQUATS)
    assert crew.last.verdict == "worse"


def test_a_danger_on_a_lifted_pass_still_blocks() -> None:
    crew = after_a_hard_landing()
    crew.say("ran")
    crew.say(["nothing"], "same")
    assert open_blocks(crew.state, BOOK)
    crew.do("slip", sixty=1.9, marks=("lifted",))
    assert crew.last.verdict is None
    assert open_blocks(crew.state, BOOK), "the marks of a slip clear no list"
    assert crew.tell(**LANDING).id == "advice"
    assert crew.advice.kind != "control", "after danger no pass to see"


def test_a_side_without_a_clean_pass_has_no_guess() -> None:
    crew = with_an_advised_change(1.430, 1.432)
    crew.say("ran")
    crew.do("slip", sixty=1.45, marks=("lifted",))
    crew.say(["nothing"], ["spins-at-hit"])
    crew.tell(**SQUATS)
    told = known(crew)
    assert not told.compared
    assert told.times is not None
    assert headline(told.times) == "Cannot tell: no clean pass with it yet."
    assert crew.advice.basis.evidence is None


def test_one_pass_each_says_its_lean_and_the_next_useful_pass() -> None:
    crew = with_an_advised_change(1.430)
    judged(crew, 1.41, "better")
    told = known(crew)
    assert told.times is not None
    assert told.more is not None
    said = headline(told.times, told.more, told.names)
    assert said.startswith("Cannot tell: it looks quicker")
    assert "A-B alone is worth little" in said
    assert "the next useful pass is one with" in said
