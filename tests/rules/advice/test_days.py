"""Ten days at invented tracks, each ended by putting the car back exactly as it was."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from tests.support.crew import FRONT, Crew, invented_car

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
CARRY: dict[str, Any] = {"stand": "big", "bars": "none", "carry": "long"}
HIGH = {f"{side} front high-speed compression" for side in ("left", "right")}
LOW = {f"{side} front low-speed compression" for side in ("left", "right")}
FRONT_REBOUND = {f"{side} front rebound" for side in ("left", "right")}


@pytest.fixture
def crew() -> Iterator[Crew]:
    """Give a crew its day, and hold the way back at the end of it."""
    crew = Crew()
    yield crew
    if crew.off or crew.state.open_change:
        crew.put_back()
    assert crew.off == {}
    assert crew.state.open_change is None


def life(crew: Crew) -> list[str]:
    return [change.status for change in crew.state.changes]


def test_day_1_a_landing_cured_and_the_nose_brought_down(crew: Crew) -> None:
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["nose-stays-high"], on_lift="sinks", stand="small")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    assert life(crew) == ["judged", "judged"]
    assert set(crew.off) == HIGH | LOW
    crew.do("declare baseline", name="Evening")
    assert crew.off == {}
    assert [b.name for b in crew.state.baselines] == ["Car file", "Evening"]


def test_day_2_an_unrecorded_turn_comes_to_light(crew: Crew) -> None:
    crew.tell(symptoms=["front-carries"], **CARRY)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **CARRY)
    before = crew.advice
    crew.do("recount", adjuster="left front rebound", found="10")
    crew.say("keep")
    assert crew.run.in_doubt == ("left front rebound",)
    assert crew.state.runs[0].in_doubt == ()
    assert crew.state.changes[0].in_doubt
    assert not crew.state.changes[0].counts_as_evidence
    assert crew.advice != before
    left = next(t for t in crew.advice.turns if t.adjuster == "left front rebound")
    assert left.before == 10
    assert set(crew.off) == FRONT_REBOUND


def test_day_3_only_one_side_was_turned(crew: Crew) -> None:
    crew.do("already turned", adjuster="left rear rebound", now="11", sides="one")
    assert crew.prompt.id == "turn:right rear rebound"
    assert life(crew) == ["part-applied"]
    crew.say("cannot reach", "leave")
    assert crew.prompt.id == "settle"
    crew.say("try again", "done")
    assert crew.prompt.id == "ran"
    crew.say("ran", ["nothing"], "worse", ["spins-at-hit"])
    crew.tell(tyre_hit="under", rear_motion="neither")
    assert crew.advice.kind == "put back"
    crew.make()
    assert life(crew) == ["withdrawn", "applied"]
    assert crew.off == {}
    assert crew.advice.rule == "spins-pressure-less"


def test_day_4_an_override_in_a_hurry(crew: Crew) -> None:
    crew.do("session", session="eliminations")
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.do("override", reason="weather")
    assert crew.state.changes[0].set_aside == "weather"
    assert crew.prompt.id == "symptoms"
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="gone")
    assert life(crew) == ["applied", "judged"]
    assert not crew.state.changes[0].counts_as_evidence


def test_day_5_a_knob_stops_early(crew: Crew) -> None:
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "done", "stops early", "10")
    assert crew.state.settings["right front high-speed compression"] == 10
    assert crew.prompt.id == "inspect:damper-damage"
    crew.say("all ok", "even out")
    crew.tick()
    assert set(crew.off.values()) == {1}
    assert crew.prompt.id == "ran"


LEFT_HIGH, RIGHT_HIGH = sorted(HIGH)
KILLED_DAY: tuple[tuple[str, Any], ...] = (
    *(("say", one) for one in (["front-drops-hard"], ["nothing"], "small", "at-stop")),
    *(("say", one) for one in ({"toe": "ok"}, "all ok", "make", "done")),
    ("recount", {"adjuster": RIGHT_HIGH, "found": "8"}),
    *(("say", one) for one in ("done", "keep", "ran", ["nothing"], "better", "1.31")),
    ("say", "small"),
    *(("say", one) for one in ("at-stop", "all ok", "make", "stops early", "13")),
    *(("say", one) for one in ("all ok", "done", "even out", "done")),
    ("already turned", {"adjuster": "left rear rebound", "now": "11", "sides": "one"}),
    ("note", {"text": "Lights went out"}),
    *(("say", one) for one in ("done", "ran", ["nothing"], "same", ["spins-at-hit"], "")),
    *(("say", one) for one in ("under", "squats")),
    ("put back to baseline", {"knowing": True}),
    *(("say", "done") for _ in range(2)),
)


def live(crew: Crew, *steps: tuple[str, Any]) -> None:
    for what, value in steps:
        if what == "say":
            crew.say(value)
        else:
            crew.do(what, **value)


@pytest.mark.long
def test_day_5_again_and_the_power_goes_anywhere_in_it(crew: Crew) -> None:
    commits = [(len(crew.log), crew.names)]
    for step in KILLED_DAY:
        live(crew, step)
        commits.append((len(crew.log), crew.names))
    for number, commit in enumerate(commits):
        again = crew.killed(*commit)
        live(again, *KILLED_DAY[number:])
        assert again.log == crew.log
        assert again.state == crew.state
        assert again.prompt == crew.prompt


def test_day_6_a_knob_nobody_can_reach(crew: Crew) -> None:
    crew.tell(symptoms=["front-carries"], **CARRY)
    first = crew.advice
    crew.say("make", "cannot reach", "leave")
    assert life(crew) == ["withdrawn"]
    assert crew.advice.turns != first.turns
    crew.say("leave")
    assert crew.off == {}
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.turns != first.turns


def test_day_7_an_earlier_answer_and_a_verdict_are_corrected(crew: Crew) -> None:
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", stand="small", front_travel="short-harsh")
    crew.do("correct", run=2, prompt="verdict", value="worse")
    assert crew.state.changes[0].verdict == "worse"
    assert crew.advice.kind == "put back"
    crew.do("correct", run=1, prompt="stand", value="big")
    assert crew.state.runs[0].answers["stand"] == "big"
    assert crew.state.runs[0].advice is not None
    crew.make()
    assert crew.off == {}


def test_day_8_the_call_is_close(crew: Crew) -> None:
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.rule == "carries-rebound-firmer"
    crew.do("minutes to call", minutes=8)
    assert crew.advice.rule == "carries-launch-softer"
    assert "left" in next(
        a.lost for a in crew.advice.alternatives if a.rule == "carries-rebound-firmer"
    )
    crew.do("minutes to call", minutes=1)
    assert crew.advice.kind == "leave"
    assert "no time" in crew.advice.title
    crew.do("minutes to call", minutes=40)
    assert crew.advice.rule == "carries-rebound-firmer"
    crew.make()
    crew.say("ran")
    assert crew.state.call_at is None


def test_day_8_a_call_given_before_the_first_answer_counts(crew: Crew) -> None:
    crew.do("minutes to call", minutes=8)
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.rule == "carries-launch-softer"
    crew.say("leave")
    crew.clock += timedelta(minutes=30)
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.rule == "carries-rebound-firmer"


def test_day_9_several_faults_at_once(crew: Crew) -> None:
    faults = ["spins-at-hit", "front-drops-hard", "nose-stays-high"]
    crew.tell(symptoms=faults, **LANDING)
    assert crew.advice.symptom == "front-drops-hard"
    assert "safety comes first" in crew.advice.order_reason
    crew.say("leave")
    crew.tell(symptoms=["nose-stays-high", "spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert crew.advice.symptom == "spins-at-hit"
    assert "earlier in the pass" in crew.advice.order_reason
    crew.say("leave")
    crew.tell(symptoms=["spins-at-hit", "damage-found"], found="fluid")
    assert crew.advice.symptom == "damage-found"


def test_day_10_two_meetings(crew: Crew) -> None:
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="same", **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="same", stand="small", front_travel="short-harsh")
    assert crew.advice.kind == "put back"
    assert len(crew.advice.undoes) == 2
    crew.make()
    crew.tell(**LANDING)
    assert crew.advice.rule != "drops-hard-compression-firmer"
    crew.say("leave")
    crew.do("meeting", name="Another invented meeting")
    assert crew.prompt.id == "session"
    crew.say("qualifying")
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    assert crew.advice.rule == "drops-hard-compression-firmer"
    assert crew.run.meeting != crew.state.runs[0].meeting
    assert crew.run.session == "qualifying"


def test_a_change_is_carried_into_the_next_meeting(crew: Crew) -> None:
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.do("meeting", name="Another invented meeting")
    crew.say("test")
    assert crew.prompt.id == "ran"
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    assert crew.advice.rule == "drops-hard-compression-firmer"


def test_the_lifted_car_is_put_back_last() -> None:
    lifted = [{**FRONT[0], "lift_car": True}, *FRONT[1:]]
    crew = Crew(invented_car(front=lifted))
    for key, now in (("left front rebound", "11"), ("left rear rebound", "11")):
        crew.do("already turned", adjuster=key, now=now)
    crew.do("put back to baseline")
    order = [step.turn.adjuster for step in crew.last.steps]
    assert order == [
        "left rear rebound",
        "right rear rebound",
        "left front rebound",
        "right front rebound",
    ]


def test_a_put_back_that_needs_no_turn_ends_an_undo_that_was_begun() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left rear rebound", now="11")
    crew.do("already turned", adjuster="left rear rebound", now="9")
    crew.do("undo last change")
    assert crew.prompt.id.startswith("turn:")
    crew.do("put back to baseline")
    assert crew.prompt.id == "symptoms"
    assert crew.off == {}
