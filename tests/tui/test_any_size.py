"""Whatever size a window is dragged to, the screen draws itself and loses nothing."""

import pytest
from drive import at_the_screen
from roads import BY_NAME

from tests.support.sample import sampled
from tui.screens.small import is_small

SIZES = (
    (40, 12), (132, 40), (60, 20), (20, 5), (80, 24), (110, 30), (79, 24), (109, 29), (200, 60),
    (60, 60), (200, 20), (1, 1), (80, 24),
)  # fmt: skip
SCREENS = (
    "advice", "work order", "before the pass", "tick list", "60-foot", "form", "note", "slip",
    "survey", "shop",
)  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("name", sampled([(one,) for one in SCREENS], 2))
async def test_no_size_of_the_window_ends_the_program(name: str) -> None:
    road = BY_NAME[name]
    async with at_the_screen(road.desk()) as rig:
        await rig.keys(*road.press, "right")
        first = rig.desk.prompt.id
        for size in SIZES:
            await rig.pilot.resize_terminal(*size)
            await rig.pilot.pause()
            shown = rig.text
            assert ("too small" in " ".join(shown.split())) == is_small(*size) or size[0] < 20
        assert rig.desk.prompt.id == first
        assert rig.events() == []
