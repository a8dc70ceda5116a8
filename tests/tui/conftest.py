"""What the tests of this room share."""

from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest
from drive import Rig, at_the_screen, make_desk

from tui.cli import main
from tui.desk import Desk


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
