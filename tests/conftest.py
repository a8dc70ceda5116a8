"""What holds for every test: none of them is timed; a sweep draws more, and some by lot."""

import gc
import sys

import pytest
from hypothesis import is_hypothesis_test, settings

from tests.support.sample import LONG, SWEEP, by_lot, many

# The same examples every time, so that a run means something; overnight others are drawn.
SAME = not many(0, 1)
settings.register_profile("untimed", deadline=None, max_examples=30, derandomize=SAME)
settings.register_profile(SWEEP, deadline=None, max_examples=many(40, 60), derandomize=SAME)


def is_swept(item: pytest.Item) -> bool:
    return item.get_closest_marker(SWEEP) is not None


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile(SWEEP if config.option.markexpr == SWEEP else "untimed")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Run drawn tests in the sweep as well where they draw more there, overnight all of them.

    Of the rest a sweep takes some by lot, overnight all of it; and every long test, always.
    """
    if config.option.markexpr != SWEEP:
        return
    long = [one for one in items if one.get_closest_marker(LONG) and not is_swept(one)]
    for item in items:
        drawn = isinstance(item, pytest.Function) and is_hypothesis_test(item.obj)
        if drawn and (many(0, 1) or getattr(item.obj, "draws_more", False)):
            item.add_marker(SWEEP)
    if many(1, 0):
        taken = by_lot([item for item in items if is_swept(item)])
        taken |= {item.nodeid for item in long}
        config.hook.pytest_deselected(items=[one for one in items if one.nodeid not in taken])
        items[:] = [item for item in items if item.nodeid in taken]
    for item in long:
        item.add_marker(SWEEP)


def pytest_collection_finish() -> None:
    """Launch the same cars once for all tests, and leave what was imported out of every search
    for garbage: all of it lives to the end.
    """
    if "rules.launch.mechanics.run" in sys.modules:
        from tests.support.launch import launched_once

        launched_once.install()
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
