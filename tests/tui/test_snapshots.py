"""Pictures of the screens: a change of what a crew sees is a change somebody meant."""

from collections.abc import Callable

import pytest
from drive import Rig
from roads import BY_NAME
from textual.pilot import Pilot

from tui.app import SetdownApp

Compare = Callable[..., bool]
SIZES = {"large": (80, 24), "small": (60, 20)}


@pytest.mark.parametrize(
    ("name", "size", "theme"),
    [
        ("prompt", "large", "sunlight"),
        ("page 2", "large", "night"),
        ("tick list", "large", "sunlight"),
        ("advice", "large", "sunlight"),
        ("advice", "large", "night"),
        ("advice", "small", "sunlight"),
        ("work order", "large", "sunlight"),
        ("work order", "small", "night"),
        ("settle", "large", "sunlight"),
        ("before the pass", "large", "sunlight"),
        ("60-foot", "large", "night"),
        ("counts", "large", "sunlight"),
        ("log", "large", "night"),
        ("why", "large", "sunlight"),
        ("help", "large", "sunlight"),
        ("help", "small", "night"),
        ("form", "large", "sunlight"),
        ("resumed", "large", "sunlight"),
        ("shop", "large", "sunlight"),
        ("survey", "large", "sunlight"),
        ("survey found", "large", "sunlight"),
        ("fit list", "large", "sunlight"),
        ("fit list", "small", "night"),
        ("what if: damper", "large", "sunlight"),
        ("what if: launch", "large", "night"),
        ("what if: car", "large", "sunlight"),
        ("what if: landing", "small", "night"),
        ("slip", "large", "sunlight"),
        ("slip asked back", "small", "night"),
        ("verdict", "large", "sunlight"),
        ("air", "large", "night"),
        ("day: 60-foot", "large", "sunlight"),
        ("day: every pass", "small", "sunlight"),
    ],
)
def test_a_screen_looks_as_it_did(snap_compare: Compare, name: str, size: str, theme: str) -> None:
    road = BY_NAME[name]
    app = SetdownApp(road.desk(), settle_s=0, theme=theme)

    async def go(pilot: Pilot[None]) -> None:
        await pilot.pause()
        await Rig(app.desk, app, pilot).keys(*road.press)

    assert snap_compare(app, run_before=go, terminal_size=SIZES[size])


def test_a_window_too_small_looks_as_it_did(snap_compare: Compare) -> None:
    app = SetdownApp(BY_NAME["advice"].desk(), settle_s=0)
    assert snap_compare(app, terminal_size=(40, 12))
