"""The cases of a walk: a sample that is the same in every run, the rest left to the sweep."""

import os
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from math import ceil
from typing import Any
from zlib import crc32

import pytest
from hypothesis import settings

SWEEP = "sweep"
"""The name of the marker, and of the profile under which it runs."""
LONG = "long"
"""The marker of a test that takes about a second: none of the default run, all of every sweep."""


def by_name(case: Any) -> str:
    """Return the name of a case, for the list of tests."""
    return str(case.name)


def sampled(cases: Iterable[tuple[Any, ...]], one_in: int) -> list[Any]:
    """Return every case as a parameter, all but one in so many marked for the sweep alone."""
    return [
        pytest.param(*case, marks=[pytest.mark.sweep] if number % one_in else [])
        for number, case in enumerate(cases)
    ]


ONE_IN = 6
"""Of the cases of each file that are the sweep's, one in so many is taken by lot."""


def by_lot(items: Sequence[pytest.Item]) -> set[str]:
    """Return the ids of the tests that a sweep takes, of each file one at least.

    The lot is the same in every run; ``SWEEP_LOT=7``, or any other word, draws another.
    """

    def file(item: pytest.Item) -> str:
        return item.nodeid.partition("::")[0]

    def lot(name: str) -> int:
        return crc32(f"{os.environ.get('SWEEP_LOT', '1')} {name}".encode())

    taken: set[str] = set()
    for _, group in groupby(sorted(items, key=file), key=file):
        names = sorted((item.nodeid for item in group), key=lot)
        taken.update(names[: ceil(len(names) / ONE_IN)])
    return taken


def many(swept: int, overnight: int) -> int:
    """Return how many cases a sweep takes: with ``LONG_RUN=1`` before it, as many as overnight."""
    return overnight if os.environ.get("LONG_RUN") else swept


SOME_OR_EVERY = pytest.mark.parametrize(
    "one_in",
    [
        pytest.param(4, id="some"),
        pytest.param(many(2, 1), id="every", marks=pytest.mark.sweep),
    ],
)
"""A walk inside one test: one case in four by default, one in two in the sweep."""


def examples(few: int, every: int, **named: Any) -> Callable[[Any], Any]:
    """Return the settings of a drawn test: few examples, half of them all in the sweep."""
    swept = settings.get_current_profile_name() == SWEEP
    drawn = settings(max_examples=many(max(few, every // 2), every) if swept else few, **named)

    def more_in_the_sweep(test: Any) -> Any:
        found = drawn(test)
        found.draws_more = True
        return found

    return more_in_the_sweep
