"""What was foretold is held against what was read on the first pass with the change."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.advise import advise
from rules.advice.forecasts import Foretold, forecasts, foretold_of
from rules.launch.forecast_words import foretold_text, range_words
from rules.launch.proposed_change import Effect, Expected, Measure, ProposedChange, Range
from rules.log.events.advice import AdviceGiven
from rules.log.events.passes import Measured
from rules.units import System
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import Told

AFTER = Range(low=0.1, middle=0.15, high=0.2)


def expects(question: ProposedChange) -> Expected:
    effect = Effect(name="lift", measure="length", before=AFTER, after=AFTER, less=0.9, more=0.0)
    count = len(question.steps)
    return Expected(
        standing="agrees", reason="x", goal="lift", trade_step=count, step=count, effects=(effect,)
    )


def after_a_pass(lift: float) -> Crew:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(symptoms=["front-carries"], stand="small", carry="long", bars="clear")
    given = advise(crew.state, crew.run, crew.book, Told(expects))
    crew.record([AdviceGiven(run=crew.run.id, advice=given)])
    crew.make()
    crew.say("ran")
    run = crew.state.runs[-1].id
    crew.record([Measured(run=run, what="lift", value=lift, give=0.02, inputs={})])
    return crew


def test_a_reading_inside_its_range_holds_and_one_outside_does_not() -> None:
    for lift, held in ((0.15, True), (0.21, True), (0.3, False)):
        crew = after_a_pass(lift)
        [one] = foretold_of(crew.state, crew.state.changes[-1])
        assert (one.name, one.number, one.held) == ("lift", 2, held)
        assert forecasts(crew.state) == (one,)


def test_the_crews_own_turn_was_not_foretold() -> None:
    crew = after_a_pass(0.15)
    change = replace(crew.state.changes[-1], origin="own")
    assert foretold_of(crew.state, change) == ()


@given(st.floats(0.0, 1.0), st.floats(0.0, 0.1))
def test_give_only_helps(found: float, give: float) -> None:
    sharp, blunt = (Foretold(1, "lift", "length", AFTER, found, one) for one in (0.0, give))
    assert blunt.held or not sharp.held


def test_it_is_told_in_the_crews_units() -> None:
    assert foretold_text("lift", "length", AFTER, 0.15, "metric") == (
        "front tyres reach 100 to 200 mm; came 150"
    )


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("measure", ["length", "distance", "force", "time"])
@given(st.lists(st.floats(-1e-3, 1e-3), min_size=3, max_size=3).map(sorted))
def test_no_range_is_told_as_nothing_at_all(
    measure: Measure, system: System, said: list[float]
) -> None:
    """A property: what is written with both ends at zero is a bound, wherever it is told."""
    one = Range(low=said[0], middle=said[1], high=said[2])
    told = [range_words(one, measure, system)]
    told.append(foretold_text("lift", measure, one, 0.0, system).partition(";")[0])
    for text in told:
        ends = [float(end) for end in re.findall(r"-?[0-9.]+", text)]
        assert any(ends), text
    if "under" in told[0]:
        assert told[0].split()[1] in ("0.1", "1", "10", "0.01")
