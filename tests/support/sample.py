"""The cases of a walk: a sample that is the same in every run, the rest left to the sweep."""

from collections.abc import Iterable
from typing import Any

import pytest


def by_name(case: Any) -> str:
    """Return the name of a case, for the list of tests."""
    return str(case.name)


def sampled(cases: Iterable[tuple[Any, ...]], one_in: int) -> list[Any]:
    """Return every case as a parameter, all but one in so many marked for the sweep alone."""
    return [
        pytest.param(*case, marks=[pytest.mark.sweep] if number % one_in else [])
        for number, case in enumerate(cases)
    ]
