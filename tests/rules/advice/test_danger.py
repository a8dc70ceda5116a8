"""After a symptom of danger no car is sent out "to see", whatever else had changed."""

from itertools import product
from typing import Any

import pytest

from rules.advice.safety.gates import BLOCKS
from rules.asked import AdviceChoice
from rules.book import shipped, with_own
from rules.log.said import CONFOUNDERS
from rules.question import UNKNOWN
from tests.support.crew import Crew, invented_car
from tests.support.sample import sampled

BOOK = shipped()
LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
DANGERS = sorted(symptom.id for symptom in BOOK.symptoms.values() if symptom.safety)
CHANGED = sorted(set(CONFOUNDERS) - {"nothing", "lane-or-air"})
TO_SEE = ("next pass", "control pass", "repeat pass", "film the")


def all_advice(crew: Crew) -> list[Any]:
    """Answer on with "don't know", and past every measure that can be passed over."""
    given = []
    for _ in range(40):
        prompt = crew.prompt
        if prompt.id == "advice":
            given.append(crew.advice)
            on = [c.id for c in prompt.choices if c.id.startswith("skip") and not c.why_not]
            if not on:
                return given
            crew.say(on[0])
        elif prompt.kind == "tick":
            crew.say("all ok")
        else:
            crew.say("" if prompt.optional else UNKNOWN)
    raise AssertionError(f"no end: {crew.prompt.id}")


@pytest.mark.parametrize(
    ("symptom", "changed", "session"),
    sampled(product(DANGERS, ["nothing", *CHANGED], ["test", "eliminations"]), 5),
)
def test_nothing_known_is_no_reason_to_run_and_see(
    symptom: str, changed: str, session: str
) -> None:
    crew = Crew(invented_car(wheelie_bars=True), session=session)
    crew.say([symptom], [changed])
    for given in all_advice(crew):
        assert given.kind != "control"
        if given.rule is None and given.kind != "ladder":
            said = " ".join((given.title, given.cause, given.why, *given.lines)).lower()
            assert [words for words in TO_SEE if words in said] == []


@pytest.mark.parametrize("changed", CHANGED)
def test_an_inspected_landing_has_put_right_what_else_was_changed(changed: str) -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], what_else=[changed], **LANDING)
    assert crew.advice.kind == "put right"
    assert not crew.advice.turns
    assert "an abort point" in crew.advice.cautions[0]
    assert [c.id for c in crew.prompt.choices if not c.why_not] == ["ok", "skip control"]
    crew.say("ok")
    if changed in ("tyre-pressure", "launch-rpm"):
        assert crew.prompt.id.startswith("recount:")
        crew.say("")
    assert crew.prompt.id == "symptoms"


@pytest.mark.parametrize("session", ["test", "qualifying", "eliminations"])
def test_what_cannot_have_made_the_fault_lets_it_be_treated(session: str) -> None:
    crew = Crew(session=session)
    crew.tell(symptoms=["front-drops-hard"], what_else=["burnout"], **LANDING)
    crew.say("skip control")
    assert crew.advice.rule == "drops-hard-compression-firmer"


def test_a_change_that_waited_is_judged_when_the_crew_goes_on() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(what_else=["tyre-pressure"], symptoms=["front-drops-hard"], **LANDING)
    assert crew.advice.kind == "put right"
    assert crew.say("skip control").id == "verdict"


@pytest.mark.parametrize(
    ("seen", "changed", "rule"),
    [
        ({"stand": "big"}, "tyre-pressure", "drops-hard-big-stand-rebound"),
        ({"stand": "big"}, "launch-rpm", "drops-hard-big-stand-rebound"),
        ({"stand": "dangerous"}, "tyre-pressure", "drops-hard-launch-softer"),
        ({"stand": "dangerous"}, "driver-lifted", "drops-hard-launch-softer"),
        ({"stand": "dangerous"}, "launch-rpm", None),
    ],
)
def test_less_lift_is_right_whatever_else_was_changed(
    seen: dict[str, str], changed: str, rule: str | None
) -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], what_else=[changed], **{**LANDING, **seen})
    assert crew.advice.rule == rule
    assert crew.advice.kind == ("put right" if rule is None else "turn")


