"""The log as a table: found by typing, sorted by a heading, any pass opened whole."""

import re
from dataclasses import replace
from textwrap import shorten, wrap

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Container, Vertical
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import DataTable, Input, Static

from tui.arranged import touch_rows
from tui.desk import Desk
from tui.drawn.header import where_row
from tui.pages.log import log_page
from tui.pages.log_detail import everything, glance, headline
from tui.pages.log_pages import joined, pages
from tui.pages.log_rows import SORTS, Found, LogRow, found, words_of
from tui.screens.reading import ReadingScreen
from tui.widgets.key_row import KeyRow

WINDOW = 200
"""How many rows are asked for at a time."""
READ_AGAIN_S = 0.02
"""Between two pages of older rows, so that a key is never waited for."""
WIDE = 110
MARGINS = 3
FIXED = {"pass": 6, "when": 12, "60-ft": 7, "outcome": 14}
HEADS = {
    "pass": "Pass",
    "when": "When",
    "60-ft": "60-ft",
    "what": "What it did, or what was changed",
    "outcome": "Outcome",
}
LETTERS = frozenset({"find", "sort", "leave_for", "whole"})
"""Actions on letters, which are words while they are typed."""


class Find(Input):
    """The line of words to find; Enter and the arrow down go on to what was found."""

    BINDINGS = [
        Binding("enter", "submit", "to the rows", key_display="Enter", id="log.to-rows"),
        Binding("down", "submit", show=False),
    ]


class Rows(DataTable[Text]):
    """The table; Enter is named at the foot of the screen."""

    BINDINGS = [
        Binding("enter", "select_cursor", "all of it", key_display="Enter", id="log.open"),
    ]


