"""The 60-foot question asks a far time back on the screen: letters answer, digits never."""

import pytest
from drive import Rig
from test_flows_beside import to_verdict

from rules.crew.pass_actions import NoteSlip


@pytest.fixture
async def asked(rig: Rig) -> Rig:
    """A pass before the change at 1.310; then the one with it is said to have run 1.810."""
    await to_verdict(rig)
    rig.desk.act(NoteSlip(run=1, sixty=1.31))
    await rig.choose("better")
    assert rig.desk.prompt.id == "sixty-foot"
    await rig.type("1810")
    return rig


async def test_it_is_asked_back_and_letters_answer(asked: Rig) -> None:
    assert asked.desk.prompt.id == "sixty-foot-meant"
    assert "60 ft 1.810 is far from the 1 pass before, on other settings (1.310)" in asked.said
    for key in "123":
        await asked.keys(key)
        assert asked.desk.prompt.id == "sixty-foot-meant"
    await asked.keys("k")
    assert asked.desk.prompt.id != "sixty-foot-meant"
    assert asked.state.runs[-1].sixty_s == 1.81


async def test_enter_types_it_again(asked: Rig) -> None:
    await asked.keys("enter")
    assert asked.desk.prompt.id == "sixty-foot"
    await asked.type("1318")
    assert asked.state.runs[-1].sixty_s == 1.318
    assert asked.desk.prompt.id not in ("sixty-foot", "sixty-foot-meant")
