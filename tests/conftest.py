"""What holds for every test: none of them is timed, and a sweep draws every example."""

import pytest
from hypothesis import settings

from tests.support.sample import SWEEP

settings.register_profile("untimed", deadline=None)
settings.register_profile(SWEEP, settings.get_profile("untimed"))


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile(SWEEP if config.option.markexpr == SWEEP else "untimed")
