"""Waiting until a screen has nothing left to do, without looking at a clock.

The framework's own pilot waits after every key until the process has been idle for twenty
milliseconds; here a wait ends when no widget has a message, a callback or a repaint left.
"""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from time import monotonic
from typing import Any

import pytest
from textual._context import active_app
from textual.app import App
from textual.message_pump import MessagePump
from textual.pilot import Pilot

QUIET_TURNS = 3
"""Turns of the event loop without work; a key takes one from the driver to the queue."""


def pumps(app: App[object]) -> Iterator[MessagePump]:
    yield app
    yield from app._registry


def is_busy(app: App[object]) -> bool:
    """Tell whether any widget has not yet come to the point where it waits for a message."""
    return any(
        not one._closed
        and (
            not one._is_mounted
            or one._next_callbacks
            or one._message_queue.values
            or not one._message_queue.ready_event._waiters
        )
        for one in list(pumps(app))
    )


def paint(app: App[object]) -> bool:
    """Repaint what has to be; False where there was nothing to do."""
    screen = app.screen_stack[-1] if app._running and app.screen_stack else None
    if screen is None or not screen.is_current or not screen._running or app._batch_count:
        return False
    due = (
        screen._layout_required
        or screen._repaint_required
        or screen._scroll_required
        or screen._dirty_widgets
        or screen._callbacks
    )
    if due:
        screen._on_timer_update()
    return bool(due)


async def until_quiet(min_sleep: float = 0, max_sleep: float = 1) -> None:
    """Wait until nothing is left to do on the screen, at most `max_sleep` seconds."""
    app = active_app.get()
    end = monotonic() + max_sleep
    quiet = 0
    while quiet < QUIET_TURNS and monotonic() < end:
        await asyncio.sleep(0)
        quiet = 0 if is_busy(app) else quiet + 1
        if quiet == QUIET_TURNS and paint(app):
            quiet = 0


def of_its_app(method: Callable[..., Awaitable[Any]]) -> Callable[..., Awaitable[Any]]:
    """Return a pilot's method that waits for the pilot's own application, whoever calls it."""

    async def called(self: Pilot[Any], *args: Any) -> Any:
        active_app.set(self.app)
        return await method(self, *args)

    return called


def install(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every pilot wait until its screen is quiet."""
    for module in ("textual.app", "textual.pilot"):
        monkeypatch.setattr(f"{module}.wait_for_idle", until_quiet)
    for name in ("press", "pause"):
        monkeypatch.setattr(Pilot, name, of_its_app(getattr(Pilot, name)))
