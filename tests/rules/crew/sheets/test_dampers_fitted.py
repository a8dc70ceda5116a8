"""Dampers fitted, described, sent away, and springs: what is asked, what is said of bad input."""

from typing import Any

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.model import Car
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.rounds import filling, open_field
from rules.question import ActionError
from tests.rules.crew.sheets.test_dampers import valved
from tests.support.crew import LEVERS, Crew, invented_car

TRAVEL = {
    "front": {"bump_travel": 0.06, "droop_travel": 0.08, "motion_ratio": 0.9},
    "rear": {"bump_travel": 0.06, "droop_travel": 0.08, "motion_ratio": 0.9},
}
SPRING = {
    "id": "front spring", "kind": "spring", "axle": "front", "positions": ["200", "250"],
    "start": "200",
}  # fmt: skip


def travelled(**more: Any) -> Crew:
    """Return a crew whose car says 140 mm at the wheel, 126 mm at the damper."""
    raw = invented_car(**more).model_dump(by_alias=True)
    return Crew(Car.parse({**raw, **TRAVEL}))


def asked(crew: Crew) -> str:
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    return one.key if one else ""


def say(crew: Crew, *answers: str) -> None:
    for value in answers:
        crew.do("answer sheet", sheet="dampers", key=asked(crew), value=value)


def refused(crew: Crew, value: str, words: str) -> None:
    key = asked(crew)
    before = dict(filling(DAMPERS, crew.state).answers)
    with pytest.raises(ActionError, match=words):
        crew.do("answer sheet", sheet="dampers", key=key, value=value)
    assert filling(DAMPERS, crew.state).answers == before


def a_pair(crew: Crew, stroke: str = "130 mm", serials: tuple[str, str] = ("17", "18")) -> None:
    """Fit a new pair at the front, its counts read, the old baseline kept by its name."""
    say(crew, "fitted", "front", "new", "Invented maker", serials[0], stroke)
    if asked(crew).endswith("kept"):
        say(crew, "keep")
    say(crew, "later", "new", "yes", serials[1])
    say(crew, "18", "18", "18")
    say(crew, *("4", "5", "6") * 2)
    say(crew, "keep")
    crew.do("finish sheet", sheet="dampers")


def test_a_pair_goes_on_with_its_counts_and_the_old_baseline_by_its_name() -> None:
    crew = travelled()
    a_pair(crew)
    known = crew.state.dampers
    assert known.name(known.at("left front")) == "Invented maker 17"
    assert known.name(known.at("right front")) == "Invented maker 18"
    assert known.records[known.at("right front")].stroke_m == pytest.approx(0.13)
    assert crew.state.settings["right front high-speed compression"] == 6
    assert crew.state.baseline is not None
    assert crew.state.baseline.name == "Car file"
    assert crew.off == {}
    assert crew.prompt.id == "inspect:damper-fitted"
    assert crew.say("all ok").id == "symptoms"
    say(crew, "fitted", "left front", "first left front", "18", "18", "18")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    assert one.hint == "From full soft, 0 to 18. It came off at 9."


def test_a_stroke_shorter_than_the_travel_is_said_kept_and_holds_the_pass() -> None:
    crew = travelled()
    a_pair(crew, stroke="110 mm")
    says = " ".join(one.says for one in open_blocks(crew.state, crew.book))
    assert "is shorter than the travel there is" in says
    assert crew.state.dampers.records[crew.state.dampers.at("left front")].stroke_m == 0.11


def test_a_hose_on_the_tyre_side_is_said_and_holds_the_pass() -> None:
    crew = travelled()
    say(crew, "described", "left front", "Invented maker", "17", "130 mm", "now")
    say(crew, "380 mm", "250 mm", "mono tube", "150 psi, noted 2031", "on a hose", "inner fender")
    say(crew, "tyre side")
    assert [one.inspection for one in open_blocks(crew.state, crew.book)] == ["damper-fitted"]


