"""A page to look at, whatever shows it."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """One page: its name, and its lines for a width and a height."""

    name: str
    lines: Callable[[int, int], list[str]]
