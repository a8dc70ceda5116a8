"""A damper's life in the log: where it stands, what is counted again, what evidence is of."""

from datetime import date
from typing import Any

import pytest

from rules.advice.earlier_passes import passes_that_speak
from rules.advice.record import record
from rules.advice.safety.awake_dangers import awake_at, is_awake
from rules.advice.safety.dangers import dangers
from rules.advice.safety.gates import open_blocks
from rules.advice.timed_passes import pass_times
from rules.asked import Topic
from rules.car.damper_record import DamperRecord
from rules.crew.damper_doubts import doubts
from rules.crew.forms import FORMS
from rules.log.events.car import CarDescribed
from rules.log.events.dampers import (
    DamperDescribed,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
from rules.log.events.event import Body
from rules.log.events.passes import PassRun
from rules.log.other_parts import is_evidence, other_parts
from rules.log.way_back import last_change
from tests.support.crew import FRONT, Crew, invented_car, knob

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
FRONTS = ("left front", "right front")
COUNTS = {"rebound": 4.0, "low-speed compression": 5.0, "high-speed compression": 6.0}


def fitted(job: str, names: tuple[str, str] = ("new left", "new right")) -> list[Body]:
    """Return the events of a pair of front dampers that goes on, with its counts."""
    return [
        DamperFitted(
            job=job,
            damper=name,
            corner=corner,
            counts={f"{corner} {key}": count for key, count in COUNTS.items()},
        )
        for corner, name in zip(FRONTS, names, strict=True)
    ]


def judged() -> Crew:
    """Return a crew with a judged change of the front's compression, and a good pass after it."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **LANDING)
    assert is_evidence(crew.state, crew.last)
    return crew


def inspected(crew: Crew) -> None:
    while crew.prompt.kind == "tick":
        crew.say("all ok")


def test_older_evidence_at_the_corner_is_set_aside_and_comes_back_with_the_parts() -> None:
    crew = judged()
    assert passes_that_speak(crew.state)
    crew.record(fitted("j1"))
    assert other_parts(crew.state, crew.last).startswith("of the parts before: Left front: ")
    assert not is_evidence(crew.state, crew.last)
    assert record(crew.state, crew.book).changes == ()
    assert passes_that_speak(crew.state) == ()
    crew.record(fitted("j2", ("first left front", "first right front")))
    assert is_evidence(crew.state, crew.last)
    assert passes_that_speak(crew.state)


def test_evidence_at_the_other_end_stays() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", tyre_hit="under", rear_motion="squats")
    assert is_evidence(crew.state, crew.last)
    crew.record(fitted("j1"))
    assert is_evidence(crew.state, crew.last)


def test_counts_read_are_taken_and_what_was_not_read_is_counted() -> None:
    crew = Crew()
    crew.record(fitted("j1"))
    assert crew.state.settings["left front rebound"] == 4.0
    assert not crew.state.to_recount
    job = DamperFitted(job="j2", damper="x", corner="left rear", counts={})
    crew.record([job])
    assert set(crew.state.to_recount) == {"left rear compression", "left rear rebound"}
    assert crew.prompt.id == "recount:left rear compression"


def test_the_left_is_counted_before_the_right_whichever_left_its_count_open_first() -> None:
    for corners in (("left front", "right front"), ("right front", "left front")):
        crew = Crew()
        for at in corners:
            crew.record([DamperOpened(job="j1", damper=f"first {at}", corner=at)])
        asked = []
        while crew.prompt.id.startswith("recount:"):
            asked.append(crew.prompt.id.removeprefix("recount:"))
            crew.say("4")
        assert asked == [key for key in crew.state.fitted if key in asked]
        assert asked[0].startswith("left front")


def test_the_car_does_not_run_before_the_list_is_ticked_once_for_both_sides() -> None:
    crew = Crew()
    crew.record(fitted("j1"))
    assert [one.inspection for one in open_blocks(crew.state, crew.book)] == ["damper-fitted"]
    assert crew.prompt.id == "inspect:damper-fitted"
    assert crew.say("all ok").id == "symptoms"


def test_a_change_that_waited_waits_no_more() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], **LANDING)
    crew.make()
    assert crew.prompt.id == "ran"
    crew.record(fitted("j1"))
    assert crew.state.open_change is None


def test_a_damper_fitted_elsewhere_leaves_its_corner_bare() -> None:
    crew = Crew()
    crew.record([DamperFitted(job="j", damper="first right front", corner="left front")])
    known = crew.state.dampers
    assert known.where("first right front") == "left front"
    assert known.bare == ["right front"]
    assert "Nothing stands at the right front" in " ".join(
        one.says for one in open_blocks(crew.state, crew.book)
    )


def test_a_damper_is_sent_away_and_comes_back_as_another_inside() -> None:
    crew = judged()
    crew.record([DamperDescribed(damper=DamperRecord(id="first left front", serial="17"))])
    away = DamperServiced(
        job="s1", damper="first left front", what="sent", on=date(2031, 5, 1), note="seal"
    )
    crew.record([away])
    assert crew.state.dampers.bare == ["left front"]
    back = away.model_copy(update={"job": "s2", "what": "back", "on": date(2031, 5, 3)})
    crew.record([back])
    assert [one.serial for one in crew.state.dampers.in_trailer] == ["17"]
    assert crew.state.dampers.records["first left front"].serviced == date(2031, 5, 3)
    crew.record([DamperFitted(job="j", damper="first left front", corner="left front")])
    assert not is_evidence(crew.state, crew.last)
    kinds = [job.what for job in crew.state.dampers.of_damper("first left front")]
    assert kinds == ["serviced", "serviced", "fitted"]


def test_springs_set_the_axles_evidence_aside() -> None:
    crew = judged()
    crew.record([SpringChanged(job="s", axle="front", name="250")])
    assert not is_evidence(crew.state, crew.last)
    assert crew.prompt.id == "inspect:springs-changed" or crew.prompt.kind == "tick"
    crew.record([SpringChanged(job="t", axle="front", name="springs as first described")])
    assert is_evidence(crew.state, crew.last)


def edited(clicks: int) -> list[Body]:
    """Return the events of a car file in which both front rebounds have other clicks."""
    car = invented_car(front=[knob("rebound", "rebound", clicks=clicks, start=4), *FRONT[1:]])
    return [CarDescribed(car=car), *doubts(invented_car(), car)]


@pytest.mark.parametrize("means", ["same", "another", "opened"])
def test_clicks_edited_in_the_car_file_are_asked_about(means: str) -> None:
    crew = judged()
    crew.record(edited(12))
    assert crew.prompt.id == "other-damper:left front"
    assert "rebound 18 clicks, now 12" in crew.prompt.question
    crew.say(means)
    assert not crew.state.dampers.doubts
    asked = [one.inspection for one in open_blocks(crew.state, crew.book)]
    wanted = {"same": [], "another": ["damper-fitted"], "opened": ["damper-opened"]}[means]
    assert [one for one in asked if one.startswith("damper-")] == wanted
    assert bool(crew.state.to_recount) == (means != "same")


def test_a_log_from_before_any_of_this_has_no_jobs_and_asks_nothing() -> None:
    crew = judged()
    known = crew.state.dampers
    assert (known.jobs, known.doubts, known.parts, known.bare) == ((), {}, {}, [])
    assert known.at("left front") == "first left front"
    assert known.name("first left front") == "the one that was on the left front"


def test_a_danger_on_other_dampers_is_not_proved_gentler_by_their_counts() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big")
    inspected(crew)
    danger = next(iter(dangers(crew.state)))
    firmer = {**crew.state.settings, "left front rebound": 15.0, "right front rebound": 15.0}
    assert not is_awake(crew.state, danger, firmer)
    crew.record(fitted("j1"))
    danger = next(iter(dangers(crew.state)))
    assert is_awake(crew.state, danger, firmer)
    assert awake_at(crew.state, firmer) is not None
    inspected(crew)
    assert crew.prompt.notice.startswith("This pass was made with other dampers or springs")
    crew.say("leave")
    crew.tell(symptoms=["it-is-good"], stand="small")
    assert awake_at(crew.state, crew.state.settings) is None
    assert awake_at(crew.state, firmer) is not None


def test_times_with_other_parts_are_no_clean_times_until_they_are_back() -> None:
    crew = Crew()
    for seconds in (1.41, 1.42):
        crew.tell(symptoms=["it-is-good"], stand="small")
        crew.do("slip", sixty=seconds)
        crew.say("ok")
    meeting = crew.state.meeting_id
    assert [one.clean for one in pass_times(crew.state, meeting)] == [True, True]
    crew.record(fitted("j1"))
    assert [one.clean for one in pass_times(crew.state, meeting)] == [False, False]
    crew.record(fitted("j2", ("first left front", "first right front")))
    assert [one.clean for one in pass_times(crew.state, meeting)] == [True, True]


def test_the_way_back_says_when_its_baseline_is_of_other_dampers() -> None:
    crew = Crew()
    assert "counts of other parts" not in str(FORMS["put back"](crew.state, crew.book, {}))
    crew.record(fitted("j1"))
    asked = FORMS["put back"](crew.state, crew.book, {})
    assert "Car file (counts of other parts: left front, right front)" in str(asked)
    crew.do("declare baseline", name="On the new ones")
    assert "counts of other parts" not in str(FORMS["put back"](crew.state, crew.book, {}))


def test_what_was_turned_on_dampers_that_are_off_is_not_undone_on_others() -> None:
    crew = judged()
    change = last_change(crew.state)
    assert change is not None
    crew.record(fitted("j1"))
    assert last_change(crew.state) is None
    crew.record(fitted("j2", ("first left front", "first right front")))
    assert last_change(crew.state) == crew.state.change(change.id)


def test_dampers_that_were_fitted_are_not_asked_about_again() -> None:
    """The sheet puts the new clicks into the file first, which raises the doubt, then fits."""
    crew = Crew()
    crew.record(edited(12))
    assert set(crew.state.dampers.doubts) == set(FRONTS)
    crew.record(fitted("j1"))
    assert crew.state.dampers.doubts == {}
    assert crew.prompt.id == "inspect:damper-fitted"


@pytest.mark.parametrize("name", ["Car file", "Sunday"])
def test_another_damper_by_the_file_leads_to_its_baseline_once_it_is_counted(name: str) -> None:
    """Its name alone keeps the old one, with the new counts in it; what else is off stays off."""
    crew = judged()
    assert crew.state.baseline is not None
    off = {key: by for key, by in crew.off.items() if not key.endswith("rebound")}
    crew.record(edited(12))
    crew.say("another")
    while crew.prompt.topic == Topic.RECOUNT:
        crew.say("5")
    assert crew.prompt.id == "other-baseline"
    assert crew.prompt.default == "Car file"
    crew.say(name)
    assert crew.prompt.id == "inspect:damper-fitted"
    now = crew.state.baseline
    assert now is not None
    assert now.name == name
    assert {now.settings[f"{side} rebound"] for side in FRONTS} == {5.0}
    fronts = {key for key in crew.state.fitted if "front" in key}
    assert not crew.off.keys() & fronts
    assert crew.off.keys() - fronts == (off.keys() - fronts if name == "Car file" else set())


def test_a_pass_run_before_it_is_said_leaves_the_baseline_as_it_was() -> None:
    """As in a log in which nobody was asked: `b` still names one."""
    crew = judged()
    crew.record(edited(12))
    crew.say("another")
    assert crew.state.dampers.baseline_due
    crew.record([PassRun(run="later")])
    assert not crew.state.dampers.baseline_due
