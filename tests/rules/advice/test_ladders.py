"""A ladder points the way of the rule that brought the crew to it, and says truly why."""

from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.candidates import candidates
from rules.advice.ladders import ALL_TRIED, NO_LEVER, ladder, why
from rules.advice.situation import situation
from rules.book import shipped, with_own
from rules.car.body import Axle
from rules.car.model import Car
from rules.question import UNKNOWN
from tests.rules.advice.safety.test_nevers import FULL, answers, passes
from tests.support.crew import FRONT, LEVERS, Crew, invented_car, knob
from tests.support.own_rule import own

BOOK = shipped()
AT_SOFT = (FRONT[0], FRONT[1], {**FRONT[2], "start": 0})
AT_HARD = (FRONT[0], FRONT[1], {**FRONT[2], "start": 18})
NO_LEVERS: dict[str, Any] = {"levers": ()}


def landed(car: Any, travel: str, stand: str = "small") -> Crew:
    """Return a crew whose front dropped hard, at its advice."""
    crew = Crew(car)
    crew.tell(symptoms=["front-drops-hard"], stand=stand, front_travel=travel)
    return crew


def test_a_harsh_landing_with_travel_left_never_climbs_to_firmer() -> None:
    """Compression at full soft and still harsh: nothing on the ladder is firmer or stiffer."""
    crew = landed(invented_car(front=AT_SOFT, **NO_LEVERS), "short-harsh")
    assert crew.advice.kind == "ladder"
    said = " ".join(crew.advice.lines).lower()
    assert not [word for word in ("firmer", "stiffer", "limiter") if word in said]
    assert "softer compression" in said
    assert crew.advice.cause == "The knob that treats this stands at the end of its range."


def test_a_landing_at_the_stop_climbs_to_firmer_and_never_to_softer() -> None:
    crew = landed(invented_car(front=AT_HARD, **NO_LEVERS), "at-stop")
    said = " ".join(crew.advice.lines).lower()
    assert "firmer" in said
    assert "stiffer" in said
    assert "softer" not in said
    assert "limiter" not in said


@pytest.mark.parametrize("stand", ["none", "small", UNKNOWN])
@pytest.mark.parametrize("symptom", ["front-drops-hard", "front-carries", "front-bounces"])
def test_a_small_stand_is_never_offered_a_shorter_limiter(symptom: str, stand: str) -> None:
    """A property, over every answer of the symptoms that have a limiter on their ladder."""
    for now in passes(symptom):
        if answers(now).get("stand", UNKNOWN) == stand:
            lines = ladder(now, candidates(now)).lines
            assert not [line for line in lines if "horter" in line], (answers(now), lines)


@pytest.mark.parametrize("symptom", sorted(BOOK.symptoms))
def test_no_rung_goes_against_a_rule_that_stands(symptom: str) -> None:
    """A property: where a rule turns a lever one way, its ladder never says the other way."""
    other = {"firmer": "softer", "softer": "firmer", "stiffer": "lighter", "lighter": "stiffer"}
    for now in passes(symptom):
        said = " ".join(ladder(now, candidates(now)).lines).lower()
        for candidate in candidates(now):
            rule = candidate.rule
            if not candidate.fits or rule.lever is None or rule.direction not in other:
                continue
            stroke = getattr(rule.lever, "controls", rule.lever.part)
            assert f"{other[rule.direction]} {rule.lever.axle} {stroke}" not in said, rule.id
            assert f"{other[rule.direction]} {stroke}" not in said, (rule.id, said)


def test_nothing_in_the_car_file_is_said_only_where_nothing_is() -> None:
    """Nothing to turn, all tried, at its end and refused are four different causes."""
    crew = landed(invented_car(front=(), rear=(), **NO_LEVERS), "at-stop")
    assert crew.advice.cause == NO_LEVER
    for symptom in sorted(BOOK.symptoms):
        for now in passes(symptom):
            considered = candidates(now)
            if not all(one.lost for one in considered):
                continue
            turns = [one for one in considered if one.fits and one.rule.do == "turn"]
            said = why(considered)
            assert said != NO_LEVER or not any(one.levers for one in turns), symptom
            assert said != ALL_TRIED or all(one.tried for one in turns), symptom


