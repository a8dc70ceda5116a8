"""The way in and the way out of every application, on every system."""

import asyncio
import signal
from pathlib import Path
from typing import Any

import pytest
from drive import make_desk, screen_text
from textual.app import App

from tui.app import SetdownApp
from tui.pick import PickApp

APPS = {"pit": lambda: SetdownApp(make_desk(), settle_s=0), "pick": lambda: PickApp(["coupe"])}
SHOWS = {"pit": "what did the car do?", "pick": "Which car?"}


@pytest.fixture(params=APPS)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def refuse(*_: object) -> None:
    raise NotImplementedError


async def test_a_loop_that_takes_no_handlers_is_no_reason_to_show_nothing(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asyncio.get_running_loop(), "add_signal_handler", refuse)
    monkeypatch.delattr(signal, "SIGHUP", raising=False)
    app: App[Any] = APPS[name]()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert SHOWS[name] in screen_text(app)


async def test_a_polite_signal_ends_it(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    handlers: dict[int, Any] = {}
    loop = asyncio.get_running_loop()
    monkeypatch.setattr(loop, "add_signal_handler", handlers.__setitem__)
    app: App[Any] = APPS[name]()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert handlers.keys() >= {signal.SIGTERM}
        handlers[signal.SIGTERM]()
        await pilot.pause()
    assert (app.return_code, app.return_value) == (0, None)


async def test_ctrl_c_leaves_at_once(name: str) -> None:
    app: App[Any] = APPS[name]()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+c")
    assert (app.return_code, app.return_value) == (0, None)


def test_no_test_is_lost_on_a_system_without_terminals() -> None:
    """A module that Windows lacks is asked for in a way that skips."""
    for path in Path(__file__).parents[1].rglob("test_*.py"):
        lines = path.read_text("utf-8").splitlines()
        for module in ("fcntl", "pty", "termios", "resource", "pwd"):
            assert f"import {module}" not in lines, path
