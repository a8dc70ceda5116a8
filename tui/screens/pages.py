"""Pages to look at, one at a time: the verdict, the air, the day in pictures."""

from collections.abc import Sequence
from textwrap import wrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static, Tabs

from tui.arranged import touch_rows
from tui.pages.page import Page
from tui.pages.rows import kept_to
from tui.screens.reading import ReadingScreen
from tui.widgets.key_row import KeyRow
from tui.widgets.page_tabs import PageTabs, page_of
from tui.widgets.pictures import Pictures

MARGIN = 2
LOWEST = 8
NOTE = "a"
"""Rows that a picture needs below a page in few words."""


class PagesScreen(Screen[str | None]):
    """Shows one of some pages; digits and Tab turn them, Escape, Enter or Backspace leaves.

    noted: what the page shows can be noted again; `a` leaves for it, with its own name.
    """

    CSS_PATH = ["frame.tcss", "page.tcss", "looking.tcss", "pages.tcss"]
    HELP = "Pages to look at; the arrows move a long one."
    BINDINGS = [
        Binding("escape", "leave", "back", key_display="Esc", id="pages.leave"),
        Binding("backspace,enter,q,Q", "leave", "back", show=False, id="pages.back"),
        Binding(
            "tab",
            "next_page",
            "page",
            key_display="Tab",
            id="pages.next",
            priority=True,
            tooltip="Turn the page; a digit or a click does, too",
        ),
        Binding("up,down", "", "move", key_display="↑↓", id="pages.move"),
        Binding("w,W", "whole", "all of it", key_display="w", id="pages.whole"),
        Binding("a,A", "note", "note it again", key_display="a", id="pages.note"),
    ]

    def __init__(self, title: str, pages: Sequence[Page], *, noted: bool = False) -> None:
        super().__init__()
        self.page_title = title
        self.pages = pages
        self.noted = noted
        self.page = 0

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        if len(self.pages) > 1:
            yield PageTabs([page.name for page in self.pages])
        yield Pictures(id="pictures")
        with VerticalScroll(id="page"):
            yield Static(id="lines", markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        self.query_one("#page").focus()

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell whether a key works: one page cannot be turned, a whole one has no more."""
        if action == "whole":
            return self.pages[self.page].short is not None
        if action == "note":
            return self.noted
        return action != "next_page" or len(self.pages) > 1

    def on_key(self, event: Key) -> None:
        typed = event.character or "x"
        if typed.isdecimal() and 1 <= int(typed) <= len(self.pages):
            event.stop()
            self._turn_to(int(typed) - 1)

    def on_tabs_tab_activated(self, event: Tabs.TabActivated) -> None:
        event.stop()
        if page_of(event) != self.page:
            self._turn_to(page_of(event))

    def action_note(self) -> None:
        """Leave for what the page can be added to."""
        self.dismiss(NOTE)

    def action_next_page(self) -> None:
        """Show the next page."""
        self._turn_to((self.page + 1) % len(self.pages))

    def action_whole(self) -> None:
        """Show all of a page that stands there in few words."""
        now = self.pages[self.page]
        width = (self.size.width or 80) - MARGIN
        self.app.push_screen(ReadingScreen(now.name, kept_to(now.lines(width, 0), width)))

    def _turn_to(self, page: int) -> None:
        self.page = page
        self.refresh_bindings()
        self._draw()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)

    def _draw(self) -> None:
        width, height = self.size.width or 80, self.size.height or 24
        now = self.pages[self.page]
        title = wrap(f"{self.page_title}: {now.name}", width - MARGIN)
        touched = touch_rows(height)
        room = height - touched - len(title) - touched * (len(self.pages) > 1)
        short = now.short(width - MARGIN) if now.short else None
        lines = [] if short else kept_to(now.lines(width - MARGIN, room), width - MARGIN)
        self.query_one("#title", Static).update("\n".join(f" {row}" for row in title))
        self.query_one("#lines", Static).update(short or "\n".join(lines))
        for tabs in self.query(PageTabs):
            tabs.turn_to(self.page)
        spare = room - len(short.plain.splitlines()) if short else LOWEST
        pictures = now.pictures() if spare >= LOWEST else ()
        shown, page = self.query_one(Pictures), self.query_one("#page")
        shown.display = bool(pictures)
        page.display = bool(short or lines) or not pictures
        page.set_class(bool(pictures) and not short, "-below")
        page.set_class(bool(pictures and short), "-above")
        if short:
            self.move_child(shown, after=page)
        else:
            self.move_child(shown, before=page)
        if pictures:
            shown.show(pictures)
        self.query_one("#page").scroll_home(animate=False)
