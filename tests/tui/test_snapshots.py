"""Pictures of the screens: a change of what a crew sees is a change somebody meant."""

from collections.abc import Callable

import pytest
from drive import Rig
from roads import BY_NAME, PICTURES
from test_contrast import can_be_read
from textual.pilot import Pilot

from tui.app import SetdownApp

Compare = Callable[..., bool]
SIZES = {"large": (80, 24), "small": (60, 20)}


@pytest.mark.parametrize(("name", "size", "theme"), PICTURES)
def test_a_screen_looks_as_it_did(snap_compare: Compare, name: str, size: str, theme: str) -> None:
    road = BY_NAME[name]
    app = SetdownApp(road.desk(), settle_s=0, theme=theme)

    async def go(pilot: Pilot[None]) -> None:
        await pilot.pause()
        rig = Rig(app.desk, app, pilot)
        await rig.keys(*road.press)
        await can_be_read(rig)

    assert snap_compare(app, run_before=go, terminal_size=SIZES[size])


def test_a_window_too_small_looks_as_it_did(snap_compare: Compare) -> None:
    app = SetdownApp(BY_NAME["advice"].desk(), settle_s=0)
    assert snap_compare(app, terminal_size=(40, 12))
