"""Answers, actions and forms that do not fit are refused in words, and change nothing."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.book import shipped
from rules.car.adjusters import adjusters
from rules.crew.actions import Action, AddNote, act
from rules.crew.forms import FORMS
from rules.crew.loop import answer
from rules.crew.open_question import next_step
from rules.question import ActionError, AnswerError, Prompt, check
from tests.support.crew import Crew, invented_car

CARRY: dict[str, Any] = {"stand": "big", "bars": "none", "carry": "long"}
KNOB = "left front high-speed compression"


def at(prompt: str) -> Crew:
    """Return a crew before whom this prompt is open."""
    crew = Crew()
    if prompt == "meeting":
        crew.state = type(crew.state)()
        return crew
    road: list[Any] = [["front-drops-hard"], ["nothing"], "small", "at-stop", "all ok", "make"]
    road += ["stops early"] if prompt.startswith("reached") else ["done", "done", "ran"]
    road += [["nothing"], "better"]
    while crew.prompt.id != prompt:
        crew.say(road.pop(0))
    return crew


def test_the_same_state_is_asked_about_once() -> None:
    """The log makes a state anew that an answer has imagined already."""
    crew = at("stand")
    assert next_step(replace(crew.state), crew.book) is next_step(crew.state, crew.book)
    told = replace(crew.state, session="eliminations")
    assert told != crew.state
    assert next_step(told, crew.book) is not next_step(crew.state, crew.book)


MISFITS: list[tuple[str, Any, str]] = [
    ("meeting", ("a", "b"), "wanted some text"),
    ("symptoms", (), "wanted at least one of it-is-good"),
    ("symptoms", ("front-flies",), "found 'front-flies'; wanted one of"),
    ("stand", "tall", "stand: found 'tall'; wanted one of none, small, big, dangerous, unknown"),
    ("stand", "x" * 10_000, "..."),
    ("inspect:hard-landing", "fine", "'all ok', or marks by item"),
    ("inspect:hard-landing", {"wings": "ok"}, "items among pan-and-fluids"),
    ("inspect:hard-landing", {"toe": "maybe"}, "marks ok, fault or not fitted"),
    ("advice", "skip control", "wanted one of make, leave"),
    (f"turn:{KNOB}", "undone", "wanted one of not-yet, done"),
    (f"reached:{KNOB}", "99", "whole clicks, 0 to 18"),
    (f"reached:{KNOB}", "1/2", "whole clicks, 0 to 18"),
    (f"reached:{KNOB}", "half", "whole clicks, 0 to 18"),
    ("sixty-foot", 9.0, "wanted 0.8 to 4 s"),
    ("sixty-foot", "quick", "wanted 0.8 to 4 s"),
    ("sixty-foot", float("nan"), "wanted 0.8 to 4 s"),
]


@pytest.mark.parametrize(("prompt", "value", "message"), MISFITS)
def test_a_misfit_names_the_prompt_what_was_found_and_what_is_wanted(
    prompt: str, value: Any, message: str
) -> None:
    crew = at(prompt)
    before = len(crew.log)
    with pytest.raises(AnswerError) as caught:
        crew.say(value)
    assert message in str(caught.value)
    assert len(str(caught.value)) < 900
    assert (len(crew.log), crew.prompt.id) == (before, prompt)


def test_an_answer_to_a_prompt_that_is_not_open_is_refused() -> None:
    crew = at("stand")
    with pytest.raises(AnswerError, match="the open one is 'stand'"):
        answer(crew.state, crew.book, "verdict", "gone", crew.new_id)


@pytest.mark.parametrize(("typed", "name"), [("not-yet", "not-yet"), (" ", "Test day")])
def test_a_meeting_may_have_any_name(typed: str, name: str) -> None:
    crew = at("meeting")
    crew.say(typed)
    assert crew.state.meeting is not None
    assert crew.state.meeting.name == name


@given(st.text(min_size=1, max_size=300))
def test_any_text_is_kept_as_typed(text: str) -> None:
    crew = Crew()
    crew.record(act(crew.state, crew.book, AddNote(text=text), crew.new_id))
    assert crew.state.notes[-1].text == text


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"action": "recount", "adjuster": "left wing", "found": "1"}, "wanted one of left front"),
    ({"action": "recount", "adjuster": "left front rebound", "found": "19"}, "0 to 18"),
    ({"action": "already turned", "adjuster": "left front rebound", "now": "9"}, "already"),
    ({"action": "undo last change"}, "no change on the car"),
    ({"action": "put back to baseline"}, "stands at the baseline 'Car file' already"),
    ({"action": "override", "reason": "mood"}, "wanted one of no-time"),
    ({"action": "override", "reason": "no-time"}, "nothing here can be overridden"),
    ({"action": "report damage", "found": "ghosts"}, "wanted one of fluid"),
    ({"action": "correct", "run": 7, "prompt": "stand", "value": "big"}, "wanted 1 to 0"),
]


@pytest.mark.parametrize(("action", "message"), REFUSED)
def test_an_action_that_cannot_be_taken_says_why(action: dict[str, Any], message: str) -> None:
    crew = Crew()
    with pytest.raises(ActionError) as caught:
        crew.do(**action)
    assert message in str(caught.value)
    assert crew.prompt.id == "symptoms"


def test_what_waits_for_the_work_order() -> None:
    crew = at(f"turn:{KNOB}")
    with pytest.raises(ActionError, match="is not finished"):
        crew.do("declare baseline", name="Now")


def test_a_pair_that_cannot_follow_says_so() -> None:
    crew = Crew()
    crew.do("recount", adjuster="right rear rebound", found="17")
    with pytest.raises(ActionError, match="right rear rebound cannot follow"):
        crew.do("already turned", adjuster="left rear rebound", now="12")


def test_a_correction_must_fit_its_prompt() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], **CARRY)
    with pytest.raises(ActionError, match="pass 1 answered symptoms, what-else"):
        crew.do("correct", run=1, prompt="on-lift", value="sinks")
    with pytest.raises(ActionError, match="stand: found 'tall'"):
        crew.do("correct", run=1, prompt="stand", value="tall")


def test_the_pass_being_judged_is_not_overridden() -> None:
    crew = at("verdict")
    with pytest.raises(ActionError, match="finish its prompts first"):
        crew.do("override", reason="no-time")


SPRINGS = {"id": "front spring", "kind": "spring", "axle": "front"} | {
    "positions": ["light", "middle", "stiff"],
    "start": "middle",
}
TURNS = {"id": "rebound", "controls": "rebound", "turns": 2, "count_from": "full soft", "start": 1}


def test_settings_are_read_and_shown_as_the_crew_says_them() -> None:
    fitted = adjusters(invented_car(front=[TURNS], levers=[SPRINGS]))
    knob, spring = fitted["left front rebound"], fitted["front spring"]
    assert [knob.show(v) for v in (0, 3, 8, 11)] == ["0", "3/8", "1", "1 3/8"]
    assert [knob.parse(t) for t in ("1 3/8", "1.5", "2")] == [11, 12, 16]
    assert [knob.show_steps(s) for s in (2, -8, 12)] == ["1/4 turn", "1 turn", "1 1/2 turns"]
    assert spring.parse("stiff") == 2
    assert [spring.show(v) for v in (0, 2, 9)] == ["light", "stiff", "position 10"]
    assert spring.show_steps(1) == "1 position"
    with pytest.raises(ValueError, match="wanted one of light, middle, stiff"):
        spring.parse("hard")
    with pytest.raises(ValueError, match="steps of 1/8"):
        knob.parse("1/3")


@pytest.mark.parametrize("typed", ["", " ", "\t\n"])
def test_no_text_is_no_setting(typed: str) -> None:
    fitted = adjusters(invented_car(front=[TURNS], levers=[SPRINGS]))
    for one in fitted.values():
        with pytest.raises(ValueError, match=r"found '.*', wanted"):
            one.parse(typed)


FILLED: list[tuple[str, list[Any], dict[str, Any]]] = [
    ("note", ["hot today"], {"text": "hot today"}),
    ("recount", ["left rear rebound", "8"], {"adjuster": "left rear rebound", "found": "8"}),
    (
        "already turned",
        ["left rear rebound", "one", "8"],
        {"adjuster": "left rear rebound", "now": "8", "sides": "one"},
    ),
    ("put back", ["last"], {"knowing": False}),
    ("put back", ["baseline"], {"knowing": False}),
    ("declare baseline", ["Evening"], {"name": "Evening"}),
    ("override", ["other", "rain"], {"reason": "other", "text": "rain"}),
    ("override", ["driver"], {"reason": "driver", "text": ""}),
    ("report damage", ["fluid"], {"found": "fluid"}),
    ("session", ["qualifying"], {"session": "qualifying"}),
    ("meeting", ["Another"], {"name": "Another", "again": False}),
    ("minutes to call", [25.0], {"minutes": 25}),
    ("minutes to call", ["unknown"], {"minutes": None}),
    (
        "correct",
        ["1", "stand", "small"],
        {"run": 1, "prompt": "stand", "value": "small", "keep": False},
    ),
]


@pytest.mark.parametrize(("form", "values", "fields"), FILLED)
def test_a_form_asks_until_it_can_act(form: str, values: list[Any], fields: dict[str, Any]) -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], **CARRY)
    crew.say("leave")
    crew.do("already turned", adjuster="left rear rebound", now="10")
    filled: dict[str, Any] = {}
    for value in values:
        step = FORMS[form](crew.state, crew.book, filled)
        assert isinstance(step, Prompt)
        filled[step.id] = value
    step = FORMS[form](crew.state, crew.book, filled)
    assert not isinstance(step, Prompt)
    action: Action = step
    assert {k: v for k, v in action.model_dump().items() if k != "action"} == fields
    assert act(crew.state, shipped(), action, crew.new_id)


def test_text_past_its_length_is_refused_and_never_cut() -> None:
    prompt = Prompt("name", "Name?", "text", longest=60)
    assert check(prompt, "x" * 60) == "x" * 60
    with pytest.raises(AnswerError, match="name: found 61 characters; wanted at most 60"):
        check(prompt, "x" * 61)


def test_a_decimal_comma_is_a_decimal_point() -> None:
    prompt = Prompt("sixty-foot", "60-foot?", "number", low=0.8, high=4.0)
    assert check(prompt, "1,31") == 1.31