def test_a_driver_who_lifted_makes_the_pass_say_nothing() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], what_else=["driver-lifted"], **LANDING)
    assert crew.advice.kind == "put right"
    assert "driver lifted" in crew.advice.cause


def test_a_crew_that_cannot_tell_treats_the_danger() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran", ["nothing"], UNKNOWN)
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    assert crew.advice.rule == "drops-hard-compression-firmer"


def test_stop_and_inspect_come_before_everything() -> None:
    crew = Crew()
    crew.tell(symptoms=["wanders-at-speed"], what_else=["tyre-pressure"], wander="hunts")
    assert crew.advice.kind == "stop"
    crew = Crew()
    crew.tell(symptoms=["tyre-shake"], what_else=["tyre-pressure"], shake="mild")
    assert crew.advice.rule == "shake-mild-tyres-first"


def test_what_is_missing_is_found_out_standing_and_answered() -> None:
    crew = Crew()
    crew.say(["tyre-shake", "wheelie-bar-hits", "front-drops-hard"], ["nothing"], UNKNOWN)
    crew.tell()
    assert crew.advice.kind == "measure"
    assert "standing" in crew.advice.title
    assert crew.say("find out").id == "shake"
    crew.say("violent", "slips")
    assert crew.advice.rule == "shake-slips-launch-less"


def test_what_stays_unknown_is_no_dead_end() -> None:
    crew = Crew()
    crew.say(["tyre-shake"], ["nothing"], UNKNOWN)
    crew.tell()
    for _ in range(2):
        assert crew.say("find out").id == "shake"
        crew.say(UNKNOWN)
    crew.say(AdviceChoice.NOBODY)
    assert crew.advice.kind == "stop"
    assert crew.say("ok").id == "symptoms"


def test_what_is_measured_on_stands_is_still_asked_for() -> None:
    crew = Crew()
    crew.say(["mushy-damper"], ["nothing"], UNKNOWN)
    crew.tell()
    assert crew.advice.kind == "measure"
    assert crew.advice.lines == (BOOK.prompts["rod-return"].measure,)


ANSWERED = sorted({(b.id, p, w) for b in BLOCKS for p, w in b.answers if p in ("bars", "top-out")})


@pytest.mark.parametrize(("block", "prompt", "word"), ANSWERED)
def test_an_answer_that_blocks_is_danger_too(block: str, prompt: str, word: str) -> None:
    crew = Crew()
    when = {"bars": "bars", "top-out": "front-top"}[prompt]
    seen = {"unload_when": when, prompt.replace("-", "_"): word}
    crew.tell(symptoms=["unloads-after-hit"], what_else=["burnout"], **seen)
    assert crew.advice.kind in ("turn", "put right")


def test_a_crews_own_control_pass_loses_after_danger() -> None:
    page = """
[[rule]]
id = "own-look"
symptom = "front-drops-hard"
order = 1
do = "control"
cause = "We want another look."
why = "We believe in it."
expect = "The same."
look_for = "The time slip."
put_back_if = "Nothing was changed."
wrong_when = ["The track changed."]
caution = "Careful."
basis = "our own notes"
fires = [{ answers = {} }]
silent = [{ answers = {} }]
"""
    crew = Crew(None, with_own({"own.toml": page}))
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    lost = {other.rule: other.lost for other in crew.advice.alternatives}
    assert lost["own-look"] == "no pass to see after a symptom of danger"


def test_no_time_is_no_reason_to_make_the_call() -> None:
    crew = Crew(invented_car(front=(), rear=()))
    crew.do("minutes to call", minutes=1)
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    assert "no time" in crew.advice.title
    assert "Do not make this call" in crew.advice.cautions[0]
