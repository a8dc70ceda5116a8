"""What the tests of this room share."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest

from profiles.files import SHIPPED_CARS
from profiles.paths import DataFolder, data_folder

NOW = datetime(2031, 5, 4, 10, 30, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def ids() -> Callable[[], UUID]:
    """Identifiers one after another, the same in every test."""
    return counted()


@pytest.fixture
def fresh_ids() -> Callable[[int], Callable[[], UUID]]:
    """Make identifiers that begin at a number."""
    return counted


def counted(start: int = 1) -> Callable[[], UUID]:
    numbers = iter(range(start, 10**9))
    return lambda: UUID(int=next(numbers))


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    return data_folder(tmp_path / "data")


@pytest.fixture
def demo_text() -> str:
    return (SHIPPED_CARS / "demo.toml").read_text("utf-8")
