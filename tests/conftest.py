"""What holds for every test: none of them is timed, and a sweep draws more examples."""

import gc

import pytest
from hypothesis import is_hypothesis_test, settings

from tests.support.sample import SWEEP, many

settings.register_profile("untimed", deadline=None, max_examples=30)
settings.register_profile(SWEEP, deadline=None, max_examples=many(40, 60))


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile(SWEEP if config.option.markexpr == SWEEP else "untimed")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Run drawn tests in the sweep as well where they draw more there, overnight all of them."""
    if config.option.markexpr == SWEEP:
        for item in items:
            drawn = isinstance(item, pytest.Function) and is_hypothesis_test(item.obj)
            if drawn and (many(0, 1) or getattr(item.obj, "draws_more", False)):
                item.add_marker(SWEEP)


def pytest_collection_finish() -> None:
    """Leave what was imported out of every search for garbage: all of it lives to the end."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
