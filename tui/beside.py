"""Threads that work beside the screen and let it go first.

The interpreter takes the processor from a thread only when another one waited for it unbroken for
some milliseconds. The array library lets go and takes up again within a microsecond, which begins
that wait anew: a key could wait for 50 ms. So what works long hands the turn over by itself.
"""

from asyncio import AbstractEventLoop
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from threading import Event
from time import monotonic

from rules.giving_way import letting_on

STRETCH_S = 0.002
LONGEST_S = 0.05


class ScreenFirst:
    """Lets the event loop come round before its thread works on."""

    def __init__(self, loop: AbstractEventLoop) -> None:
        """Count from now."""
        self._loop, self._since = loop, monotonic()

    def __call__(self) -> None:
        """Wait for the loop, but not for long: it may itself wait for what this thread holds."""
        if monotonic() - self._since < STRETCH_S:
            return
        came_round = Event()
        with suppress(RuntimeError):  # A loop that is closed has nothing to draw.
            self._loop.call_soon_threadsafe(came_round.set)
            came_round.wait(LONGEST_S)
        self._since = monotonic()


def threads_beside(loop: AbstractEventLoop) -> ThreadPoolExecutor:
    """Return threads for the work beside a loop, all of which let it go first."""

    def begin() -> None:
        letting_on.set(ScreenFirst(loop))

    return ThreadPoolExecutor(thread_name_prefix="beside", initializer=begin)