def test_a_gate_that_refused_is_named() -> None:
    bleed = [knob("low-speed compression", "compression", "low", start=0)]
    height = {"id": "front ride height", "kind": "ride height", "axle": "front", "start": 5}
    crew = Crew(
        invented_car(front=bleed, levers=[height]),
        own("nose-stays-high", '{ part = "ride height", axle = "front" }', "lower", order=90),
    )
    crew.tell(
        symptoms=["nose-stays-high"], on_lift="sinks", stand="small", front_travel="near-stop"
    )
    assert crew.advice.kind == "ladder"
    said = " ".join((crew.advice.cause, *crew.advice.cautions))
    assert "never takes travel from a landing at or near the stop" in said


@pytest.mark.parametrize(("start", "offered"), [(13, True), (11, False)])
def test_a_pressure_at_its_minimum_is_not_offered(start: float, offered: bool) -> None:
    pressure = {**LEVERS[1], "start": start}
    crew = Crew(invented_car(rear=(), levers=[pressure]))
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    now_lines = ladder_lines(crew)
    assert any("pressure" in line for line in now_lines) == offered
    if not offered:
        assert crew.advice.kind == "ladder"
        assert crew.advice.cause == "Rear tyre pressure stands at the tyre maker's minimum."
        assert crew.advice.title.startswith("No knob treats this")


def ladder_lines(crew: Crew) -> tuple[str, ...]:
    """Return the rungs that stand on the pass talked about."""
    now = situation(crew.state, crew.run, crew.book)
    return ladder(now, candidates(now)).lines


def test_a_crews_own_rung_may_be_its_text_alone() -> None:
    page = '[symptom]\nid = "own-fault"\nname = "Our own fault"\nplace = 90\ncause = 50\n'
    book = with_own({"own.toml": page + 'ladder = ["Ask the chassis shop"]\n'})
    crew = Crew(None, book)
    crew.tell(symptoms=["own-fault"])
    assert crew.advice.lines == ("Ask the chassis shop",)
    assert crew.advice.cause == "Nothing that was seen names a lever."


def test_the_words_of_a_rung_say_what_it_sets() -> None:
    """A property of the book: a rung's text and its typed lever agree."""
    names = {"travel limiter": "limiter", "tyre pressure": "pressure", "launch rpm": "launch"}
    names |= {"link position": "instant centre"}
    for symptom in BOOK.symptoms.values():
        for rung in symptom.ladder:
            if rung.part is not None:
                assert names.get(rung.part, rung.part) in rung.text.lower(), rung.text


FADED = {"day_change": "weaker", "body_temperature": "hot"}


@pytest.mark.parametrize("beside", ["spins-at-hit", "front-bounces", "bogs", "nose-stays-high"])
def test_heat_is_settled_first_whatever_is_named_beside_it(beside: str) -> None:
    """A hot, faded damper is cooled and recounted: no click against heat."""
    crew = Crew()
    crew.tell(symptoms=["changed-through-day", beside], **FADED)
    assert crew.advice.rule == "changed-hot-find-heat"
    assert "until it is settled" in crew.advice.order_reason
    crew.say("inspect")
    crew.tell()
    assert crew.advice.rule == "changed-hot-leave"


DANGERS = sorted(s.id for s in BOOK.symptoms.values() if s.safety)


