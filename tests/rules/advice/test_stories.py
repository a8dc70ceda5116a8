"""Whole stories, from the fault to the car as the crew wants it."""

from typing import Any

import pytest

from rules.advice.by_mechanics.ways import ways
from rules.advice.situation import situation
from rules.asked import AdviceChoice
from rules.question import ActionError
from tests.support.crew import FRONT, REAR, Crew, invented_car, knob, steps_of

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
HIGH = [f"{side} front high-speed compression" for side in ("left", "right")]
LOW = [f"{side} front low-speed compression" for side in ("left", "right")]


def drops_hard(crew: Crew, **seen: Any) -> Crew:
    crew.tell(symptoms=["front-drops-hard"], **{**LANDING, **seen})
    return crew


@pytest.mark.parametrize(
    ("start", "says"), [(9, "by the same step"), (10, "by less, as near shut each click does more")]
)
def test_the_same_way_again_says_by_how_much(start: float, says: str) -> None:
    front = [one | {"start": start} if one["speed"] == "high" else one for one in FRONT]
    crew = drops_hard(Crew(invented_car(front=front)))
    first = steps_of(crew.advice, crew.fitted)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    assert says in crew.advice.cause
    assert (steps_of(crew.advice, crew.fitted) == first) is (says == "by the same step")


def test_the_landing_story() -> None:
    crew = Crew()
    crew.say(["front-drops-hard"], ["nothing"], "small", "at-stop")
    assert crew.prompt.id == "inspect:hard-landing"
    crew.say("all ok")
    assert steps_of(crew.advice, crew.fitted) == [(key, 3) for key in HIGH]
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    assert "same way again" in crew.advice.cause
    crew.make()
    assert {crew.state.settings[key] for key in HIGH} == {15}
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["nose-stays-high"], on_lift="sinks", stand="small")
    assert crew.advice.rule == "nose-high-low-speed-softer"
    assert [key for key, steps in steps_of(crew.advice, crew.fitted) if steps < 0] == LOW
    crew.make()
    assert {crew.state.settings[key] for key in HIGH} == {15}
    crew.say("ran")
    crew.tell(verdict="gone")
    assert crew.advice.kind == "leave"
    assert set(crew.off) == {*HIGH, *LOW}


MORE_THAN_HALF = {
    "on_lift": "sinks", "stand": "small", "front_travel": "short-soft", "travel_share": "more"
}  # fmt: skip


def test_low_speed_open_to_its_end_leads_to_the_ladder_not_to_the_landing() -> None:
    open_low = [FRONT[0], {**FRONT[1], "start": 0}, FRONT[2]]
    crew = Crew(invented_car(front=open_low))
    crew.tell(symptoms=["nose-stays-high"], **MORE_THAN_HALF)
    assert crew.advice.kind == "ladder"
    assert "Out of clicks" in crew.advice.title
    assert "Undoing the firm landing" in crew.book.symptoms["nose-stays-high"].never  # type: ignore[operator]
    assert not crew.advice.turns


def test_a_damper_without_a_low_speed_knob_keeps_its_landing() -> None:
    crew = Crew(invented_car(front=[FRONT[0], knob("compression", "compression")]))
    crew.tell(symptoms=["nose-stays-high"], **MORE_THAN_HALF)
    assert crew.advice.kind == "ladder"
    assert "No knob treats this" in crew.advice.title


def test_a_landing_that_uses_half_the_travel_may_be_softened_for_the_nose() -> None:
    crew = Crew(invented_car(front=[FRONT[0], knob("compression", "compression")]))
    crew.tell(symptoms=["nose-stays-high"], **MORE_THAN_HALF | {"travel_share": "half-or-less"})
    assert crew.advice.rule == "nose-high-harsh-compression-softer"
    assert all(steps < 0 for _, steps in steps_of(crew.advice, crew.fitted))


@pytest.mark.parametrize(
    ("stand", "travel", "rule"),
    [
        ("small", "at-stop", "drops-hard-compression-firmer"),
        ("none", "at-stop", "drops-hard-compression-firmer"),
        ("small", "short-harsh", "drops-hard-compression-softer"),
        ("big", "at-stop", "drops-hard-big-stand-rebound"),
        ("big", "short-harsh", "drops-hard-big-stand-rebound"),
        ("dangerous", "at-stop", "drops-hard-launch-softer"),
    ],
)
def test_the_cause_by_the_stand_and_the_o_ring(stand: str, travel: str, rule: str) -> None:
    crew = drops_hard(Crew(), stand=stand, front_travel=travel)
    assert crew.advice.rule == rule


def test_the_lower_stand_that_came_of_the_cure_is_treated_as_what_it_is_now() -> None:
    crew = drops_hard(Crew(), stand="big")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", stand="small", front_travel="at-stop")
    assert crew.advice.rule == "drops-hard-compression-firmer"


