"""What a hand is told starts from where the knob stands now, and the book keeps up with it."""

from typing import Any

import pytest

from rules.crew.actions import DeclareBaseline
from rules.crew.forms import declare_baseline
from rules.question import Prompt
from tests.support.crew import LEVERS, Crew, invented_car, knob

CARRY: dict[str, Any] = {"stand": "big", "bars": "none", "carry": "long"}
LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}
LEFT, RIGHT = (f"{side} front rebound" for side in ("left", "right"))
HIGH_LEFT, HIGH_RIGHT = (f"{side} front high-speed compression" for side in ("left", "right"))


def of(crew: Crew, adjuster: str) -> tuple[float, float]:
    step = next(s for s in crew.last.steps if s.turn.adjuster == adjuster)
    return step.to_go.before, step.to_go.after


def test_evened_out_a_knob_is_turned_back_from_where_it_stands() -> None:
    rebound = knob("rebound", "rebound", clicks=12, start=5)
    crew = Crew(invented_car(front=[rebound]))
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.advice.title.endswith("2 clicks firmer")
    crew.say("make", "done", "stops early")
    assert crew.prompt.subject == RIGHT
    crew.say("6")
    crew.say("all ok", "even out")
    assert crew.prompt.subject == LEFT
    assert of(crew, LEFT) == (7, 6)
    assert crew.last.title.endswith("1 click firmer")
    crew.say("done")
    assert crew.state.settings == {**crew.state.settings, LEFT: 6, RIGHT: 6}
    crew.do("undo last change", knowing=True)
    assert of(crew, LEFT) == (6, 5)
    crew.tick()
    assert crew.off == {}


def test_the_question_names_the_turn_it_is_about() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make")
    assert crew.prompt.subject == HIGH_LEFT
    crew.say("stops early")
    assert (crew.prompt.id, crew.prompt.subject) == (f"reached:{HIGH_LEFT}", HIGH_LEFT)
    assert crew.last.next_step is not None
    assert crew.last.next_step.turn.adjuster == HIGH_RIGHT


def test_an_own_change_names_its_axle() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front low-speed compression", now="7")
    wanted = "Own change: Front low-speed compression, both sides: 2 clicks softer"
    assert crew.last.title == wanted


def raised(stand: str) -> Crew:
    """Return a crew whose launch rpm is put back up after a pass with a stand."""
    crew = Crew()
    crew.tell(symptoms=["front-carries"], **{**CARRY, "stand": stand})
    while crew.prompt.id != "advice":
        crew.say("unknown")
    crew.say("leave" if crew.advice.turns or crew.advice.kind == "inspect" else "ok")
    crew.do("already turned", adjuster="launch rpm", now="4000")
    while crew.prompt.kind == "tick":
        crew.say("all ok")
    crew.do("put back to baseline", knowing=True)
    return crew


@pytest.mark.parametrize(
    ("stand", "says"), [("dangerous", "over {24 in"), ("big", "over {12 in"), ("none", "too hard")]
)
def test_putting_launch_rpm_back_after_a_stand_says_so_before_and_after(
    stand: str, says: str
) -> None:
    crew = raised(stand)
    assert crew.prompt.id == "turn:launch rpm"
    assert "4000 rpm to 4200 rpm lets the front rise more" in crew.prompt.notice
    assert says in crew.prompt.notice
    crew.say("done")
    crew.tell()
    assert crew.off == {}
    assert crew.prompt.id == "symptoms"
    assert says in crew.prompt.notice


def test_a_lever_that_was_changed_is_counted_before_the_next_turn() -> None:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    crew.tell(symptoms=["spins-at-hit"], what_else=["tyre-pressure"], **SPINS)
    crew.say("control")
    assert crew.prompt.id == "recount:rear tyre pressure"
    crew.say("14")
    assert crew.state.settings["rear tyre pressure"] == 14
    assert [run.in_doubt for run in crew.state.runs] == [(), ("rear tyre pressure",)]
    assert crew.prompt.id == "symptoms"


