"""Days drawn by lot: no advice and no unasked order ends where a danger was seen."""

from typing import Any

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st

from rules.advice.safety.awake_dangers import never_back
from rules.car.adjusters import Turn
from rules.question import ActionError
from tests.support.crew import Crew
from tests.support.dangers import (
    BOGS,
    LAUNCH,
    LIMITER,
    REBOUND,
    good_pass,
    with_bars,
)
from tests.support.sample import examples

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
