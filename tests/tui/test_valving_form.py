"""Another valving by the key t, and by `consult`: one road to one change."""

from typing import Any

import pytest
from drive import BOOK, START, at_the_screen, make_desk
from test_parity import normal

from rules.car.model import Car
from tests.support.dyno_tables import FIRM, SOFT
from tui.commands.consult import Answers, ConsultError, consult

KNOB = {
    "id": "rebound", "controls": "rebound", "clicks": 12, "start": 9, "count_from": "full soft",
    "rebound_dyno": SOFT,
}  # fmt: skip
LEVER = {
    "id": "front valving", "kind": "valving", "axle": "front", "start": "stack 1", "minutes": 60,
    "positions": ["stack 1", "stack 2"],
}  # fmt: skip
CAR = Car.parse(
    {"id": "invented", "name": "Invented car", "units": "metric", "rear_suspension": "other"}
    | {"dampers": [{"corner": f"{s} front", "knobs": [KNOB]} for s in ("left", "right")]}
    | {"stock": [{"kind": "valving", "axle": "front", "name": "stack 2", "rebound_dyno": FIRM}]}
    | {"levers": [LEVER], "invented": True}
)
MADE: list[dict[str, Any]] = [
    {"prompt": f"turn:{one}", "answer": "done"}
    for one in ("front valving", "left front rebound", "right front rebound")
]
WALKED = [*MADE, {"action": "put back to baseline"}, *MADE]


@pytest.mark.parametrize(
    ("keys", "action"),
    [
        ([], {"keep": "low speed"}),
        (["5"], {"keep": "counts as they are", "counts": {"left front rebound": "5"}}),
    ],
)
async def test_t_and_consult_make_the_same_change(keys: list[str], action: dict[str, Any]) -> None:
    desk = make_desk(car=CAR, meeting="Consultation")
    async with at_the_screen(desk) as rig:
        await rig.keys("t")
        await rig.choose("front valving")
        await rig.choose("stack 2")
        assert "kept at 51 mm/s, the settle: rebound 9 to 3" in rig.said
        await rig.choose("typed" if keys else "low speed")
        for text in keys:
            await rig.type(text)
        assert rig.message == "Recorded: the valving."
        assert "FRONT VALVING" in rig.said
        for step in WALKED:
            if "prompt" in step:
                assert rig.desk.prompt.id == step["prompt"]
                await rig.choose(step["answer"])
            else:
                await rig.keys("p", "2")
        steps = ({"action": "valving changed", "lever": "front valving", "to": "stack 2"} | action,)
        twin, events = consult(CAR, Answers(step=(*steps, *WALKED)), BOOK, clock=lambda: START)
        assert normal(desk.log.events()) == normal(events)
        assert desk.state.settings == twin.state.settings
        assert desk.state.baseline is not None
        assert dict(desk.state.settings) == desk.state.baseline.settings


def test_consult_refuses_a_valving_that_is_not_there() -> None:
    step = {"action": "valving changed", "lever": "front valving", "to": "stack 7"}
    with pytest.raises(ConsultError, match="wanted one of stack 1, stack 2"):
        consult(CAR, Answers(step=(step,)), BOOK, clock=lambda: START)
