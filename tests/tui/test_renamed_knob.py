"""A knob that the car file names no more: what was turned on it can still be read."""

import json

import pytest
from drive import DEMO, at_the_screen, make_desk
from roads import JUDGED, answers

from rules.car.model import Car
from rules.crew.actions import ACTION
from rules.log.standing import setting_text
from tui.commands.consult import as_json, as_lines
from tui.desk import Desk
from tui.lines import label_of, net_of
from tui.pages.log import log_page


def renamed(car: Car, sides: tuple[str, ...]) -> Car:
    """Return the car with the front rebound knobs of these sides called otherwise."""
    plain = json.loads(car.model_dump_json(by_alias=True))
    for damper in plain["dampers"]:
        if damper["corner"] in sides:
            damper["knobs"][0] |= {"id": "renamed", "pair": "none"}
        elif damper["corner"].endswith("front"):
            damper["knobs"][0] |= {"pair": "none"}
    return Car.model_validate(plain)


@pytest.fixture(params=[("left front", "right front"), ("right front",)], ids=["both", "one"])
def desk(request: pytest.FixtureRequest) -> Desk:
    """A desk whose change, pass and verdict came before its knob was renamed."""
    desk = make_desk()
    answers(*JUDGED, 1.31, "big", "a-little", "all ok")(desk)
    assert desk.prompt.id == "advice"
    desk.act(
        ACTION.validate_python({"action": "recount", "adjuster": "right front rebound", "found": 3})
    )
    desk.describe(renamed(DEMO, request.param))
    return desk


async def test_the_pages_show_it(desk: Desk) -> None:
    async with at_the_screen(desk) as rig:
        for key in "wlk":
            await rig.keys(key)
            assert rig.app.screen.query("#rows" if key == "l" else "#page"), rig.text
            await rig.keys("escape")
    page = " ".join("\n".join(log_page(desk)).split())
    assert "right front extension: 8 -> 11, net unknown, no more in the car file" in page
    assert "right front extension: 3, the book had 11." in page


def test_the_headless_twin_tells_it(desk: Desk) -> None:
    told = json.loads(as_json(desk, desk.log.events()))
    assert "right front rebound" not in told["settings"]
    assert as_lines(desk)


def test_an_adjuster_that_was_never_there_is_told_by_its_id() -> None:
    state = make_desk().state
    assert label_of(state, "some knob") == "some knob"
    assert setting_text(state, "some knob", 3.0) == "3"
    assert net_of(state, "some knob", 3.0) == "unknown, no more in the car file"