def test_the_landing_at_the_end_of_the_knob_goes_up_the_ladder() -> None:
    shut = [FRONT[0], FRONT[1], {**FRONT[2], "start": 18}]
    crew = drops_hard(Crew(invented_car(front=shut)))
    assert crew.advice.kind == "ladder"
    assert crew.advice.lines == (
        "Firmer valving in the front dampers",
        "Stiffer front spring at the same ride height",
        "More bump travel or clearance under the lowest part",
    )


def test_an_unknown_o_ring_is_measured_or_passed_over() -> None:
    crew = drops_hard(Crew(), front_travel="unknown")
    assert crew.advice.kind == "measure"
    assert "grease" in " ".join(crew.advice.lines)
    crew.say(AdviceChoice.NOBODY)
    assert "O-ring" in crew.advice.look_for
    assert crew.say("leave").id == "symptoms"


def test_carries_too_long() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none")
    assert crew.advice.rule == "carries-rebound-firmer"
    crew.make()
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["front-slow-to-rise"], hooked="spun", stand="none")
    if crew.prompt.id != "advice":
        crew.say("under")
    assert crew.advice.kind == "half back"
    assert {turn.after - turn.before for turn in crew.advice.turns} == {-1}


@pytest.mark.parametrize(
    ("seen", "rule"),
    [
        ({"unload_when": "bars", "bars": "touched"}, "unloads-bars-front-rebound"),
        ({"unload_when": "front-top", "top_out": "no"}, "unloads-front-top-rebound"),
        (
            {"unload_when": "front-landed", "stand": "big", "front_travel": "at-stop"},
            "unloads-landing-rebound",
        ),
        ({"unload_when": "rear-droop", "rear_travel": "most"}, "unloads-rear-rebound-firmer"),
        (
            {"unload_when": "rear-fell", "rear_travel": "some", "stand": "none"},
            "unloads-rear-compression-softer",
        ),
        ({"unload_when": "rear-fell", "rear_travel": "most"}, "unloads-rear-rebound-firmer"),
        ({"unload_when": "nothing", "rear_travel": "some"}, "unloads-nothing-seen"),
    ],
)
def test_unloads_after_the_hit_by_what_happened_at_that_instant(
    seen: dict[str, str], rule: str
) -> None:
    crew = Crew()
    crew.tell(symptoms=["unloads-after-hit"], **seen)
    assert crew.advice.rule == rule


def test_spins_and_separates_with_the_droop_used_up() -> None:
    crew = Crew(invented_car(levers=[]))
    seen = {"tyre_hit": "over", "rear_motion": "separates", "rear_travel": "most"}
    crew.tell(symptoms=["spins-at-hit"], **seen)
    assert crew.advice.rule == "spins-separates-rebound-firmer"
    assert "crews differ" in crew.advice.label
    assert {steps for _, steps in steps_of(crew.advice, crew.fitted)} == {1}


def test_spins_and_separates_with_droop_left_turns_no_rear_rebound() -> None:
    crew = Crew(invented_car(levers=[]))
    seen = {"tyre_hit": "over", "rear_motion": "separates", "rear_travel": "some"}
    crew.tell(symptoms=["spins-at-hit"], **seen)
    assert crew.advice.kind == "ladder"


def test_spins_and_squats() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert crew.advice.rule == "spins-squats-compression-firmer"


def test_a_changed_pressure_is_not_the_dampers_fault() -> None:
    crew = drops_hard(Crew())
    crew.make()
    crew.say("ran", ["tyre-pressure"])
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert crew.advice.kind == "control"
    assert crew.last.status == "run"
    assert crew.say("control").id == "recount:rear tyre pressure"
    assert crew.say("").id == "ran"
    crew.say("ran")
    crew.tell(verdict="gone")
    assert crew.last.verdict == "gone"
    assert crew.run.in_doubt == ()


@pytest.mark.parametrize("what", ["tyre-pressure", "launch-rpm", "burnout", "shift-point"])
def test_a_confounder_leaves_the_open_change_unjudged(what: str) -> None:
    crew = drops_hard(Crew())
    crew.make()
    crew.say("ran", [what])
    assert crew.prompt.id == "symptoms"
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert crew.advice.kind == "control"
    assert crew.last.verdict is None


def test_air_and_lane_are_recorded_only() -> None:
    crew = drops_hard(Crew())
    crew.make()
    crew.say("ran", ["lane-or-air"])
    assert crew.prompt.id == "verdict"


@pytest.mark.parametrize(
    ("found", "inspection"), [("fluid", "fluid-leak"), ("damper", "damper-damage")]
)
def test_a_leak_or_a_bent_part_waits_for_the_repair(found: str, inspection: str) -> None:
    crew = Crew()
    crew.say(["damage-found"], ["nothing"], found)
    assert crew.prompt.id == f"inspect:{inspection}"
    crew.say(dict.fromkeys([c.id for c in crew.prompt.choices], "fault"))
    assert crew.prompt.id == f"inspect:{inspection}"
    crew.say("all ok")
    assert crew.advice.kind == "leave"


