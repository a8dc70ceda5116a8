"""What follows a pass is decided once: the verdict page reads what the advice says.

Where two decisions about one pass could be had, the safer one stands: a danger that came with a
change sends it back whole, the way back to a setting that showed a danger is never taken, and no
car goes out again "to see". What is safer after a verdict is common practice, no source.
"""

from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rules.advice.choosing import choose
from rules.advice.decision import STEPS, decide, follow_up
from rules.advice.situation import situation
from rules.log.advice import Advice
from rules.log.changes import Change
from rules.log.state import State
from rules.question import AnswerError
from tests.rules.advice.test_change_evidence import (
    BOOK,
    SQUATS,
    decided,
    follow,
    judged,
    own_turn,
    with_an_advised_change,
)
from tests.rules.advice.test_verdict_dangers import after_a_hard_landing
from tests.support.crew import Crew
from tests.support.sample import examples

WORDS = ("gone", "better", "same", "worse", "other")
HARD: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
HARSH: dict[str, Any] = {"stand": "small", "front_travel": "short-harsh"}
BIG: dict[str, Any] = {"stand": "big", "front_travel": "short-soft"}
CALM: dict[str, Any] = {"symptoms": ["it-is-good"]}
SHAKE: dict[str, Any] = {"symptoms": ["tyre-shake"], "shake": "mild"}
DROPS: dict[str, Any] = {"symptoms": ["front-drops-hard"], **HARD}


MARKS: dict[str, Any] = {"contact": "low-part", "squat_when": "hit"}


def for_a_squat() -> Crew:
    crew = Crew()
    crew.say(["squats-and-drags"])
    crew.do("slip", sixty=1.43)
    crew.tell(contact="none", squat_when="hit")
    assert crew.advice.kind == "turn", crew.advice.title
    crew.make()
    return crew


def for_spin() -> Crew:
    return with_an_advised_change(1.430, 1.432)


@pytest.mark.parametrize(
    ("danger", "word", "seen", "act"),
    [
        # After none: the crew's word, by the trade's steps.
        ("none", "same", {}, "go further"),
        ("none", "other", CALM, "keep"),
        ("none", "worse", {}, "put back"),
        # It came with the change: back whole, to the setting that showed none.
        ("came", "same", MARKS, "put back"),
        ("came", "worse", MARKS, "put back"),
        ("came", "other", SHAKE, "put back"),
        ("came", "other", DROPS, "put back"),
        ("came", "gone", DROPS, "put back"),
        # The change was for it: treated further, never back to where it was seen.
        ("treated", "same", HARD, "go further"),
        ("treated", "same", BIG, "keep"),
        ("treated", "same", HARSH, None),
        ("treated", "other", DROPS, "keep"),
        ("treated", "other", {"symptoms": ["front-drops-hard"], **BIG}, "keep"),
        ("treated", "worse", HARD, "keep"),
        ("treated", "worse", HARSH, "put back"),
    ],
)
def test_the_safer_act_follows_a_verdict(
    danger: str, word: str, seen: dict[str, Any], act: str | None
) -> None:
    begun = for_a_squat if seen is MARKS else for_spin
    crew = after_a_hard_landing() if danger == "treated" else begun()
    judged(crew, 1.432, word, **seen)
    assert decided(crew).act == act
    assert_one_voice(crew.state)
    if danger != "none":
        assert crew.advice.kind != "control", "after a danger no pass to see"


def test_worse_after_a_danger_goes_back_whole_though_the_step_before_helped() -> None:
    crew = after_a_hard_landing()
    judged(crew, 1.43, "better", **HARD)
    crew.make()
    judged(crew, 1.43, "worse", **HARSH)
    assert crew.advice.kind == "put back"
    assert decided(crew).act == "put back"


def test_worse_with_no_danger_goes_half_back_where_the_step_before_helped() -> None:
    crew = for_spin()
    judged(crew, 1.43, "better")
    crew.make()
    judged(crew, 1.43, "worse")
    assert crew.advice.kind == "half back"
    assert decided(crew).act == "half back"


def test_the_second_step_without_effect_goes_back_with_the_first() -> None:
    crew = for_spin()
    judged(crew, 1.432, "same")
    first = crew.last
    crew.make()
    judged(crew, 1.432, "same")
    assert crew.advice.kind == "put back"
    assert decided(crew).act == decided(crew, first).act == "put back"


def test_worse_is_put_back_whatever_a_measurement_says() -> None:
    crew = Crew()
    drags: dict[str, Any] = {"contact": "none", "squat_when": "hit"}
    crew.say(["squats-and-drags"])
    crew.do("measure", what="rear ring", inputs={"ring": 60, "ratio": 1.0})
    crew.tell(**drags)
    crew.make()
    crew.say("ran")
    crew.do("measure", what="rear ring", inputs={"ring": 40, "ratio": 1.0})
    crew.tell(verdict="worse", **drags)
    assert crew.advice.kind == "put back"
    assert decided(crew).act == "put back"


