"""A page to look at, whatever shows it."""

from collections.abc import Callable
from dataclasses import dataclass

from tui.drawn.picture import Picture


def no_pictures() -> tuple[Picture, ...]:
    """Return no picture."""
    return ()


@dataclass(frozen=True)
class Page:
    """One page: its name, its lines for a width and a height, and its pictures, if any.

    Where there are pictures they take the room that the lines leave.
    """

    name: str
    lines: Callable[[int, int], list[str]]
    pictures: Callable[[], tuple[Picture, ...]] = no_pictures
