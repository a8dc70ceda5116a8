"""Every verdict that is shown was given by the crew for that very pass, or the pass is unjudged.

A correction of one pass never alters the verdict of another; a pass that was not run through has
none, whatever was said of it; and what had to be put right is right before the car runs.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.change_evidence import verdict_of
from rules.advice.decision import follow_up
from rules.log.said import UNJUDGED, verdict_on
from tests.support.crew import Crew
from tests.support.sample import examples
from tui.pages.day import day_lines
from tui.pages.verdict import verdict_parts

SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}
BIG: dict[str, Any] = {"stand": "big", "bars": "none", "carry": "long"}
LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
VERDICTS = ["gone", "better", "same", "worse", "unknown"]


def changed(session: str = "test") -> Crew:
    """Return a crew whose change is made, its first pass with it to come."""
    crew = Crew(session=session)
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    crew.make()
    return crew


def run_with(crew: Crew, verdict: str, what_else: str = "nothing") -> None:
    """Run a pass with the change that waits, and leave the car as it is."""
    crew.say("ran")
    left = {} if verdict == "gone" else {"symptoms": ["spins-at-hit"]}
    crew.tell(what_else=[what_else], verdict=verdict, **left, **SPINS)
    first = next(one.id for one in crew.prompt.choices if not one.why_not and one.id != "make")
    crew.say(first)


def shown(crew: Crew) -> list[str]:
    return [verdict_on(crew.state, run) for run in crew.state.runs]


def test_an_unjudged_pass_shows_no_verdict_of_another() -> None:
    crew = changed()
    run_with(crew, "better", what_else="burnout")
    run_with(crew, "better")
    assert shown(crew) == ["", UNJUDGED, "better"]
    crew.do("correct", run=3, prompt="verdict", value="same")
    assert shown(crew) == ["", UNJUDGED, "same"]
    rows = day_lines(crew.state, crew.book, 80)
    assert any("unjudged" in row for row in rows)
    assert sum("same:" in row for row in rows) == 1


@examples(6, 25)
@given(
    st.lists(
        st.tuples(st.sampled_from(VERDICTS), st.sampled_from(["nothing", "burnout"])),
        min_size=2,
        max_size=3,
    ),
    st.integers(0, 2),
    st.sampled_from(VERDICTS),
)
def test_a_correction_alters_the_verdict_of_its_own_pass_alone(
    passes: list[tuple[str, str]], which: int, word: str
) -> None:
    crew = changed()
    for verdict, what_else in passes:
        if crew.prompt.id != "ran":
            break
        run_with(crew, verdict, what_else)
    before = shown(crew)
    run = crew.state.runs[1:][which % len(crew.state.runs[1:])]
    if "verdict" not in run.answers:
        return
    crew.do("correct", run=run.number, prompt="verdict", value=word)
    now = shown(crew)
    number = run.number - 1
    assert [*now[:number], *now[number + 1 :]] == [*before[:number], *before[number + 1 :]]
    assert now[number] in (word, UNJUDGED)


def test_a_verdict_that_comes_back_counts_again() -> None:
    crew = changed()
    run_with(crew, "gone")
    crew.tell(symptoms=["front-carries"], **BIG)
    crew.make()
    first = crew.state.changes[0]
    crew.do("correct", run=2, prompt="verdict", value="unknown")
    crew.do("correct", run=2, prompt="verdict", value="gone")
    assert crew.state.change(first.id).counts_as_evidence


@pytest.mark.parametrize("mark", ["aborted", "lifted"])
@pytest.mark.parametrize("session", ["test", "eliminations"])
def test_a_pass_not_run_through_keeps_nothing(mark: str, session: str) -> None:
    crew = changed(session)
    change = crew.last
    crew.say("ran", ["nothing"], "gone", ["it-is-good"], "")
    crew.do("slip", sixty=1.432, marks=[mark])
    assert crew.advice.kind == "control"
    if session == "test":
        crew.do("override", reason="no-time")
    else:
        crew.say("skip control")
    assert crew.advice.kind == "leave"
    assert shown(crew)[-1] == UNJUDGED
    assert crew.state.change(change.id).verdict is None
    known = verdict_of(crew.state, crew.book, crew.state.change(change.id))
    parts = dict(verdict_parts(crew.state, known, crew.book))
    assert follow_up(crew.state, crew.book, crew.state.change(change.id)) is None
    assert "KEEP" not in parts["Do"]
    assert "not judged" in parts["Seen"]
    assert crew.advice.kind != "control"


def pressed(count: str) -> Crew:
    """Return a crew that changed the pressure, saw danger, and counts what it put right."""
    crew = changed()
    crew.say("ran")
    crew.tell(what_else=["tyre-pressure"], symptoms=["front-drops-hard"], **LANDING)
    assert crew.advice.kind == "put right"
    crew.say("ok")
    assert crew.prompt.id == "recount:rear tyre pressure"
    crew.say(count)
    return crew


def test_a_pressure_that_is_not_what_was_to_be_put_right_holds_the_car() -> None:
    crew = pressed("14")
    assert crew.prompt.id == "put-right:rear tyre pressure"
    assert "14 psi" in crew.prompt.question
    assert "13 psi" in crew.prompt.question
    crew.say("put right")
    assert crew.prompt.id == "turn:rear tyre pressure"
    crew.say("not done")
    assert crew.prompt.id == "settle"
    crew.say("leave off")
    assert crew.prompt.id == "put-right:rear tyre pressure"
    crew.say("put right", "done")
    assert crew.state.settings["rear tyre pressure"] == 13
    assert crew.prompt.id == "ran"


def test_a_pressure_that_was_put_right_lets_the_car_run() -> None:
    assert pressed("13").prompt.id == "ran"


def test_what_cannot_have_been_it_is_treated() -> None:
    crew = pressed("14")
    assert crew.say("treat").id == "verdict"
    crew.tell(verdict="same", **SPINS)
    assert crew.advice.kind != "put right"


def test_back_from_what_is_to_be_put_right_opens_its_advice() -> None:
    crew = pressed("14")
    crew.back()
    assert crew.prompt.id == "advice"
    assert crew.advice.kind == "put right"


@pytest.mark.parametrize("answer", ["put right", "treat"])
def test_a_calming_turn_asks_for_what_else_was_changed_as_well(answer: str) -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], what_else=["tyre-pressure"], stand="big")
    crew.tell(front_travel="at-stop")
    crew.make()
    crew.say("14")
    assert crew.prompt.id == "put-right:rear tyre pressure"
    crew.say(answer)
    crew.tick()
    assert crew.prompt.id == "ran"
    assert crew.state.settings["rear tyre pressure"] == (13 if answer == "put right" else 14)
