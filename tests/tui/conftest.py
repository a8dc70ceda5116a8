"""What the tests of this room share."""

from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest
from drive import Rig, at_the_screen, make_desk
from quiet import install
from roads import timed_day

import rules.launch.car_numbers
import rules.launch.what_if
from tests.support.once import once
from tui.app import SetdownApp
from tui.cli import main
from tui.desk import Desk


@pytest.fixture(autouse=True)
def no_idle_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pilot waits until the screen is quiet, not until the process has been idle for a while."""
    install(monkeypatch)


@pytest.fixture(autouse=True)
def one_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever terminal runs the tests, the screens are drawn for one with 256 colours."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture(autouse=True)
def launched_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same question to the launch model is worked out once for all tests of the screen."""
    for module, name in (
        (rules.launch.what_if, "what_if"),
        (rules.launch.car_numbers, "car_numbers"),
    ):
        monkeypatch.setattr(module, name, once(getattr(module, name)))


@pytest.fixture
def desk() -> Desk:
    """A desk on a log in memory, at the first question about a pass."""
    return make_desk()


@pytest.fixture
async def rig(desk: Desk) -> AsyncIterator[Rig]:
    """The screen at 80 by 24 in front of that desk."""
    async with at_the_screen(desk) as rig:
        yield rig


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    return tmp_path / "log.sqlite3"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def run(data: Path) -> Callable[..., int]:
    """Run a command on a data folder of its own."""
    return lambda *args: main(["--data", str(data), *map(str, args)])


@pytest.fixture
def a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the screen commands find a terminal, which a test has none of."""
    monkeypatch.setattr("tui.cli.at_a_terminal", lambda: True)


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[SetdownApp]:
    """Collect the screens that would have been opened."""
    apps: list[SetdownApp] = []
    monkeypatch.setattr(SetdownApp, "run", lambda app, **_: apps.append(app))
    return apps


@pytest.fixture
def timed() -> Desk:
    """A desk at the end of a day with slips."""
    desk = make_desk()
    timed_day(desk)
    return desk
