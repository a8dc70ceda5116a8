"""A page to read: counts, log, reasons, help."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static


class ReadingScreen(Screen[None]):
    """Shows lines; any of Escape, Backspace, Enter or q goes back."""

    CSS_PATH = ["frame.tcss", "page.tcss", "reading.tcss"]
    BINDINGS = [Binding("escape,backspace,enter,q,Q", "leave", "Back", id="reading.leave")]

    def __init__(self, title: str, lines: list[str]) -> None:
        super().__init__()
        self.page_title = title
        self.lines = lines

    def compose(self) -> ComposeResult:
        yield Static(
            f" {self.page_title} - Enter or Esc back, arrows move", id="title", markup=False
        )
        with VerticalScroll(id="page"):
            yield Static("\n".join(self.lines), markup=False)

    def on_mount(self) -> None:
        self.query_one("#page").focus()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
