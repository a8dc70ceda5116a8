"""The door to the screen: the last look at each line before it is painted."""

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from rules.harmless import steers


class SafeLines(LineFilter):
    """Takes out of painted lines what would steer the terminal, whatever widget drew them.

    Words are shown with `tui.visible` before they are laid out; this holds where one forgot. A
    mark without a width is left out, so that no line grows.
    """

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with nothing in them that steers."""
        if all(one.control or one.text.isprintable() for one in segments):
            return segments
        return [one if one.control else Segment(_safe(one.text), one.style) for one in segments]


def _safe(text: str) -> str:
    return "".join(_seen(char) if steers(char) else char for char in text)


def _seen(char: str) -> str:
    return "?" * cell_len(char)