@pytest.mark.parametrize("beside", DANGERS)
def test_heat_beside_a_danger_is_found_first_and_no_damper_is_turned(beside: str) -> None:
    """Beside a danger its lists and its stop stand; no knob is turned against the heat."""
    crew = Crew(FULL)
    crew.say(["changed-through-day", beside])
    for _ in range(30):
        if crew.prompt.id == "advice":
            break
        told = {"day-change": "weaker", "body-temperature": "hot", "stand": "small"}
        told |= {"front-travel": "at-stop"}
        kind = crew.prompt.kind
        value: Any = told.get(crew.prompt.id, UNKNOWN)
        crew.say("all ok" if kind == "tick" else ["nothing"] if kind == "many" else value)
    given = advise(crew.state, crew.run, BOOK)
    assert not [t for t in given.turns if crew.fitted[t.adjuster].part in ("knob", "valving")]
    assert given.kind in ("inspect", "stop", "measure", "leave"), given.title


def test_a_dangerous_stand_beside_heat_launches_softer_when_the_heat_was_found() -> None:
    crew = Crew()
    crew.tell(
        symptoms=["changed-through-day", "front-carries"],
        stand="dangerous",
        **FADED,
    )
    assert crew.advice.rule == "changed-hot-find-heat"
    crew.say("inspect")
    crew.tell()
    assert crew.advice.rule == "carries-launch-first"


def on_tyre(tyre: str | None, **more: Any) -> Car:
    """Make an invented car on a kind of rear tyre."""
    return invented_car(**more).model_copy(update={"rear": Axle.model_validate({"tyre": tyre})})


PRESSED = {"symptoms": ["spins-at-hit"], "tyre_hit": "under", "rear_motion": "neither"}


@pytest.mark.parametrize(
    ("tyre", "less"),
    [(None, True), ("bias slick", True), ("radial", False), ("drag radial", False)],
)
def test_the_rear_tyre_decides_whether_less_pressure_bites(tyre: str | None, less: bool) -> None:
    """Less pressure bites more on a bias slick; on a radial too low hurts too."""
    crew = Crew(on_tyre(tyre))
    crew.tell(**PRESSED)
    assert (crew.advice.rule == "spins-pressure-less") == less


@pytest.mark.parametrize(
    ("tyre", "step", "psi"),
    [("bias slick", 0.5, 0.5), ("radial", 0.5, 1.0), ("drag radial", 1.0, 1.0)],
)
def test_the_step_of_a_pressure_is_the_tyres(tyre: str, step: float, psi: float) -> None:
    """Half a psi on a slick, one on a radial."""
    lever = {**LEVERS[1], "step": step}
    crew = Crew(on_tyre(tyre, levers=[lever]))
    crew.tell(symptoms=["bogs"], rpm_drop="usual")
    turn = crew.advice.turns[0]
    assert turn.after - turn.before == psi


GRIP = ["spins-at-hit", "unloads-after-hit", "unloads-at-gear-change"]


@pytest.mark.parametrize("symptom", GRIP)
def test_the_lane_alone_on_a_fault_of_grip_is_a_control_pass_once(symptom: str) -> None:
    """Lane or air alone may have made a fault of grip: a repeat tells, but only one."""
    seen = {"tyre_hit": "under", "rear_motion": "squats", "unload_when": "rear-fell"}
    seen |= {"rear_travel": "some", "gear_change": "rear-top", "stand": "none"}
    crew = Crew()
    crew.tell(symptoms=[symptom], what_else=["lane-or-air"], **seen)
    if symptom == "unloads-at-gear-change":
        assert crew.advice.kind == "inspect"
        return
    assert crew.advice.kind == "control"
    crew.say("control")
    crew.tell(symptoms=[symptom], what_else=["lane-or-air"], **seen)
    assert crew.advice.kind == "turn"


def test_the_lane_alone_is_no_reason_after_a_danger_or_for_the_chassis() -> None:
    crew = Crew()
    crew.tell(
        symptoms=["front-drops-hard"],
        what_else=["lane-or-air"],
        stand="small",
        front_travel="at-stop",
    )
    assert crew.advice.kind == "turn"
    crew = Crew()
    crew.tell(
        symptoms=["front-bounces"],
        what_else=["lane-or-air"],
        front_travel="short-soft",
        bounces="several",
        stand="small",
    )
    assert crew.advice.kind == "turn"
