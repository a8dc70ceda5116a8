"""A ladder points the way of the rule that brought the crew to it, and says truly why."""

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.candidates import candidates
from rules.advice.ladders import ALL_TRIED, NO_LEVER, ladder, why
from rules.advice.situation import situation
from rules.book import shipped, with_own
from rules.book.schema import Rung
from rules.car.adjusters import UPWARD, Adjuster
from rules.car.body import Axle
from rules.car.model import Car
from rules.question import UNKNOWN
from tests.rules.advice.safety.test_nevers import FITTED, FULL, RAISES, answers, passes, wrong
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
    assert "softer front compression" in said
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


LEVER_WORDS = re.compile(
    r"spring|valving|limiter|tyre pressure|ride height|preload|anti-roll|instant centre"
    r"|compression|rebound|launch"
)
# What is looked at, put right or softened, and sets no lever of the car file one way.
NO_LEVER_SET = {
    "Fuel and timing at launch, with the engine builder",
    "Cushioned front droop stop or limiter, both sides equal",
    "Cushioned front travel limiter",
    "Check gas pressure and air springs' height (trained service)",
    "Front limiter lengths, left against right",
    "Rear tyre pressure inside its window: neither way is sure",
    "Scales, and the chassis preload back on its figure",
    "Wings, body panels and ride height as their makers say",
}
OF_AN_AXLE = ("spring", "valving", "travel limiter", "tyre pressure", "ride height")
RUNGS = [(name, rung) for name, page in sorted(BOOK.symptoms.items()) for rung in page.ladder]


def test_a_rung_that_names_a_lever_says_which_and_may_be_refused() -> None:
    """A property of the book: words alone, of a lever or without its end of the car, are none."""
    for name, rung in RUNGS:
        text = rung.text.lower()
        sets = rung.part is not None or rung.lifts
        assert sets or not LEVER_WORDS.search(text) or rung.text in NO_LEVER_SET, (name, text)
        if rung.part in OF_AN_AXLE:
            assert rung.axle in text, (name, text)
        if rung.part == "valving":
            stroke = next((one for one in ("rebound", "compression") if one in text), None)
            assert rung.controls == stroke, (name, text)


def as_turned(rung: Rung) -> tuple[Adjuster, bool] | None:
    """Return the lever or knob of the fullest car that a rung is one step of, and whether up."""
    part = "knob" if rung.controls else "launch rpm" if rung.lifts else rung.part
    for one in FITTED.values():
        same = one.part == part and rung.axle in (one.axle, "car")
        bleed = one.part != "knob" or (one.speed == "low") == (rung.speed == "low")
        if same and bleed and rung.controls in (None, one.controls):
            return one, rung.lifts or rung.direction in UPWARD
    return None


@pytest.mark.parametrize("bare", [False, True], ids=["levers in the file", "no lever in the file"])
@pytest.mark.parametrize("symptom", sorted(BOOK.symptoms))
def test_no_rung_says_what_a_gate_forbids_as_a_turn(symptom: str, bare: bool) -> None:
    """A property, over every answer of every symptom; the oracle is the trade's own table."""
    said_of = {rung.text: rung for rung in BOOK.symptoms[symptom].ladder}
    for now in passes(symptom):
        here = replace(now, fitted={}) if bare else now
        for line in ladder(here, candidates(here)).lines:
            rung = said_of.get(line)
            turn = as_turned(rung) if rung else None
            if turn is not None:
                broken = wrong(*turn, frozenset({symptom}), answers(now))
                assert not broken, (line, broken, answers(now))


def front_raising(lines: Iterable[str], symptom: str) -> list[str]:
    """Return the lines whose rung, by the trade's table, lets the front rise more."""
    found = []
    for rung in BOOK.symptoms[symptom].ladder:
        what = rung.part or "", rung.axle, "", rung.direction in UPWARD
        raises = what in RAISES and rung.controls != "compression"
        if (raises or rung.lifts) and any(line.startswith(rung.text) for line in lines):
            found.append(rung.text)
    return found


@pytest.mark.parametrize("levers", [LEVERS, ()], ids=["levers in the file", "no lever in the file"])
@pytest.mark.parametrize("symptom", ["front-slow-to-rise", "bogs", "strange-surface"])
def test_after_a_danger_no_rung_lets_the_front_rise(symptom: str, levers: Any) -> None:
    """Nobody wrote down where such a lever stood on the danger: nothing in words leads back."""

    def said(*danger: str) -> tuple[str, ...]:
        crew = Crew(invented_car(wheelie_bars=True, levers=levers))
        for one in danger:
            crew.tell(symptoms=[one], stand="dangerous", bars="hit")
            crew.make()
            crew.say("ran")
            crew.tell(verdict="gone", stand="small")
            crew.say("ok")
        crew.tell(symptoms=[symptom], hooked="lazy", stand="none", rpm_drop="usual")
        return ladder_lines(crew)

    assert front_raising(said(), symptom)
    assert not front_raising(said("front-carries"), symptom)


def test_a_valving_that_is_softer_is_not_named_for_a_firmer_one() -> None:
    stock = [{"kind": "valving", "axle": "front", "name": name} for name in ("soft", "hard")]
    valving = {"id": "front valving", "kind": "valving", "axle": "front", "start": "mid"}
    valving |= {"positions": ["soft", "mid", "hard"], "minutes": 60, "lift_car": True}
    crew = landed(invented_car(front=AT_HARD, levers=[valving], stock=stock), "at-stop")
    named = [line for line in ladder_lines(crew) if "In the trailer" in line]
    assert named == ["Firmer valving in the front dampers. In the trailer: hard"]


@pytest.mark.parametrize("symptom", sorted(BOOK.symptoms))
def test_what_was_not_chosen_is_never_listed_twice(symptom: str) -> None:
    crew = Crew(FULL)
    crew.tell(symptoms=[symptom])
    while crew.prompt.id != "advice":
        crew.say("all ok" if crew.prompt.kind == "tick" else UNKNOWN)
    told = [(one.what, one.lost) for one in crew.advice.alternatives]
    assert len(told) == len(set(told))


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
