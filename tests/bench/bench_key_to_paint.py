"""How long a key takes to the paint it causes, idle and while launches are worked out in a thread.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_key_to_paint``. It reports and
asserts nothing. The screen runs headless at 80x24: a key enters where a terminal's would, and the
clock stops when the application hands the driver the next update to write; what the terminal then
takes to draw it is not in it. The first working out also brings numpy in, so it is measured in
fresh processes of its own.
"""

import asyncio
import gc
import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from textual import events

sys.path.insert(0, str(Path(__file__).parents[1] / "tui"))

from drive import DEMO, Rig, at_the_screen, make_desk
from roads import NAMED, TICKED, answers

from rules.question import Given
from tui.pages.what_if import PAGES
from tui.screens.what_if import WhatIfScreen

SAMPLES = 200
FRESH = 12
GAP_S = 0.03
LONGEST_S = 2.0


class Paints:
    """Notes when the application hands an update to the driver."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.last = 0.0
        self.painted = asyncio.Event()
        real = rig.app._display

        def display(*args: object) -> None:
            real(*args)  # type: ignore[arg-type]
            self.last = time.perf_counter()
            self.painted.set()

        rig.app._display = display  # type: ignore[method-assign]

    async def key(self, key: str) -> float | None:
        """Press a key; return the time to the next paint [s], None where none came."""
        self.painted.clear()
        start = time.perf_counter()
        driver = self.rig.app._driver
        assert driver is not None
        driver.send_message(events.Key(key, key if len(key) == 1 else None))
        try:
            await asyncio.wait_for(self.painted.wait(), LONGEST_S)
        except TimeoutError:
            return None
        return self.last - start


@contextmanager
def launching(cars: int) -> Iterator[None]:
    """Work launches out again and again in a thread of this process meanwhile."""
    from rules.car.adjusters import starts
    from rules.launch.cloud.car_cloud import LaunchCars, launch_cars
    from rules.launch.mechanics import launch_many

    cloud = launch_cars(DEMO, starts(DEMO), cars)
    assert isinstance(cloud, LaunchCars)
    done = threading.Event()

    def work() -> None:
        while not done.is_set():
            launch_many(cloud.cars, trace_s=0.02)

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


async def at_the_pit(samples: int) -> list[float]:
    """Move the mark through the first question."""
    async with at_the_screen(make_desk()) as rig:
        return await pressed(Paints(rig), lambda n: "down" if n % 12 < 6 else "up", samples)


async def at_the_counts(samples: int) -> list[float]:
    """Open the counts and leave them again: a whole screen each time."""
    async with at_the_screen(make_desk()) as rig:
        return await pressed(Paints(rig), lambda n: ("k", "escape")[n % 2], samples)


async def there_and_back(samples: int, *road: Given) -> list[float]:
    """Answer the question at the end of a road, and go back to it."""
    desk = make_desk()
    answers(*road)(desk)
    async with at_the_screen(desk) as rig:
        return await pressed(Paints(rig), lambda n: ("1", "backspace")[n % 2], samples)


async def at_the_drawings(samples: int) -> list[float]:
    """Turn the pages of a what-if once all of them are worked out."""
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("f", "1", "plus")
        screen = rig.app.screen
        assert isinstance(screen, WhatIfScreen)
        await rig.keys(*(["tab"] * len(PAGES)))
        while screen.busy:
            await asyncio.sleep(GAP_S)
        return await pressed(Paints(rig), lambda n: "tab", samples)


async def while_working(samples: int) -> list[float]:
    """Turn the pages while the count is moved on; only keys pressed while it worked count."""
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("f", "1", "plus")
        screen = rig.app.screen
        assert isinstance(screen, WhatIfScreen)
        paints, found, upward = Paints(rig), [], True
        while len(found) < samples:
            if not screen.busy:
                await paints.key("plus" if upward else "minus")
                upward = not upward
                await asyncio.sleep(GAP_S)
            taken = await paints.key("tab")
            if taken is not None and screen.busy:
                found.append(taken)
            await asyncio.sleep(GAP_S)
        return found


async def the_first_time() -> list[float]:
    """Turn the pages during the first working out of a process, numpy's import in it."""
    async with at_the_screen(make_desk()) as rig:
        await rig.pilot.press("f")
        await rig.pilot.pause()
        screen = rig.app.screen
        assert isinstance(screen, WhatIfScreen)
        paints = Paints(rig)
        await paints.key("1")
        found = []
        while screen.busy:
            taken = await paints.key("tab")
            if taken is not None:
                found.append(taken)
            await asyncio.sleep(GAP_S)
        return found


