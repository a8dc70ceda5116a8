"""A danger is remembered with the settings it was seen with, whatever is asked for afterwards.

No put-back and no undo leads to a setting at least as lively without saying so first and asking; no
advice ever does. What clears a setting is a good pass on it, in grip and air no poorer. Common
practice, no source.
"""

from typing import Any

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st

from rules.advice.safety.awake_dangers import never_back, woken
from rules.advice.safety.dangers import FrontDanger
from rules.advice.safety.work_gates import asked_first
from rules.car.adjusters import Turn
from rules.crew.actions import ActionError
from rules.crew.form_ends import LeftAsItStands
from rules.crew.forms import FORMS
from rules.question import AnswerError, Prompt
from tests.support.crew import Crew, invented_car
from tests.support.sample import examples

LAUNCH, LIMITER = "launch rpm", "front limiter"
REBOUND = tuple(f"{side} front rebound" for side in ("left", "right"))
HIGH = tuple(f"{side} front high-speed compression" for side in ("left", "right"))
BOGS: dict[str, Any] = {"rpm_drop": "deep", "usual_stand": "low"}
OVER: dict[str, Any] = {"stand": "dangerous", "bars": "hit"}


def with_bars() -> Crew:
    return Crew(invented_car(wheelie_bars=True))


def over_and_lowered() -> Crew:
    """Return a crew whose pass 1 went over 24 in with the bars hit; launch 4200 to 4100, gone."""
    crew = with_bars()
    crew.tell(symptoms=["front-carries"], **OVER)
    assert [(t.adjuster, t.before, t.after) for t in crew.advice.turns] == [(LAUNCH, 4200, 4100)]
    crew.make()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    return crew


def to(crew: Crew, **goals: float) -> tuple[Turn, ...]:
    """Return turns from where the car stands to these goals, _ for a space."""
    goal = {key.replace("_", " "): value for key, value in goals.items()}
    return tuple(
        Turn(adjuster=key, before=crew.state.settings[key], after=value)
        for key, value in goal.items()
    )


def good_pass(crew: Crew, **noted: Any) -> None:
    """Run a pass that was good, with its stand told where it is asked."""
    crew.say(["it-is-good"])
    if noted:
        crew.do("conditions", **noted)
    crew.tell(stand="small")
    crew.say("ok")


def test_a_bog_after_a_stand_is_no_reason_for_more_launch() -> None:
    crew = over_and_lowered()
    crew.tell(symptoms=["bogs"], **BOGS)
    assert not [turn for turn in crew.advice.turns if turn.adjuster == LAUNCH]
    lost = {one.rule: one.lost for one in crew.advice.alternatives}
    assert "never back to what showed danger" in lost["bogs-launch-more"]
    assert "over {24 in|0.6 m}" in lost["bogs-launch-more"]
    assert "on pass 1" in lost["bogs-launch-more"]


def test_a_change_that_bogs_is_not_advised_back_to_the_stand() -> None:
    crew = with_bars()
    crew.tell(symptoms=["front-carries"], **OVER)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", stand="small", bars="clear", carry="short")
    assert crew.advice.kind not in ("put back", "half back")
    crew = with_bars()
    crew.tell(symptoms=["front-carries"], **OVER)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="other", symptoms=["bogs"], **BOGS)
    assert crew.advice.kind not in ("put back", "half back")
    assert not [turn for turn in crew.advice.turns if turn.adjuster == LAUNCH]


def test_a_lazy_nose_after_a_stand_is_no_reason_for_a_longer_limiter() -> None:
    crew = over_and_lowered()
    crew.tell(symptoms=["front-slow-to-rise"], hooked="lazy", stand="none")
    while crew.prompt.id == "advice":
        assert crew.advice.turns == ()
        if crew.advice.kind == "ladder":
            assert "rise more" in crew.advice.cautions[-1]
        skip = [c.id for c in crew.prompt.choices if c.id.startswith("skip") and not c.why_not]
        if not skip:
            break
        crew.say(skip[0])