def test_a_closed_length_that_leaves_no_room_for_the_stroke_is_said() -> None:
    crew = travelled()
    say(crew, "described", "trailer", "Invented maker", "17", "130 mm", "now", "380 mm")
    refused(crew, "300 mm", "leaves 80 mm; wanted room for its stroke")
    refused(crew, "390 mm", "wanted less than its open length")


def test_a_serial_used_twice_is_said() -> None:
    crew = travelled()
    a_pair(crew)
    crew.say("all ok")
    say(crew, "described", "trailer", "Invented maker")
    refused(crew, "17", "found 17, which Invented maker 17 has, on the left front")
    other = travelled()
    say(other, "fitted", "front", "new", "Invented maker", "17", "130 mm", "later", "new", "yes")
    refused(other, "17", "found 17 twice")


def test_a_damper_named_at_two_corners_is_said() -> None:
    crew = travelled()
    a_pair(crew)
    crew.say("all ok")
    say(crew, "fitted", "front", "first left front")
    refused(crew, "first left front", "at the left front too; wanted one damper for each corner")


def test_counts_above_the_new_ends_are_said_and_new_ends_go_into_the_file() -> None:
    crew = travelled()
    say(crew, "fitted", "left front", "new", "Invented maker", "17", "130 mm", "later")
    refused(crew, "0", "wanted a number from 1 to 200 clicks$")
    say(crew, "12", "18", "18")
    refused(crew, "13", "found 13; wanted 0 to 12, counted from full soft")
    say(crew, "12", "", "4")
    refused(crew, "keep", "a count that is not read yet")
    say(crew, "later")
    edits = DAMPERS.result(filling(DAMPERS, crew.state)).edits
    assert [(one.label, one.value) for one in edits] == [("left front rebound: clicks", 12.0)]


def test_a_service_date_in_the_future_is_said_and_sending_leaves_the_corner_bare() -> None:
    crew = travelled()
    say(crew, "service", "first left front", "sent")
    refused(crew, "2031-06-01", "found 2031-06-01, which is still to come")
    refused(crew, "soon", "wanted a date as 2031-05-04")
    say(crew, "2031-05-04", "seals")
    crew.do("finish sheet", sheet="dampers")
    assert crew.state.dampers.bare == ["left front"]
    assert crew.prompt.id == "inspect:damper-fitted"
    assert "Nothing stands at the left front" in crew.prompt.notice + crew.prompt.hint + str(
        crew.prompt
    )
    say(crew, "service", "first left front", "back", "today", "seals done")
    crew.do("finish sheet", sheet="dampers")
    assert crew.state.dampers.away == {}


def test_springs_by_a_lever_are_one_change_and_without_one_too() -> None:
    crew = travelled(levers=[*LEVERS, SPRING])
    say(crew, "springs", "front", "250", "later")
    crew.do("finish sheet", sheet="dampers")
    assert crew.last.title == "Own change: Front spring: 200 to 250, stiffer"
    assert crew.prompt.id == "inspect:springs-changed"
    assert crew.say("all ok").id == "ran"
    other = travelled()
    say(other, "springs", "rear", "red", "200 lb/in")
    say(other, *(["keep"] if asked(other).endswith("kept") else []), "new", "Red springs")
    other.do("finish sheet", sheet="dampers")
    assert other.state.dampers.springs_on("rear") == "red"
    assert other.state.baseline is not None
    assert other.state.baseline.name == "Red springs"
    assert other.last.title == "Rear springs: red in"
    assert other.say("all ok").id == "ran"


def test_tables_of_the_dampers_that_came_off_are_told() -> None:
    crew = Crew(valved())
    say(crew, "fitted", "left front", "new", "Invented maker", "17", "130 mm", "later")
    said = " ".join(DAMPERS.result(filling(DAMPERS, crew.state)).says)
    assert "The dyno tables in the car file are of the dampers that came off" in said
