"""A page to look at, whatever shows it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.drawn.picture import Picture

if TYPE_CHECKING:
    from textual.content import Content


def no_pictures() -> tuple[Picture, ...]:
    """Return no picture."""
    return ()


@dataclass(frozen=True)
class Page:
    """One page: its name, its lines for a width and a height, and its pictures, if any.

    Where there are pictures they take the room that the lines leave. `short` is the page in few
    words for a width: it stands there instead of the lines, which are then a key away, and
    the pictures below it where there is room.
    """

    name: str
    lines: Callable[[int, int], list[str]]
    pictures: Callable[[], tuple[Picture, ...]] = no_pictures
    short: "Callable[[int], Content] | None" = None
