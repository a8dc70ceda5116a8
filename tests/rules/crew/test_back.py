"""Back works at every question, and what was decided can be decided again."""

from typing import Any

from tests.support.crew import Crew

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


def test_back_through_a_whole_pass_to_its_beginning() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    seen = []
    while crew.state.runs:
        seen.append(crew.back().id)
    assert seen == ["front-travel", "stand", "what-else", "symptoms", "symptoms"]
    assert crew.back().id == "symptoms"


def test_back_out_of_a_work_order_to_its_advice() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    advice = crew.advice
    crew.say("make", "done", "done")
    assert crew.prompt.id == "ran"
    assert crew.back().id == "turn:right front high-speed compression"
    assert crew.back().id == "turn:left front high-speed compression"
    assert crew.off == {}
    assert crew.back().id == "advice"
    assert crew.last.status == "withdrawn"
    assert crew.advice.turns == advice.turns
    crew.make()
    assert crew.prompt.id == "ran"


def test_back_from_a_stopped_turn() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "done", "stops early")
    assert crew.prompt.id.startswith("reached:")
    crew.back()
    assert crew.prompt.id == "inspect:damper-damage"


def test_back_from_a_turn_out_of_reach() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("make", "done", "cannot reach")
    assert crew.prompt.id == "reach:right front high-speed compression"
    assert crew.back().id == "turn:right front high-speed compression"
    crew.say("cannot reach", "leave")
    assert crew.prompt.id == "settle"
    assert crew.back().id == "turn:right front high-speed compression"
    crew.say("cannot reach")
    assert crew.prompt.id == "reach:right front high-speed compression"


def test_back_from_a_pass_that_never_ran() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    assert crew.state.open_run is not None
    assert crew.back().id == "ran"
    assert [change.status for change in crew.state.changes] == ["applied"]
    assert len(crew.state.runs) == 1
    crew.say("ran")
    assert crew.run.number == 2


def test_back_after_leaving_the_car_as_it_is() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.say("leave")
    assert crew.prompt.id == "symptoms"
    assert crew.back().id == "advice"
    crew.make()
    assert crew.prompt.id == "ran"


def test_back_after_a_control_pass_was_agreed() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    spins = {"tyre_hit": "under", "rear_motion": "squats"}
    crew.tell(what_else=["burnout"], symptoms=["spins-at-hit"], **spins)
    crew.say("control")
    assert crew.prompt.id == "ran"
    assert crew.back().id == "advice"


def test_back_out_of_a_put_back_not_begun() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left rear rebound", now="11")
    crew.do("undo last change")
    assert crew.back().id == "ran"
    assert set(crew.off.values()) == {2}


def test_an_inspection_asked_by_a_rule_is_asked_no_more_when_the_answer_was_wrong() -> None:
    crew = Crew()
    crew.tell(symptoms=["nose-stays-high"], on_lift="stays-up")
    crew.say("inspect")
    assert crew.prompt.id == "inspect:binding"
    assert crew.back().id == "on-lift"
    crew.say("sinks", "small")
    assert crew.advice.kind == "turn"


def test_a_rules_inspection_ticked_clean_leads_on() -> None:
    crew = Crew()
    crew.tell(symptoms=["nose-stays-high"], on_lift="stays-up")
    crew.say("inspect", "all ok")
    assert crew.prompt.id == "stand"
    assert crew.say("small").id == "front-travel"
    crew.say("short-soft")
    assert crew.advice.kind != "inspect"


def test_back_says_nothing_where_a_report_blocks() -> None:
    crew = Crew()
    crew.do("report damage", found="fluid")
    assert crew.back().id == "inspect:fluid-leak"


def test_a_measurement_can_be_passed_over_and_taken_back() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="unknown", bars="none", carry="long")
    first = crew.advice.kind
    if first == "measure":
        crew.say("skip measure")
        assert crew.advice.kind != "measure"
    crew.back()
    assert crew.prompt.id != "advice"
