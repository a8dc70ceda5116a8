"""Every action is found by its name, run by it, and told on the help of the screen it is of."""

import pytest
from drive import Rig, at_the_screen
from roads import ROADS, Road
from test_contrast import colours, palette
from textual.command import CommandPalette

from tests.support.sample import by_name, sampled
from tui.desk import Desk
from tui.keys import KEYS
from tui.named_actions import NamedActions, named_actions
from tui.screens.log import LogScreen
from tui.screens.sheet import SheetScreen
from tui.screens.what_if import WhatIfScreen
from tui.widgets.key_row import KeyRow


async def test_the_palette_knows_every_key_of_the_registry_by_its_help(rig: Rig) -> None:
    provider = NamedActions(rig.app.screen)
    names = {name for name, _ in provider._named()}
    assert {key.help for key in KEYS} <= names
    assert not any("palette" in name.lower() for name in names)


async def test_an_action_is_run_by_its_name(rig: Rig) -> None:
    await rig.keys("ctrl+p", *"all that was rec")
    assert isinstance(rig.app.screen, CommandPalette)
    assert "The log: all that was recorded" in rig.text
    await rig.keys("down", "enter")
    assert isinstance(rig.app.screen, LogScreen)
    assert rig.events() == []


@pytest.mark.long
async def test_the_palette_of_another_screen_has_its_actions(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l")
        names = {name.lower() for name, _ in NamedActions(rig.app.screen)._named()}
        assert {"find a pass, a knob, a word", "the whole log as text"} <= names
        await rig.keys("escape", "f", "1")
        assert isinstance(rig.app.screen, WhatIfScreen)
        names = {name.lower() for name, _ in NamedActions(rig.app.screen)._named()}
        assert {"move the count up or down", "another knob or lever"} <= names


async def test_help_is_of_the_screen_one_is_on(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l", "f1")
        assert "Type / and a word to find it" in rig.said
        await rig.keys("f1")
        assert isinstance(rig.app.screen, LogScreen)


@pytest.mark.parametrize(
    "road", sampled([(road,) for road in ROADS if road.name != "help"], 6), ids=by_name
)
async def test_the_help_lists_the_keys_that_work_and_no_other(road: Road) -> None:
    """The same registry as the foot and the palette; nothing of the framework's own."""
    async with at_the_screen(road.desk(), size=(80, 60)) as rig:
        await rig.keys(*road.press)
        named = list(named_actions(rig.app.screen))
        foot = {one.description for one in rig.app.screen.query_one(KeyRow).shown}
        labels = {one.binding.description for _, one in named}
        await rig.keys("f1")
        listed = rig.said
        assert [name for name, _ in named if name not in listed] == []
        assert foot <= labels
        assert not any(word in listed.lower() for word in ("palette", "screenshot", "cursor"))


@pytest.mark.long
@pytest.mark.parametrize("theme", ["sunlight", "night"])
@pytest.mark.parametrize("keys", [("ctrl+p", *"air"), ("l", "f1"), ("l", "slash", *"spin")])
async def test_palette_help_and_search_can_be_read(
    timed: Desk, theme: str, keys: tuple[str, ...]
) -> None:
    async with at_the_screen(timed, theme=theme) as rig:
        await rig.keys(*keys)
        assert colours(rig) <= palette(rig)


async def test_what_stands_behind_a_menu_is_found_by_its_name_and_opened(rig: Rig) -> None:
    names = [name for name, _, _ in NamedActions(rig.app.screen)._all()]
    assert "Back up everything in one file" in names
    await rig.keys("ctrl+p", *"travel surv")
    assert "Shop: Travel survey" in rig.text
    await rig.keys("down", "enter")
    assert isinstance(rig.app.screen, SheetScreen)
    await rig.keys("escape", "escape")
    assert "what did the car do?" in rig.said
