"""What a crew sees of a simulated pass: answers that the questions take, and honest rulers."""

import pytest

from profiles.practice import drawn_from
from rules.book import shipped
from rules.crew import prompts
from rules.log.changes import Change
from rules.log.said import GOOD
from rules.practice import eyes
from rules.practice.played_pass import played
from rules.practice.truth import truth
from rules.practice.turns import single_turns
from rules.practice.words import SIMULATED, seen_lines, truth_lines
from rules.question import UNKNOWN, check
from tests.support.crew import Crew
from tests.support.practice import practice_truth

BOOK, FILE = shipped(), drawn_from()
CAR = practice_truth()
FIRST = played(CAR, CAR.starts, 1)


@pytest.mark.parametrize("prompt", BOOK.prompts)
def test_every_question_of_the_book_takes_what_is_answered(prompt: str) -> None:
    asked = prompts.from_book(BOOK, prompt, "")
    said = eyes.answer(asked, FIRST, None, None)
    assert said is not None
    assert said == UNKNOWN or check(asked, said) == said


@pytest.mark.long
def test_the_faults_that_are_there_are_named_and_no_other() -> None:
    named = eyes.answer(prompts.symptoms(BOOK), FIRST, None, None)
    assert named == tuple(FIRST.outcome.faults)
    cured = next(
        one
        for one in (played(CAR, turn.settings, 1) for turn in single_turns(FILE, CAR.starts))
        if not one.outcome.faults
    )
    assert eyes.answer(prompts.symptoms(BOOK), cured, FIRST, None) == (GOOD,)
    treated = next(iter(FIRST.outcome.faults))
    change = Change("c", "advice", "Invented change", (), "m", symptom=treated)
    for seen, word in ((cured, "gone"), (FIRST, "same")):
        assert eyes.answer(prompts.verdict(change, BOOK), seen, FIRST, treated) == word


def test_rulers_are_near_the_truth_and_the_same_for_the_same_pass() -> None:
    """Within four of their own spreads, which one reading in 16,000 leaves (normal table)."""
    read = eyes.readings(FIRST)
    assert read == eyes.readings(FIRST)
    columns = FIRST.outcome.columns
    assert read.lift_m == pytest.approx(columns["front_lift_max"], abs=4 * eyes.LIFT_M)
    assert read.ring_m == pytest.approx(columns["front_comp_max_after_td"], abs=4 * eyes.RING_M)
    assert read.sixty_s == pytest.approx(columns["t_60ft"], abs=4 * eyes.CLOCK_S)


def test_what_is_measured_is_taken_by_the_log() -> None:
    crew = Crew(FILE)
    crew.say(list(FIRST.outcome.faults), ["nothing"])
    for what, inputs in eyes.measurements(FIRST, FILE):
        crew.do("measure", what=what, inputs=inputs)
    assert crew.run.measured.keys() == {"front ring", "lift"}
    read = eyes.readings(FIRST)
    assert crew.run.measured["front ring"].value == pytest.approx(read.ring_m, abs=0.001)
    assert crew.run.measured["lift"].value == pytest.approx(read.lift_m, abs=0.002)


def test_the_truth_says_what_was_wrong_what_turns_did_and_the_best_road() -> None:
    crew = Crew(FILE)
    told = truth(FILE, CAR, crew.state)
    lines = truth_lines(told)
    assert lines[0] == SIMULATED
    assert "No pass was run yet." in lines
    assert "  Nothing was changed." in lines
    assert any("->" in line for line in lines)
    assert told.off
    assert all(abs(ratio - 1.0) >= 0.02 for ratio in told.off.values())
    assert not told.best[-1].outcome.faults
    assert any("O-ring" in line for line in seen_lines(FIRST, FILE))
