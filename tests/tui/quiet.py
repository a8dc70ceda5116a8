"""Waiting until a screen has nothing left to do, without looking at a clock.

The framework's own pilot waits after every key until the process has been idle for twenty
milliseconds; here a wait ends when no widget has a message, a callback or a repaint left.
A screen is painted when a test looks at it, not at every step on the way, which nobody sees. A
style sheet is read once for all screens of a run, as the framework does for all of one program.
"""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from time import monotonic
from typing import Any

import pytest
from textual._compositor import Compositor
from textual._context import active_app, visible_screen_stack
from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input

PATIENCE_S = 20.0
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
    """Wait until nothing is left to do on the screen, however slow the machine is."""
    app = active_app.get()
    end = monotonic() + max(max_sleep, PATIENCE_S)
    quiet = 0
    while quiet < QUIET_TURNS and monotonic() < end:
        await asyncio.sleep(0)
        quiet = 0 if is_busy(app) else quiet + 1
        if quiet == QUIET_TURNS and paint(app):
            quiet = 0


async def screen_is_quiet(self: Pilot[Any], timeout: float = PATIENCE_S) -> bool:
    """Wait until the screen is quiet, where the framework has every widget answer a message."""
    await until_quiet(timeout)
    return True


def of_its_app(method: Callable[..., Awaitable[Any]]) -> Callable[..., Awaitable[Any]]:
    """Return a pilot's method that waits for the pilot's own application, whoever calls it."""

    async def called(self: Pilot[Any], *args: Any) -> Any:
        active_app.set(self.app)
        return await method(self, *args)

    return called


RULES: dict[Any, list[RuleSet]] = {}
read_rules = Stylesheet._parse_rules


def rules_read_once(self: Stylesheet, *args: Any, **named: Any) -> list[RuleSet]:
    """Return the rules of a sheet; the same text under the same theme is read once."""
    key = (args, *sorted(named.items()), frozenset(self._variables.items()))
    if key not in RULES:
        RULES[key] = read_rules(self, *args, **named)
    return RULES[key]


class NoTimer:
    """Stands for the timer that paints between two looks: a wait for quiet does that."""

    def pause(self) -> None: ...

    def resume(self) -> None: ...


paint_now = Compositor.render_update


def paint_later(
    self: Compositor, full: bool = False, screen_stack: Any = None, simplify: bool = False
) -> Any:
    """Leave painting to who looks at it, but for the whole screen, or what is drawn by painting."""
    plots = any(getattr(one, "_needs_rerender", False) for one in self.visible_widgets)
    if full or plots:
        return paint_now(self, full, screen_stack, simplify)
    visible_screen_stack.set(screen_stack or [])
    self._dirty_regions.clear()
    return None


def install(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every pilot wait until its screen is quiet, painted by who looks; read a sheet once."""
    # A cursor that blinks would make a picture hang on the clock.
    monkeypatch.setattr(Input, "_toggle_cursor", lambda self: None)
    monkeypatch.setattr(Stylesheet, "_parse_rules", rules_read_once)
    monkeypatch.setattr(Compositor, "render_update", paint_later)
    monkeypatch.setattr(Screen, "_update_timer", NoTimer())
    for module in ("textual.app", "textual.pilot"):
        monkeypatch.setattr(f"{module}.wait_for_idle", until_quiet)
    monkeypatch.setattr(Pilot, "_wait_for_screen", screen_is_quiet)
    for name in ("press", "pause"):
        monkeypatch.setattr(Pilot, name, of_its_app(getattr(Pilot, name)))
