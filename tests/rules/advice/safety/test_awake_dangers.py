"""A danger is remembered with the settings it was seen with, whatever is asked for afterwards.

No put-back and no undo leads to a setting at least as lively without saying so first and asking; no
advice ever does. Common practice, no source.
"""

from typing import Any

import pytest

from rules.advice.safety.awake_dangers import never_back
from rules.advice.safety.work_gates import asked_first
from rules.car.adjusters import Turn
from rules.crew.form_ends import LeftAsItStands
from rules.crew.forms import FORMS
from rules.question import ActionError, AnswerError, Prompt
from tests.support.crew import Crew, invented_car
from tests.support.dangers import (
    BOGS,
    LAUNCH,
    LIMITER,
    OVER,
    REBOUND,
    over_and_lowered,
    to,
    with_bars,
)

HIGH = tuple(f"{side} front high-speed compression" for side in ("left", "right"))


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
