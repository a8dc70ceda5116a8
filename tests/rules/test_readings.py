"""Lane, air and track of a pass: what is kept, and what is refused."""

from typing import Any

import pytest
from crew import Crew, invented_car

from rules.actions import ActionError
from rules.readings import READINGS, shown


@pytest.fixture
def crew() -> Crew:
    """A crew that talks about its second pass."""
    crew = Crew()
    crew.say(["it-is-good"], ["nothing"], "ok", ["it-is-good"])
    assert crew.run.number == 2
    return crew


def noted(crew: Crew) -> list[str]:
    assert crew.run.conditions is not None
    return shown(crew.run.conditions)


def test_they_belong_to_the_pass_that_is_talked_about_or_to_the_last(crew: Crew) -> None:
    crew.do("conditions", lane="left")
    assert noted(crew) == ["Left lane"]
    crew.say(["nothing"], "ok")
    assert crew.state.open_run is None
    crew.do("conditions", track_temperature=38.5)
    assert noted(crew) == ["Left lane", "Track temperature 38.5 C"]
    assert crew.state.runs[0].conditions is None


def test_a_later_reading_replaces_the_one_before(crew: Crew) -> None:
    crew.do("conditions", air_temperature=28, humidity=40)
    crew.do("conditions", air_temperature=29, pressure=1003)
    assert noted(crew) == [
        "Air temperature 29 C",
        "Relative humidity 40 %",
        "Air pressure 1003 hPa",
    ]


def test_units_are_never_mixed(crew: Crew) -> None:
    crew.do("conditions", air_temperature=28, humidity=40)
    crew.record([crew.log[0].body.model_copy(update={"car": invented_car(units="us")})])
    crew.do("conditions", air_temperature=84)
    assert noted(crew) == ["Air temperature 84 F"]


def test_they_change_nothing_else(crew: Crew) -> None:
    crew.say(["nothing"])
    before = (crew.prompt, crew.advice)
    crew.do("conditions", lane="right", air_temperature=28)
    assert (crew.prompt, crew.advice) == before


@pytest.mark.parametrize("key", READINGS)
@pytest.mark.parametrize("value", [-300, 1e9, float("nan"), float("inf")])
def test_a_slip_of_the_hand_is_refused(crew: Crew, key: str, value: float) -> None:
    given: dict[str, Any] = {key: value}
    with pytest.raises(ActionError, match=f"{key}: found .*; wanted "):
        crew.do("conditions", **given)
    assert crew.run.conditions is None


def test_nothing_said_and_no_pass_are_refused(crew: Crew) -> None:
    with pytest.raises(ActionError, match="found nothing; wanted the lane or a reading"):
        crew.do("conditions")
    with pytest.raises(ActionError, match="no pass is in the log yet"):
        Crew().do("conditions", lane="left")
