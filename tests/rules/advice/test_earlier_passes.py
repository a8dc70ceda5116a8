"""Which passes the launch model learns from."""

from dataclasses import replace
from typing import Any

from rules.advice.advise import advise
from rules.advice.earlier_passes import MOST, passes_that_speak, sightings, taught_so_far
from rules.launch.passes_kept import MOST_PASSES
from rules.launch.proposed_change import Expected, ProposedChange
from rules.log.events.car import CarDescribed
from rules.log.events.passes import Measured
from rules.passes.slip import Slip
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import Told

BIG: dict[str, Any] = {
    "symptoms": ["front-carries"],
    "stand": "big",
    "carry": "long",
    "bars": "clear",
}


def crew_on(**told: Any) -> Crew:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**{**BIG, **told})
    return crew


def another(crew: Crew, **told: Any) -> None:
    """Make the advised change, run again, and say what was seen."""
    crew.make()
    crew.say("ran")
    crew.tell(**{**BIG, "verdict": "unknown", **told})


def test_a_pass_speaks_with_the_settings_it_was_made_with() -> None:
    crew = crew_on()
    before = dict(crew.state.settings)
    crew.make()
    assert dict(crew.state.settings) != before
    (seen,) = passes_that_speak(crew.state)
    assert dict(seen.settings) == before
    assert dict(seen.facts) == {"stand": "big"}


def test_what_was_measured_speaks_too() -> None:
    crew = crew_on()
    crew.record([Measured(run=crew.run.id, what="lift", value=0.4, give=0.03, inputs={})])
    assert passes_that_speak(crew.state)[0].measured == (("lift", (0.4, 0.03)),)


def test_a_pass_with_something_else_changed_or_a_lift_says_nothing() -> None:
    for else_ in ("driver-lifted", "burnout"):
        crew = Crew(car=shipped_car("demo"))
        crew.say(["front-carries"], [else_])
        crew.tell(stand="big", carry="long", bars="clear")
        assert passes_that_speak(crew.state) == ()


def test_a_violent_shake_and_what_nobody_saw_say_nothing() -> None:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(symptoms=["tyre-shake"], shake="violent")
    assert passes_that_speak(crew.state) == ()
    crew = Crew(car=shipped_car("demo"))
    crew.tell(symptoms=["front-carries"], stand="unknown", carry="unknown")
    assert passes_that_speak(crew.state) == ()


def test_a_count_in_doubt_or_another_description_silences_a_pass() -> None:
    crew = crew_on()
    crew.do("recount", adjuster="left front rebound", found=5)
    assert crew.run.in_doubt
    assert passes_that_speak(crew.state) == ()
    crew = crew_on()
    car = crew.state.car
    assert car is not None
    crew.record([CarDescribed(car=car.model_copy(update={"name": "Invented, heavier"}))])
    assert passes_that_speak(crew.state) == ()


def test_the_model_is_asked_with_the_passes_before() -> None:
    asked: list[ProposedChange] = []

    def model(question: ProposedChange) -> Expected:
        asked.append(question)
        trade = len(question.steps)
        return Expected(standing="agrees", reason="x", trade_step=trade, step=trade)

    crew = crew_on()
    first = dict(crew.state.settings)
    crew.make()
    crew.say("ran")
    crew.tell(**BIG, verdict="better", improvement="some")
    advise(crew.state, crew.run, crew.book, Told(model))
    advise(crew.state, crew.state.runs[0], crew.book, Told(model))
    assert [len(one.earlier) for one in asked] == [1, 0]
    assert dict(asked[0].earlier[0].settings) == first
    assert dict(asked[0].settings) != first


def test_only_the_latest_passes_are_kept() -> None:
    crew = crew_on()
    state = crew.state
    runs = tuple(state.runs[-1] for _ in range(MOST + 3))
    assert len(passes_that_speak(replace(state, runs=runs))) == MOST


def test_a_slip_that_was_lifted_aborted_or_spun_silences_its_pass() -> None:
    crew = crew_on()
    (run,) = crew.state.runs
    assert passes_that_speak(crew.state)
    for mark in ("lifted", "aborted", "spun"):
        slip = Slip(sixty_s=1.4, marks=frozenset({mark}))
        assert not passes_that_speak(replace(crew.state, runs=(replace(run, slip=slip),)))


def test_what_is_learnt_while_a_pass_is_told_is_what_its_advice_takes_in_beside_it() -> None:
    """Also where passes are dropped: else they would be learnt anew after the last answer."""
    crew = Crew()
    for _ in range(2 * MOST_PASSES):
        learnt = taught_so_far(crew.state)
        crew.say(["front-carries"])
        assert taught_so_far(crew.state) == learnt
        crew.tell(stand="small", carry="long")
        assert sightings(crew.state, of=crew.run)[:-1] == learnt
        ids = [one.id for one in crew.prompt.choices if not one.why_not]
        crew.say("ok" if "ok" in ids else "leave")