class LogScreen(Screen[str | None]):
    """Every pass, change, note and record, the newest first.

    Leaves with "note" or "correct" where the crew wants to add to it.
    """

    AUTO_FOCUS = "#rows"
    CSS_PATH = ["frame.tcss", "looking.tcss", "log.tcss"]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide")]
    HELP = (
        "Every pass, change and note. Type / and a word to find it; "
        "click a heading, or o, to sort. Enter opens all that is known of the pass."
    )
    BINDINGS = [
        *(
            Binding(
                ",".join(filter(None, (key, key.upper() * (len(key) == 1)))),
                action,
                label,
                key_display=shown,
                id=f"log.{name}",
                tooltip=says,
            )
            for key, action, label, shown, name, says in (
                ("slash", "find", "find", "/", "find", "Find a pass, a knob, a word"),
                ("escape", "leave", "leave", "Esc", "leave", "Leave the log"),
                ("o", "sort", "sort", "o", "sort", "Sort by the next column"),
                ("c", "leave_for('correct')", "correct", "c", "correct", "Correct an answer"),
                ("n", "leave_for('note')", "note", "n", "note", "Write a note"),
                ("w", "whole", "as text", "w", "whole", "The whole log as text"),
            )
        ),
        Binding("backspace,q,Q", "leave", "leave", show=False, id="log.back"),
    ]

    def __init__(self, desk: Desk, query: str = "") -> None:
        super().__init__()
        self.desk = desk
        self.words = query
        self.sort = "when"
        self.every: list[LogRow] = []
        self.older = pages(desk)
        self.reading = True
        self.shown: list[LogRow] = []
        self.found = Found((), 0, 0)

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        yield Static(id="counts", markup=False)
        with Container(id="find-row"):
            yield Static(" / ", id="find-key", markup=False)
            yield Find(self.words, placeholder="a pass, a knob, a word", id="find")
            yield Static(id="hits", markup=False)
        with Container(id="both"):
            yield Rows(id="rows", cursor_type="row", cell_padding=0)
            with Vertical(id="detail"):
                yield Static(id="what", markup=False)
                yield Static(id="known", markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        self._read_on()
        self.app.theme_changed_signal.subscribe(self, lambda theme: self._fill())

    def _read_on(self) -> None:
        """Read a page of older rows; those after it are read behind whatever is done meanwhile."""
        page = next(self.older)
        self.every, self.reading = joined(page, self.every), page.more
        if self.reading:
            self.set_timer(READ_AGAIN_S, self._read_on)
        if not self.query_one(DataTable).columns:
            return  # Nothing is drawn yet.
        if self.sort == "when" and not self.words:
            count = len(self.every)
            self.found = replace(self.found, hits=count, total=count)
            self._say_hits()
        if not self.reading:
            self._settle()

    def _settle(self) -> None:
        """Draw the rows anew where all of the log says otherwise than its newest pages did."""
        window = slice(0, max(len(self.shown), WINDOW))
        whole = found(self.every, window, self.words, self.sort)
        if list(whole.rows) != self.shown:
            self._fill()
            return
        self.found = whole
        self._say_hits()

    def on_resize(self, event: Resize) -> None:
        self._fill()

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.words = event.value
        self._fill()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(DataTable).focus()

    def on_descendant_focus(self) -> None:
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell whether a key works: letters are words while they are typed."""
        typing = isinstance(self.focused, Input)
        return not (typing and action in LETTERS)

    @property
    def row(self) -> LogRow | None:
        """The marked row."""
        at = self.query_one(DataTable).cursor_row
        return self.shown[at] if 0 <= at < len(self.shown) else None

    def _fill(self) -> None:
        """Find, sort, and draw the first window of rows."""
        width = self.size.width or 80
        self.query_one("#strip", Static).update(where_row(self.desk.state, width))
        self.query_one("#counts", Static).update(self._counts())
        table = self.query_one(DataTable)
        table.clear(columns=True)
        table.header_height = touch_rows(self.size.height)
        room = self._room
        for key, head in HEADS.items():
            short = shorten(head, room - 2, placeholder="") if key not in FIXED else head
            table.add_column(
                f"{short}{'▾' if key == self.sort else ''}", key=key, width=FIXED.get(key, room)
            )
        self.shown = []
        self._more()
        self._say_hits()
        self._tell()

    def _say_hits(self) -> None:
        so_far = "so far " if self.reading else ""
        told = f"{self.found.hits} of {self.found.total} lines {so_far}"
        self.query_one("#hits", Static).update(told)

    @property
    def _room(self) -> int:
        """The width of the words of a row."""
        width = self.size.width or 80
        across = (width * 7 // 12 if width >= WIDE else width) - MARGINS
        return across - sum(FIXED.values())

    def _more(self) -> None:
        """Add the next window of rows to those that are shown."""
        window = slice(len(self.shown), len(self.shown) + WINDOW)
        self.found = found(self.every, window, self.words, self.sort)
        table = self.query_one(DataTable)
        for row in self.found.rows:
            told = wrap(row.what, self._room - 1) or [""]
            cells = self._cells(row, "\n".join(told))
            high = max(len(told), touch_rows(self.size.height))
            table.add_row(*cells, key=f"{row.key} {row.place}", height=high)
            self.shown.append(row)

    def _cells(self, row: LogRow, what: str) -> list[Text]:
        words = words_of(self.words)
        strong = "bold" if row.kind in ("pass", "change") else ""
        texts = [
            Text(row.number, "bold"),
            Text(row.when),
            Text(row.sixty, f"bold {self._colour('measured')}"),
            Text(what, strong),
            Text(row.outcome, f"bold {self._colour(row.role)}"),
        ]
        for text in texts:
            for word in words:
                text.highlight_regex(rf"(?i)\b{re.escape(word)}", "underline")
        return texts

    def _colour(self, role: str) -> str:
        return self.app.theme_variables.get(role, "") if role else ""

    def _counts(self) -> str:
        state = self.desk.state
        counts = (
            (len(state.runs), "pass", "passes"),
            (len(state.changes), "change", "changes"),
            (len(state.notes), "note", "notes"),
        )
        told = " · ".join(f"{count} {one if count == 1 else more}" for count, one, more in counts)
        return f" The log: {told}"

    def _tell(self) -> None:
        """Say below the table what is known of the marked row."""
        row, width = self.row, self.size.width or 80
        room = (width - width * 7 // 12 if width >= WIDE else width) - MARGINS
        self.query_one("#what", Static).update(headline(row) if row else "Nothing is found.")
        lines = glance(self.desk.state, row, room) if row else []
        self.query_one("#known", Static).update("\n".join(lines))

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        if event.cursor_row >= len(self.shown) - 1 and len(self.shown) < self.found.hits:
            self._more()
        self._tell()

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        event.stop()
        self.action_open()

    def on_data_table_header_selected(self, event: DataTable.HeaderSelected) -> None:
        event.stop()
        self.sort = str(event.column_key.value)
        self._fill()

    def action_find(self) -> None:
        """Type words to find."""
        self.query_one(Find).focus()

    def action_sort(self) -> None:
        """Sort by the next column."""
        names = list(SORTS)
        self.sort = names[(names.index(self.sort) + 1) % len(names)]
        self._fill()

    def action_open(self) -> None:
        """Read all that is known of the pass that the row is or followed."""
        row = self.row
        if row is None:
            return
        title = (
            f"Pass {self.desk.state.run(row.run).number}" if row.run else "Before the first pass"
        )
        self.app.push_screen(ReadingScreen(title, everything(self.desk, row)))

    def action_whole(self) -> None:
        """Read the whole log as text."""
        self.app.push_screen(ReadingScreen("Log", log_page(self.desk)))

    def action_leave_for(self, form: str) -> None:
        """Leave for what adds to the log."""
        self.dismiss(form)

    def action_leave(self) -> None:
        """Leave the words to find, or the log."""
        if isinstance(self.focused, Input):
            self.query_one(Find).value = ""
            self.query_one(DataTable).focus()
        else:
            self.dismiss(None)
