"""A crew that knows the weight, the wheelbase and the knobs of its car, and nothing else."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from drive import BOOK, Clock, counted_ids, counted_names
from textual.pilot import Pilot

from profiles.logbook import Logbook
from profiles.paths import DataFolder
from tui.desk import Desk
from tui.screens.new_car import NewCarApp

KNOWS_ONLY = (
    *"Coupe", "enter", "1", "0", "2", "0",  # name, US, no axle, no bars, no tyre
    *"3200", "enter", *"108", "enter", "1", "0",  # weight, wheelbase, full soft, turn not known
    "1", "3", "4", "enter", *"18", "enter", "8", "enter", *"18", "enter", "9", "enter",
    *"12", "enter", "5", "enter",  # three knobs in front
    "1", "2", "enter", *"18", "enter", "9", "enter", *"18", "enter", "7", "enter",  # two behind
    "1", "1",  # enough; make the file
)  # fmt: skip
PROMPTS, PRESSES = 22, 55


@asynccontextmanager
async def describing(folder: DataFolder) -> AsyncIterator[tuple[NewCarApp, Pilot[bool], Desk]]:
    """Describe a car on the screen, in a folder where another may be half described."""
    with Logbook.open(folder.draft_log(), "tests") as log:
        first = log.state.events + 1
        desk = Desk(log, BOOK, Clock(), counted_ids(first), counted_names())
        app = NewCarApp(desk, settle_s=0)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            yield app, pilot, desk


async def press(app: NewCarApp, pilot: Pilot[bool], *keys: str) -> None:
    """Press keys, and wait for what they set to work."""
    await pilot.press(*keys)
    await pilot.pause()
    while list(app.workers):
        await app.workers.wait_for_complete()
        await pilot.pause()
