"""A page to read: counts, log, reasons, help."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from tui.widgets.key_row import KeyRow


class ReadingScreen(Screen[None]):
    """Shows lines; any of Escape, Backspace, Enter or q goes back."""

    CSS_PATH = ["frame.tcss", "page.tcss", "reading.tcss"]
    HELP = "A page to read; the arrows move a long one."
    BINDINGS = [
        Binding("escape", "leave", "back", key_display="Esc", id="reading.leave"),
        Binding("backspace,enter,q,Q", "leave", "back", show=False, id="reading.back"),
        Binding("up,down", "", "move", key_display="↑↓", id="reading.move"),
    ]

    def __init__(self, title: str, lines: list[str]) -> None:
        super().__init__()
        self.page_title = title
        self.lines = lines

    def compose(self) -> ComposeResult:
        yield Static(f" {self.page_title}", id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static("\n".join(self.lines), markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        self.query_one("#page").focus()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)


class HelpScreen(ReadingScreen):
    """The help of another screen; the key that opened it closes it too."""

    BINDINGS = [Binding("f1,question_mark", "leave", "back", show=False, id="help.leave")]
