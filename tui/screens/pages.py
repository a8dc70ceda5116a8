"""Pages to look at, one at a time: the verdict, the air, the day in pictures."""

from collections.abc import Sequence
from textwrap import wrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from tui.pages.page import Page
from tui.pages.rows import kept_to

KEY_ROWS = 1
MARGIN = 2


class PagesScreen(Screen[str | None]):
    """Shows one of some pages; digits and Tab turn them, Escape, Enter or Backspace leaves.

    `note`: a key that leaves with its own name, for what the page can be added to.
    """

    CSS_PATH = ["frame.tcss", "page.tcss", "pages.tcss"]
    BINDINGS = [
        Binding("escape,backspace,enter,q,Q", "leave", "Back", id="pages.leave"),
        Binding("tab", "next_page", "Next page", id="pages.next", priority=True),
    ]

    def __init__(self, title: str, pages: Sequence[Page], note: tuple[str, str] = ("", "")) -> None:
        super().__init__()
        self.page_title = title
        self.pages = pages
        self.note_key, self.note_label = note
        self.page = 0

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static(id="lines", markup=False)
        yield Static(id="keys", markup=False)

    def on_mount(self) -> None:
        self.query_one("#page").focus()

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def on_key(self, event: Key) -> None:
        typed = event.character or "x"
        if typed.isdecimal() and 1 <= int(typed) <= len(self.pages):
            self.page = int(typed) - 1
            self._draw()
        elif self.note_key and event.key.lower() == self.note_key:
            self.dismiss(self.note_key)
        else:
            return
        event.stop()

    def action_next_page(self) -> None:
        """Show the next page."""
        self.page = (self.page + 1) % len(self.pages)
        self._draw()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)

    def _draw(self) -> None:
        width, height = self.size.width or 80, self.size.height or 24
        now = self.pages[self.page]
        title = wrap(f"{self.page_title}: {now.name}", width - MARGIN)
        lines = kept_to(now.lines(width - MARGIN, height - KEY_ROWS - len(title)), width - MARGIN)
        self.query_one("#title", Static).update("\n".join(f" {row}" for row in title))
        self.query_one("#lines", Static).update("\n".join(lines))
        self.query_one("#page").scroll_home(animate=False)
        keys = [f"1-{len(self.pages)} Tab page"] if len(self.pages) > 1 else []
        keys += [f"{self.note_key} {self.note_label}"] if self.note_key else []
        self.query_one("#keys", Static).update(
            " " + " | ".join([*keys, "arrows move", "Enter or Esc back"])
        )