@pytest.mark.parametrize("said", ["", "unknown"])
def test_a_lever_that_nobody_can_count_stays_as_in_the_book(said: str) -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], what_else=["launch-rpm"], **SPINS)
    crew.say("control")
    assert crew.say(said).id == "symptoms"
    assert crew.off == {}
    assert crew.run.in_doubt == ()


def test_back_from_the_count_opens_the_advice_again() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], what_else=["launch-rpm"], **SPINS)
    crew.say("control")
    assert crew.prompt.id == "recount:launch rpm"
    assert crew.back().id == "advice"


def split() -> Crew:
    crew = Crew()
    crew.do("recount", adjuster=LEFT, found="7")
    assert crew.prompt.id == f"pair:{LEFT}"
    assert "left and right differ by 2 clicks" in crew.prompt.question
    return crew


def test_a_broken_pair_is_put_right_by_a_work_order() -> None:
    crew = split()
    assert crew.say("put right").id == f"turn:{LEFT}"
    crew.say("done")
    assert crew.off == {}
    assert crew.prompt.id == "symptoms"


def test_a_broken_pair_is_kept_or_asked_about_later() -> None:
    crew = split()
    assert crew.say("keep").id == "symptoms"
    crew.tell(symptoms=["front-carries"], **CARRY)
    assert crew.prompt.id == "advice"
    crew = split()
    assert crew.say("later").id == "symptoms"
    assert crew.say(["front-carries"]).id == f"pair:{LEFT}"


def test_a_pair_counted_on_both_sides_is_not_asked_about() -> None:
    crew = split()
    assert crew.do("recount", adjuster=RIGHT, found="7").id == "symptoms"


def test_a_baseline_of_what_is_not_proved_says_so() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left rear rebound", now="11")
    crew.do("report damage", found="loose")
    asked = declare_baseline(crew.state, crew.book, {})
    assert isinstance(asked, Prompt)
    assert "unproved change: Own change: Rear rebound" in asked.hint
    assert "A fault stands: Reported: something is loose" in asked.hint
    filled = declare_baseline(crew.state, crew.book, {"name": "Now"})
    assert filled == DeclareBaseline(name="Now")
    crew.do("declare baseline", name="Now")
    assert crew.off == {}


def unseen(crew: Crew) -> None:
    crew.tell(symptoms=["spins-at-hit"])
    while crew.prompt.id != "advice":
        crew.say("unknown")


def test_what_stays_unseen_on_two_passes_is_not_asked_for_the_same_way() -> None:
    crew = Crew()
    unseen(crew)
    first = crew.advice
    assert first.kind == "measure"
    assert first.why.startswith("It decides whether this is right: ")
    crew.say("ok")
    unseen(crew)
    assert crew.advice.kind != "measure"
    assert crew.advice.look_for != first.look_for


def test_the_makers_minimum_that_is_missing_is_asked_for() -> None:
    pressure = {key: value for key, value in LEVERS[1].items() if key != "makers_minimum"}
    crew = Crew(invented_car(front=[], rear=[], levers=[pressure]))
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    assert crew.advice.kind == "ladder"
    assert "add makers_minimum" in crew.advice.cause
    assert not [line for line in crew.advice.lines if "tyre pressure" in line.lower()]


def test_a_work_order_says_when_there_is_no_time_for_it() -> None:
    crew = Crew(invented_car(front=[knob("rebound", "rebound", minutes=5, lift_car=True)]))
    crew.tell(symptoms=["front-carries"], **CARRY)
    crew.say("make")
    assert crew.prompt.notice == ""
    crew.do("minutes to call", minutes=3)
    assert "needs 15 min on stands" in crew.prompt.notice
    assert "a lifted car is never hurried" in crew.prompt.notice


def test_the_advice_behind_what_is_open() -> None:
    crew = Crew()
    assert crew.state.current_advice is None
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    given = crew.advice
    assert crew.state.current_advice == given
    crew.say("make")
    assert crew.state.current_advice == given
    crew.tick()
    assert crew.state.current_advice == given
    crew.do("put back to baseline", knowing=True)
    assert crew.state.current_advice is None
