"""What stands in a window that is too small to work in."""

from textual.app import ComposeResult
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

MIN_WIDTH, MIN_HEIGHT = 60, 20


def is_small(width: int, height: int) -> bool:
    """Tell whether a window has too little room for a question and its choices."""
    return width < MIN_WIDTH or height < MIN_HEIGHT


class SmallScreen(Screen[None]):
    """Covers everything and takes no answer until there is room again."""

    CSS_PATH = ["frame.tcss", "small.tcss"]

    def compose(self) -> ComposeResult:
        yield Static(id="small", markup=False)

    def on_resize(self, event: Resize) -> None:
        width, height = event.size
        self.query_one("#small", Static).update(
            f"This window is {width}x{height}, too small to work in. "
            f"Make it at least {MIN_WIDTH}x{MIN_HEIGHT}, best 80x24. Everything is kept."
        )