def test_a_control_pass_can_be_skipped_in_eliminations() -> None:
    crew = Crew(session="eliminations")
    crew.tell(symptoms=["spins-at-hit"], what_else=["burnout"])
    assert crew.advice.kind == "control"
    crew.say("skip control", "under", "squats")
    assert crew.advice.rule == "spins-squats-compression-firmer"


def test_a_control_pass_is_overridden_with_a_reason_only_in_a_test() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], what_else=["burnout"])
    skip = next(choice for choice in crew.prompt.choices if choice.id == "skip control")
    assert "override" in skip.why_not
    with pytest.raises(ActionError, match="words of your own"):
        crew.do("override", reason="other")
    crew.do("override", reason="other", text="rain is coming")
    crew.tell(tyre_hit="under", rear_motion="squats")
    assert crew.advice.rule == "spins-squats-compression-firmer"
    assert [e.body.text for e in crew.log if e.body.kind == "overridden"] == ["rain is coming"]


@pytest.mark.parametrize("session", ["test", "eliminations"])
def test_a_control_pass_that_a_rule_asked_for_is_not_asked_twice(session: str) -> None:
    crew = Crew(session=session)
    crew.tell(symptoms=["unloads-after-hit"], unload_when="nothing", rear_travel="some")
    assert crew.advice.kind == "control"
    if session == "test":
        crew.do("override", reason="no-time")
    else:
        crew.say("skip control")
    assert crew.advice.kind != "control"


def test_a_crew_that_cannot_tell_goes_on_with_the_change_set_aside() -> None:
    crew = drops_hard(Crew(session="eliminations"))
    crew.make()
    crew.say("ran", ["nothing"], "unknown")
    crew.tell(symptoms=["spins-at-hit"])
    assert crew.advice.kind == "control"
    crew.say("skip control", "under", "squats")
    crew.make()
    assert crew.state.changes[0].set_aside
    assert crew.state.open_change == crew.state.changes[1]


def test_an_own_turn_after_the_pass_blocks_the_next_change_with_its_reason() -> None:
    crew = drops_hard(Crew())
    crew.do("already turned", adjuster="left rear rebound", now="11")
    assert crew.prompt.id == "advice"
    make = next(choice for choice in crew.prompt.choices if choice.id == "make")
    assert "waits for its pass" in make.why_not
    assert crew.prompt.default == "leave"
    crew.do("override", reason="driver")
    crew.make()
    assert crew.state.changes[0].set_aside == "driver"


def test_every_alternative_says_why_it_lost() -> None:
    crew = drops_hard(Crew())
    assert crew.advice.alternatives
    assert all(other.lost for other in crew.advice.alternatives)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", stand="small", front_travel="short-harsh")
    assert crew.advice.kind == "put back"
    assert all("later in the order" not in other.lost for other in crew.advice.alternatives[:1])


def test_rear_knobs_of_a_car_without_front_ones() -> None:
    crew = drops_hard(Crew(invented_car(front=[], rear=REAR, levers=[])))
    assert crew.advice.kind == "ladder"


def test_a_danger_worse_after_it_had_helped_goes_back_to_where_it_had() -> None:
    crew = drops_hard(Crew(invented_car(front=[*FRONT[:2], {**FRONT[2], "start": 3}])))
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", stand="small", front_travel="short-harsh")
    helped = crew.state.runs[-2].settings
    assert crew.advice.kind == "put back", "half of it is a setting that no pass has shown"
    assert {turn.after for turn in crew.advice.turns} == {6}
    assert all(turn.after == helped[turn.adjuster] for turn in crew.advice.turns)


@pytest.mark.parametrize(
    ("stand", "turned"), [("dangerous", "launch rpm"), ("big", "front rebound"), ("small", "low")]
)
def test_a_nose_that_stays_high_after_a_big_wheelie_is_brought_down_where_it_went_up(
    stand: str, turned: str
) -> None:
    crew = Crew()
    crew.tell(
        symptoms=["nose-stays-high"], on_lift="at-once" if stand == "big" else "sinks", stand=stand
    )
    assert crew.advice.kind == "turn"
    assert turned in crew.advice.turns[0].adjuster


@pytest.mark.parametrize("stand", ["big", "dangerous", "unknown"])
def test_for_a_high_nose_no_landing_is_softened_unless_the_wheelie_was_small(stand: str) -> None:
    crew = Crew()
    told = {"on_lift": "sinks", "front_travel": "short-harsh", "travel_share": "half-or-less"}
    crew.tell(symptoms=["nose-stays-high"], stand=stand, **told)
    now = situation(crew.state, crew.run, crew.book)
    softened = [
        way
        for way in ways(now)
        if not way.upward and way.levers[0].id.endswith("front high-speed compression")
    ]
    assert not softened