async def while_advised(*keys: str) -> list[float]:
    """Tick an inspection, close it, and press keys in turn until the advice about it is there.

    Keys that draw something: after one that changes nothing the next paint is a timer's.
    """
    from rules.launch.model import launch_model

    desk = make_desk()
    desk.model = launch_model
    answers(*NAMED)(desk)
    async with at_the_screen(desk) as rig:
        for choice in desk.prompt.choices:
            await rig.choose(choice.id)
        paints, found = Paints(rig), []
        await paints.key("enter")
        assert desk.is_advice_due
        while desk.is_advice_due:
            for key in keys:
                taken = await paints.key(key)
                if taken is not None and desk.is_advice_due:
                    found.append(taken)
                await asyncio.sleep(GAP_S)
        return found


async def pressed(paints: Paints, key: Callable[[int], str], samples: int) -> list[float]:
    """Press keys one after another, with a gap between."""
    found: list[float] = []
    for number in range(samples):
        taken = await paints.key(key(number))
        if taken is not None:
            found.append(taken)
        await asyncio.sleep(GAP_S)
    return found


FIRSTS = {
    "what-if": the_first_time,
    "advice": lambda: while_advised("9"),
    "advice, counts": lambda: while_advised("k", "escape"),
}


def in_fresh_processes(name: str) -> list[float]:
    """Return the times of something's first working out, over several processes."""
    found: list[float] = []
    command = [sys.executable, "-m", "tests.bench.bench_key_to_paint", name]
    for _ in range(FRESH):
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        found += json.loads(done.stdout)
    return found


def report(name: str, times: list[float]) -> None:
    """Print one row."""
    if not times:
        print(f"{name:52s} none")
        return
    ordered = sorted(times)

    def at(share: float) -> float:
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))] * 1000

    print(f"{name:52s} {len(ordered):5d} {at(0.5):8.1f} {at(0.95):8.1f} {ordered[-1] * 1000:8.1f}")


def main() -> None:
    """Print the table."""
    gc.freeze()  # As the program does once a car is open.
    if len(sys.argv) > 1:
        print(json.dumps(asyncio.run(FIRSTS[sys.argv[1]]())))
        return
    if hasattr(os, "getloadavg"):
        print(f"load average at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    print(f"{'key to paint, ms':52s} {'keys':>5s} {'p50':>8s} {'p95':>8s} {'most':>8s}")
    report("pit screen, idle", asyncio.run(at_the_pit(SAMPLES)))
    report("a question to the next, and back", asyncio.run(there_and_back(SAMPLES, *NAMED[:2])))
    report("advice to work order, and back", asyncio.run(there_and_back(SAMPLES, *TICKED)))
    report("what-if drawings, idle", asyncio.run(at_the_drawings(SAMPLES)))
    report("what-if drawings, while it works out 2 x 64", asyncio.run(while_working(SAMPLES)))
    report("the same, the first time in a process", in_fresh_processes("what-if"))
    report("pit screen, while the first advice is worked out", in_fresh_processes("advice"))
    report("counts opened and left, idle", asyncio.run(at_the_counts(SAMPLES)))
    report("the same, during the first advice", in_fresh_processes("advice, counts"))
    for cars in (64, 512):
        with launching(cars):
            report(
                f"pit screen, {cars} launches at a time in a thread",
                asyncio.run(at_the_pit(SAMPLES)),
            )


if __name__ == "__main__":
    main()