@pytest.mark.parametrize("action", ["undo last change", "put back to baseline"])
def test_a_way_back_to_a_danger_says_so_first_and_asks(action: str) -> None:
    crew = over_and_lowered()
    before = len(crew.log)
    with pytest.raises(ActionError, match=r"over \{24 in.*on pass 1; with knowing = true"):
        crew.do(action)
    assert len(crew.log) == before
    crew.do(action, knowing=True)
    assert crew.prompt.id == f"turn:{LAUNCH}"
    assert "4100 rpm to 4200 rpm lets the front rise more: the wheelie was" in crew.prompt.notice


def test_a_danger_is_said_once_for_all_turns_that_lead_back_to_it() -> None:
    crew = over_and_lowered()
    start = crew.state.settings
    softer = [Turn(adjuster=one, before=start[one], after=start[one] - 2) for one in REBOUND]
    launch = Turn(adjuster=LAUNCH, before=4100, after=4200)
    asked = asked_first(crew.state, (*softer, launch))
    assert asked is not None
    assert asked.hint.count("on pass 1") == 1
    assert "and launch rpm 4100 rpm to 4200 rpm let the front rise more: " in asked.hint
    assert all(one in asked.hint for one in REBOUND)


@pytest.mark.parametrize("far", ["last", "baseline"])
def test_the_form_of_a_way_back_asks_with_no_as_its_default(far: str) -> None:
    crew = over_and_lowered()
    form = FORMS["put back"]
    asked = form(crew.state, crew.book, {"how far": far})
    assert isinstance(asked, Prompt)
    assert (asked.id, asked.default) == ("knowing", "no")
    assert "4100 rpm to 4200 rpm lets the front rise more" in asked.hint
    assert "on pass 1" in asked.hint
    left = form(crew.state, crew.book, {"how far": far, "knowing": "no"})
    assert left == LeftAsItStands()
    action: Any = form(crew.state, crew.book, {"how far": far, "knowing": "yes"})
    assert action.knowing


def test_a_way_back_that_meets_no_danger_is_not_asked_about() -> None:
    crew = over_and_lowered()
    crew.do("already turned", adjuster="left rear rebound", now="11")
    action: Any = FORMS["put back"](crew.state, crew.book, {"how far": "last"})
    assert not action.knowing
    assert crew.do("undo last change").id == "turn:left rear rebound"


def test_an_older_baseline_is_a_way_back_as_well() -> None:
    crew = over_and_lowered()
    crew.do("declare baseline", name="Lower")
    crew.do("return to baseline", baseline="Car file")
    with pytest.raises(ActionError, match="leads back to a danger"):
        crew.do("put back to baseline")


def test_mixed_settings_count_as_lively() -> None:
    crew = over_and_lowered()
    assert not never_back(crew.state, to(crew, front_limiter=2.75))
    assert never_back(crew.state, to(crew, front_limiter=3.25))
    assert never_back(crew.state, to(crew, **{LAUNCH: 4200.0}))
    assert never_back(crew.state, to(crew, **{LAUNCH: 4300.0, LIMITER: 2.5}))