def test_what_brought_a_danger_is_the_change_and_is_not_tried_again() -> None:
    crew = for_spin()
    rule = crew.last.rule
    judged(crew, 1.43, "gone", **DROPS)
    crew.say("make")
    crew.tick()
    crew.tell()
    assert crew.advice.kind == "leave", "one more turn would hide whether it was that"
    crew.say("ok")
    crew.say(["spins-at-hit"])
    crew.tell(**SQUATS)
    assert crew.advice.rule != rule


def test_the_steps_end_with_one_that_always_says_something() -> None:
    assert STEPS[-1] is choose
    crew = for_spin()
    judged(crew, 1.43, "better")
    decision = decide(situation(crew.state, crew.run, BOOK))
    assert decision.draft.title == crew.advice.title
    assert {one.rule.id for one in decision.alternatives} >= {decision.draft.rule}


def assert_one_voice(state: State) -> None:
    """Hold what the page says of every change against what the open advice turns."""
    run = state.open_run
    advice = run.advice if run else None
    tried = [one for one in reversed(state.changes) if one.runs and one.origin != "put back"]
    if advice is None or not tried:
        return
    for change in tried:
        found = follow_up(state, BOOK, change)
        if found is None or not (change == tried[0] or change.id in advice.undoes):
            continue
        moves = {turn.adjuster: turn.after - turn.before for turn in advice.turns}
        back = _signs(change, moves)
        match found.act:
            case "put back":
                assert advice.kind == "put back"
                assert _is_back_where_it_was(state, advice, change)
            case "half back":
                assert advice.kind == "half back"
                assert back == {-1}
            case "go further":
                assert advice.rule == change.rule
                assert back == {1}
            case "repeat":
                assert advice.kind == "control"
            case "keep":
                assert advice.kind not in ("inspect", "stop", "control")
                assert back == set()
            case None:
                assert advice.title in found.reason
        if found.act not in (None, "keep"):
            assert found.reason == advice.cause


def _is_back_where_it_was(state: State, advice: Advice, change: Change) -> bool:
    """Tell whether all of a change ends where it stood before it, or before those undone with it.

    The crew may have turned it further back by hand: then its way back goes the other way.
    """
    undone = [one for one in state.changes if one.id in {*advice.undoes, change.id}]
    stood = {s.turn.adjuster: s.turn.before for one in reversed(undone) for s in one.steps}
    ends = {**state.settings, **{turn.adjuster: turn.after for turn in advice.turns}}
    return all(ends[s.turn.adjuster] == stood[s.turn.adjuster] for s in change.steps if s.moved)


def _signs(change: Change, moves: dict[str, float]) -> set[int]:
    """Return which way an advice moves what a change moved: 1 the same way, -1 back."""
    both = [(s.moved, moves[s.turn.adjuster]) for s in change.steps if s.turn.adjuster in moves]
    return {1 if one * other > 0 else -1 for one, other in both if one and other}


SEEN = st.sampled_from([{}, CALM, SHAKE, DROPS, {"symptoms": ["spins-at-hit"], **SQUATS}])
PASS = st.tuples(
    st.sampled_from(WORDS),
    SEEN,
    st.sampled_from([HARD, HARSH, BIG]),
    st.sampled_from([None, 1.38, 1.43, 1.48]),
    st.sampled_from(["make", "own", "put back", "ok"]),
)


# A hand that turned past where the change began: the way back goes the change's own way.
@example(False, [("same", {}, HARD, 1.38, "ok"), ("same", SHAKE, BIG, 1.48, "own")])
@examples(6, 20)
@given(st.booleans(), st.lists(PASS, min_size=1, max_size=4))
def test_page_and_advice_never_contradict(
    landing: bool, passes: list[tuple[str, dict[str, Any], dict[str, Any], float | None, str]]
) -> None:
    crew = after_a_hard_landing() if landing else for_spin()
    for word, seen, landed, sixty, then in passes:
        if crew.prompt.id == "ran":
            crew.say("ran")
        elif crew.prompt.id == "symptoms":
            crew.say(["spins-at-hit"])
        else:
            break
        if sixty is not None:
            crew.do("slip", sixty=sixty)
        try:
            crew.tell(verdict=word, **{**SQUATS, **landed, **seen})
        except AnswerError:
            break  # what is said to be gone is not named beside it
        assert_one_voice(crew.state)
        if crew.prompt.id != "advice":
            break
        ways = [one.id for one in crew.prompt.choices if not one.why_not]
        if then == "own":
            own_turn(crew, "11" if crew.state.settings["left rear compression"] != 11 else "9")
        elif then == "put back" and crew.last.runs:
            crew.do("undo last change", knowing=True)
        elif ways:
            crew.say("make" if "make" in ways and then == "make" else ways[0])
        crew.tick()
        assert_one_voice(crew.state)


def test_a_change_without_its_pass_or_judged_with_another_has_no_decision() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    assert follow_up(crew.state, BOOK, crew.last) is None
    crew.do("already turned", adjuster="left front rebound", now="11", sides="both")
    judged(crew, 1.42)
    assert follow(crew) is None
