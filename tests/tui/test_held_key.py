"""A key held down: an arrow walks on, anything that answers counts once."""

import pytest
from drive import Rig, make_desk

from tui.app import SetdownApp
from tui.widgets.asker import Asker

REPEAT_S = 0.03
"""How often a key that is held comes again; a keyboard's usual rate, from memory [s]."""


async def test_a_held_arrow_moves_on_and_a_held_digit_counts_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = [1000.0]
    monkeypatch.setattr("tui.widgets.pace.monotonic", lambda: now[0])
    desk = make_desk()
    app = SetdownApp(desk)
    async with app.run_test(size=(80, 24)) as pilot:
        rig = Rig(desk, app, pilot)
        asker = app.screen.query_one(Asker)
        now[0] += 10
        for place in range(5):
            await rig.keys("down")
            assert asker.cursor == place
            now[0] += REPEAT_S
        for place in (3, 2):
            await rig.keys("up")
            assert asker.cursor == place
            now[0] += REPEAT_S
        for _ in range(4):
            await rig.keys("2")
            now[0] += REPEAT_S
        assert len(asker.marked) == 1
