"""How the engine breathes is asked once, after the first air, and can be corrected."""

import pytest

from rules.advice.earlier_passes import coming_conditions
from rules.advice.timed_passes import day_fit
from rules.book import shipped
from rules.crew.noting_conditions import next_step
from rules.crew.pass_actions import NoteConditions
from rules.log.engine import breathing_of, is_said
from rules.question import UNKNOWN, ActionError, Given, Prompt
from tests.support.crew import Crew


def one_pass() -> Crew:
    crew = Crew()
    crew.good_pass(1.4)
    return crew


def walk(crew: Crew, *said: Given) -> tuple[list[str], NoteConditions]:
    """Answer the form for lane, air and track: what it asked, and what it comes to."""
    left, filled, asked = list(said), dict[str, Given](), []
    step = next_step(crew.state, shipped(), filled)
    while isinstance(step, Prompt):
        asked.append(step.id)
        filled[step.id] = left.pop(0) if left else UNKNOWN
        step = next_step(crew.state, shipped(), filled)
    assert isinstance(step, NoteConditions)
    return asked, step


def test_it_is_asked_once_and_only_where_a_pressure_was_read() -> None:
    crew = one_pass()
    asked, _ = walk(crew, "left")
    assert "breathing" not in asked
    known = {"lane": "left", "pressure": 980.0, "pressure_kind": "station pressure"}
    given = ("left", UNKNOWN, UNKNOWN, UNKNOWN, 980.0, "station pressure")
    asked, _ = walk(crew, *given)
    assert asked[-1] == "breathing"
    crew.do("conditions", **known, breathing="turbo held")
    assert breathing_of(crew.state) == "turbo held"
    asked, _ = walk(crew, *given)
    assert "breathing" not in asked


def test_not_knowing_is_an_answer_too() -> None:
    crew = one_pass()
    crew.do("conditions", breathing=UNKNOWN)
    assert is_said(crew.state)
    assert breathing_of(crew.state) is None


def test_it_is_corrected_as_any_answer_is_and_the_latest_holds() -> None:
    crew = one_pass()
    crew.do("conditions", breathing="belt")
    crew.do("correct", run=1, prompt="breathing", value="nitrous")
    assert breathing_of(crew.state) == "nitrous"
    crew.do("conditions", breathing="electric")
    assert breathing_of(crew.state) == "electric"


def test_before_the_first_pass_there_is_nothing_to_keep_it_with() -> None:
    with pytest.raises(ActionError, match="breathing: no pass is in the log yet"):
        Crew().do("conditions", run="coming", lane="left", breathing="belt")


def test_verdict_and_launch_take_the_air_as_the_engine_breathes() -> None:
    """An electric motor needs no air: next to nothing of it is believed of its 60-foot."""
    crew = one_pass()
    said = []
    for breathing in ("unblown", "electric"):
        crew.do("conditions", breathing=breathing)
        day = day_fit(crew.state, crew.run.meeting)
        assert day is not None
        said.append(day.priors)
        assert coming_conditions(crew.state).breathing == breathing
    unblown, electric = said
    assert unblown.air_mean < electric.air_mean == 0.0
    assert electric.air_sd < unblown.air_sd