def test_gentler_than_the_danger_on_every_lever_is_free() -> None:
    crew = over_and_lowered()
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    assert not never_back(crew.state, to(crew, **{LAUNCH: 4100.0}))
    assert never_back(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_a_broken_pair_is_put_right_towards_a_danger_only_knowing() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("leave")
    crew.do("recount", adjuster=REBOUND[0], found="11")
    assert crew.prompt.id == f"pair:{REBOUND[0]}"
    with pytest.raises(AnswerError, match=r"over \{12 in.*only by the next choice"):
        crew.say("put right")
    assert crew.say("put right, knowing").id == f"turn:{REBOUND[0]}"


def test_a_half_made_order_goes_back_to_a_danger_only_knowing() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("make", "done", "not done")
    assert crew.prompt.id == "settle"
    with pytest.raises(AnswerError, match=r"over \{12 in.*only by the next choice"):
        crew.say("put back")
    assert crew.say("put back, knowing").id == f"turn:{REBOUND[0]}"


def test_a_landing_at_the_stop_is_not_softened_again() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    turns = tuple(Turn(adjuster=key, before=12, after=9) for key in HIGH)
    assert "landed too hard on pass 1" in never_back(crew.state, turns)
    with pytest.raises(ActionError, match="leads back to a danger"):
        crew.do("undo last change")


def test_an_own_valving_towards_a_danger_is_asked_for_first() -> None:
    stacks = {"id": "front valving", "kind": "valving", "axle": "front", "start": "stack 2"}
    stacks |= {"positions": ["stack 1", "stack 2", "stack 3"], "minutes": 40, "lift_car": True}
    crew = Crew(invented_car(levers=[stacks]))
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("leave" if crew.advice.turns else "ok")
    softer = {"lever": "front valving", "to": "stack 1", "keep": "counts as they are"}
    with pytest.raises(ActionError, match="leads back to a danger"):
        crew.do("valving changed", **softer)
    filled = {"adjuster": "front valving", "to": "stack 1", "keep": "counts as they are"}
    asked = FORMS["valving changed"](crew.state, crew.book, filled)
    assert isinstance(asked, Prompt)
    assert asked.id == "knowing"
    assert crew.do("valving changed", **softer, knowing=True).id == "turn:front valving"


HOT: dict[str, Any] = {"lane": "left", "air_temperature": 33, "track_temperature": 55}
COOL: dict[str, Any] = {"lane": "left", "air_temperature": 18, "track_temperature": 26}


def shown(**noted: Any) -> Crew:
    """Return a crew that left the car as it was after a big stand."""
    crew = Crew()
    crew.say(["front-carries"])
    if noted:
        crew.do("conditions", **noted)
    crew.tell(stand="big", bars="none", carry="long")
    crew.say("leave")
    return crew


def lowered(crew: Crew) -> FrontDanger | None:
    """Turn the launch down by hand; return the danger on the way back up."""
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    return woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_the_stand_of_a_good_pass_on_a_danger_is_asked_for() -> None:
    crew = shown()
    crew.say(["it-is-good"], ["nothing"])
    assert crew.prompt.id == "stand"
    crew.say("unknown", "ok")
    assert lowered(crew), "nobody knows how high it went"
    crew = over_and_lowered()
    crew.say(["it-is-good"], ["nothing"])
    assert crew.prompt.id == "advice", "gentler settings are not asked about"


def test_a_good_pass_at_the_same_settings_clears_them() -> None:
    crew = shown()
    good_pass(crew)
    assert not lowered(crew)
    assert woken(crew.state, to(crew, **{LAUNCH: 4300.0})), "never run, in the meeting of a danger"


@pytest.mark.parametrize("symptom", ["spins-at-hit", "bogs"])
def test_a_pass_without_thrust_clears_nothing(symptom: str) -> None:
    crew = shown()
    crew.tell(symptoms=[symptom], stand="none", tyre_hit="under", rear_motion="neither")
    while crew.prompt.id != "advice":
        crew.say("unknown" if crew.prompt.unknown else "all ok")
    crew.say(next(c.id for c in reversed(crew.prompt.choices) if not c.why_not))
    assert lowered(crew)


@pytest.mark.parametrize("mark", ["lifted", "aborted", "spun"])
def test_a_pass_that_was_not_run_through_clears_nothing(mark: str) -> None:
    crew = shown()
    good_pass(crew)
    crew.do("slip", sixty=1.9, marks=(mark,))
    assert lowered(crew)


@pytest.mark.parametrize(
    ("then", "good", "clears"),
    [
        ({}, {}, True),
        (COOL, COOL, True),
        (HOT, COOL, True),
        (COOL, HOT, False),
        (COOL, {}, False),
        ({}, HOT, True),
        ({"lane": "left"}, {"lane": "right"}, False),
    ],
)
def test_a_setting_is_cleared_with_the_grip_and_air_it_ran_in(
    then: dict[str, Any], good: dict[str, Any], clears: bool
) -> None:
    crew = shown(**then)
    good_pass(crew, **good)
    assert bool(lowered(crew)) is not clears


@pytest.mark.parametrize("back", [COOL, {"lane": "right"}])
def test_a_track_that_comes_back_wakes_the_danger(back: dict[str, Any]) -> None:
    crew = shown(**HOT)
    good_pass(crew, **HOT)
    assert not lowered(crew)
    crew.say("ran")
    crew.do("conditions", **back)
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_a_lane_or_air_that_the_crew_says_changed_wakes_the_danger() -> None:
    crew = shown()
    good_pass(crew)
    assert not lowered(crew)
    crew.say("ran", ["lane-or-air"])
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def other_meeting(crew: Crew) -> None:
    crew.do("meeting", name="Another invented meeting")
    crew.say("test")


def test_a_danger_is_remembered_across_meetings() -> None:
    crew = over_and_lowered()
    other_meeting(crew)
    crew.tell(symptoms=["bogs"], **BOGS)
    assert not [turn for turn in crew.advice.turns if turn.adjuster == LAUNCH]
    lost = {one.rule: one.lost for one in crew.advice.alternatives}
    assert "on pass 1 at Invented meeting" in lost["bogs-launch-more"]


def test_a_good_pass_at_another_meeting_clears_until_the_track_is_better() -> None:
    crew = shown(**COOL)
    other_meeting(crew)
    good_pass(crew, **COOL)
    assert not lowered(crew)
    assert not woken(crew.state, to(crew, **{LAUNCH: 4300.0})), "its own settings were run well"
    crew.say("ran")
    crew.do("conditions", **{**COOL, "track_temperature": 18})
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_a_correction_takes_a_danger_back_and_brings_one() -> None:
    crew = over_and_lowered()
    crew.do("correct", run=1, prompt="bars", value="clear")
    crew.do("correct", run=1, prompt="stand", value="small")
    crew.do("correct", run=1, prompt="symptoms", value=["squats-and-drags"])
    assert not woken(crew.state, to(crew, **{LAUNCH: 4200.0}))
    crew.do("correct", run=1, prompt="stand", value="big")
    assert woken(crew.state, to(crew, **{LAUNCH: 4200.0}))


def test_an_open_advice_that_a_correction_makes_dangerous_is_given_anew() -> None:
    crew = Crew()
    crew.tell(symptoms=["squats-and-drags"], contact="none", squat_when="hit")
    crew.say("leave")
    crew.do("already turned", adjuster=LAUNCH, now="4100")
    crew.say("ran", ["nothing"], "other")
    crew.tell(symptoms=["bogs"], **BOGS)
    crew.say("inspect", "all ok")
    assert [(t.before, t.after) for t in crew.advice.turns] == [(4100, 4200)]
    crew.do("correct", run=1, prompt="symptoms", value=["front-carries"])
    assert crew.prompt.kind == "tick", "and the list of that pass is owed"
    crew.say("all ok")
    assert crew.prompt.id == "advice"
    assert LAUNCH not in [turn.adjuster for turn in crew.advice.turns]


LIVELY = {LAUNCH: 1.0, LIMITER: 1.0, REBOUND[0]: -1.0, REBOUND[1]: -1.0}
SEEN: list[dict[str, Any]] = [
    {"symptoms": ["front-carries"], "stand": "dangerous", "bars": "hit"},
    {"symptoms": ["front-carries"], "stand": "big", "bars": "clear"},
    {"symptoms": ["wheelie-bar-hits"], "stand": "small", "bars": "hit"},
    {"symptoms": ["it-is-good"], "stand": "small"},
    {"symptoms": ["it-is-good"], "stand": "none"},
    {"symptoms": ["bogs"], **BOGS},
    {"symptoms": ["front-slow-to-rise"], "hooked": "lazy", "stand": "none"},
    {"symptoms": ["spins-at-hit"], "tyre_hit": "under", "rear_motion": "squats"},
]
DANGEROUS = SEEN[:3]
TURNS = [(LAUNCH, -100.0), (LAUNCH, 100.0), (LIMITER, 0.25), (LIMITER, -0.25), (REBOUND[0], 2.0)]
TURNS += [(REBOUND[0], -2.0), ("left rear rebound", 1.0)]
STEPS = st.one_of(
    st.tuples(st.just("pass"), st.sampled_from(SEEN), st.sampled_from(["make", "leave"])),
    st.tuples(st.just("turn"), st.sampled_from(TURNS), st.none()),
    st.tuples(st.just("back"), st.sampled_from(["undo last change", "put back to baseline"]))
    .map(lambda one: (*one, None)),
)  # fmt: skip


def is_lively_again(turns: tuple[Turn, ...], now: dict[str, float], seen: list[Any]) -> bool:
    """Tell by the words of the trade alone whether turns lead to what showed danger.

    seen: settings, whether they showed danger, whether the front stayed low, in order of passes.
    """
    if not any((turn.after - turn.before) * LIVELY.get(turn.adjuster, 0.0) > 0 for turn in turns):
        return False
    goal = {**now, **{turn.adjuster: turn.after for turn in turns}}
    for place, (then, danger, _) in enumerate(seen):
        if not danger:
            continue
        more = [(goal[key] - then[key]) * sign for key, sign in LIVELY.items()]
        gentler = min(more) < 0 and max(more) <= 0
        proved = any(
            low and all(goal[key] == later[key] for key in LIVELY)
            for later, _, low in seen[place + 1 :]
        )
        if not gentler and not proved:
            return True
    return False


@examples(10, 40, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(STEPS, min_size=2, max_size=9))
@example([("pass", SEEN[0], "leave"), *2 * [("pass", SEEN[6], "make"), ("turn", TURNS[0], None)]])
def test_no_advice_and_no_unasked_order_ever_ends_at_lively_settings(steps: list[Any]) -> None:
    crew = with_bars()
    seen: list[Any] = []
    for kind, what, then in steps:
        while crew.prompt.kind == "tick":
            crew.say("all ok")
        now = dict(crew.state.settings)
        if kind == "turn":
            one = crew.fitted[what[0]]
            goal = now[one.id] + what[1]
            if one.holds(goal) and one.floor <= goal <= one.high:
                crew.do("already turned", adjuster=one.id, now=goal)
        elif kind == "back":
            try:
                crew.do(what)
            except ActionError:
                continue
            if crew.state.work_order is not None:
                turns = tuple(step.turn for step in crew.last.steps)
                assert not is_lively_again(turns, now, seen), (what, turns, seen)
                crew.tick()
        else:
            ran(crew, what)
            low = what in SEEN[3:5]
            seen.append((now, what in DANGEROUS, low))
            assert not is_lively_again(crew.advice.turns, now, seen), (crew.advice.turns, seen)
            can = [choice.id for choice in crew.prompt.choices if not choice.why_not]
            crew.say(then if then in can else can[-1])
            crew.tick()


def ran(crew: Crew, what: dict[str, Any]) -> None:
    """Run a pass on which the crew saw this, until its advice is open."""
    while crew.prompt.id == "advice":
        crew.say([choice.id for choice in crew.prompt.choices if not choice.why_not][-1])
    if crew.prompt.id == "ran":
        crew.say("ran", ["nothing"])
        if crew.prompt.id == "verdict":
            crew.say("other")
    crew.tell(**what)
    while crew.prompt.id != "advice":
        crew.say("unknown" if crew.prompt.unknown else "all ok")


def turned_by_hand(crew: Crew, lever: str, to_count: float) -> None:
    """Turn a lever with its partner outside any advice, and stand at the line again."""
    one = crew.fitted[lever]
    for key in (lever, *([one.partner] if one.partner else [])):
        if crew.state.settings[key] != to_count:
            crew.do("already turned", adjuster=key, now=f"{to_count:g}")
    while crew.prompt.id != "ran":
        ids = [choice.id for choice in crew.prompt.choices if not choice.why_not]
        crew.say("all ok" if crew.prompt.kind == "tick" else "leave" if "leave" in ids else ids[-1])
    crew.say("ran")


@pytest.mark.parametrize("upward", [True, False])
@pytest.mark.parametrize("lever", sorted(with_bars().fitted))
def test_what_brought_a_danger_is_never_advised_again(lever: str, upward: bool) -> None:
    """Whatever lever it was: nothing leads back to the settings that landed hard."""
    crew = with_bars()
    good_pass(crew)
    one, before = crew.fitted[lever], crew.state.settings[lever]
    there = before + one.up(upward) * one.step
    assert one.holds(there)
    turned_by_hand(crew, lever, there)
    crew.tell(verdict="other", symptoms=["front-drops-hard"], front_travel="at-stop", stand="small")
    danger = dict(crew.run.settings)
    turned_by_hand(crew, lever, before)
    crew.tell(verdict="other", symptoms=["it-is-good"], stand="small")
    again = [
        Turn(adjuster=key, before=now, after=danger[key])
        for key, now in crew.state.settings.items()
        if now != danger[key]
    ]
    assert again
    assert "never back to what showed danger" in never_back(crew.state, again)
