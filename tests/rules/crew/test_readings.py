"""Lane, air and track of a pass: what is kept, and what is refused."""

from typing import Any

import pytest

from rules.crew.readings import elevation_known
from rules.log.conditions import shown
from rules.passes.readings import READINGS
from rules.question import ActionError
from tests.support.crew import Crew, invented_car


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
@pytest.mark.parametrize("value", [-300, -3000, 1e9, float("nan"), float("inf")])
def test_a_slip_of_the_hand_is_refused(crew: Crew, key: str, value: float) -> None:
    if (key, value) == ("elevation", -300):
        pytest.skip("there is land 300 m below the sea")
    given: dict[str, Any] = {key: value}
    with pytest.raises(ActionError, match=f"{key}: found .*; wanted "):
        crew.do("conditions", **given)
    assert crew.run.conditions is None


def test_of_several_slips_the_first_reading_is_told(crew: Crew) -> None:
    for at, first in enumerate(READINGS):
        with pytest.raises(ActionError, match=f"^{first}: found"):
            crew.do("conditions", **dict.fromkeys(reversed([*READINGS][at:]), 1e9))


def test_the_elevation_is_remembered_at_the_meeting(crew: Crew) -> None:
    crew.do("conditions", pressure=1003, pressure_kind="sea-level barometer", elevation=420)
    crew.say(["nothing"], "ok", ["it-is-good"])
    crew.do("conditions", pressure=1002, pressure_kind="sea-level barometer")
    assert crew.run.number == 3
    assert noted(crew) == [
        "Air pressure 1002 hPa (sea-level barometer)",
        "Track elevation 420 m",
    ]
    crew.do("meeting", name="Another")
    assert elevation_known(crew.state) is None


def test_a_dew_point_takes_the_place_of_a_humidity(crew: Crew) -> None:
    crew.do("conditions", air_temperature=28, humidity=40)
    crew.do("conditions", dew_point=13)
    assert noted(crew) == ["Air temperature 28 C", "Dew point 13 C"]
    with pytest.raises(ActionError, match="dew_point: found 30; wanted at most the air temp"):
        crew.do("conditions", air_temperature=28, dew_point=30)
    with pytest.raises(ActionError, match="dew_point: found beside humidity"):
        crew.do("conditions", humidity=50, dew_point=13)


def test_a_pressure_without_its_kind_forgets_the_kind_before(crew: Crew) -> None:
    crew.do("conditions", pressure=1003, pressure_kind="station pressure")
    crew.do("conditions", pressure=900)
    assert noted(crew) == ["Air pressure 900 hPa"]


def test_nothing_said_and_no_pass_are_refused(crew: Crew) -> None:
    with pytest.raises(ActionError, match="found nothing; wanted the lane or a reading"):
        crew.do("conditions")
    with pytest.raises(ActionError, match="no pass is in the log yet"):
        Crew().do("conditions", lane="left")
