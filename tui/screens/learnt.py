"""What the launch has learnt of this car, worked out beside the screen; a key begins it afresh."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.events import Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from rules.advice.earlier_passes import teaching
from rules.book import Book
from rules.launch.proposed_change import missing
from rules.log.state import State
from tui.pages.learnt import learnt_lines
from tui.widgets.key_row import KeyRow
from tui.widgets.working import Working

if TYPE_CHECKING:
    from rules.launch.learnt_car import LearntCar

WORKING = "Working it out ..."
LACKS = "The launch needs the car's mass and wheelbase before it can learn: weigh it, j."
AFRESH = "afresh"


class LearntScreen(Screen[str | None]):
    """Shows what was learnt; `u` leaves with `AFRESH`, Escape, Enter or Backspace with nothing."""

    CSS_PATH = ["frame.tcss", "page.tcss", "looking.tcss"]
    HELP = "What the passes have taught the launch of this car; u lets it begin afresh."
    BINDINGS = [
        Binding(
            "u,U",
            "afresh",
            "start afresh",
            key_display="u",
            id="learnt.afresh",
            tooltip="Let it begin afresh",
        ),
        Binding("escape", "leave", "back", key_display="Esc", id="learnt.leave"),
        Binding("backspace,enter,q,Q", "leave", "back", show=False, id="learnt.back"),
    ]

    @dataclass
    class AccountCame(Message):
        """The thread has the account, or why there is none."""

        found: "LearntCar | None"
        said: str

    def __init__(self, state: State, book: Book) -> None:
        super().__init__()
        self.state = state
        self.book = book
        self.found: LearntCar | None = None
        self.said = WORKING

    def compose(self) -> ComposeResult:
        yield Static(" What the launch has learnt", id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static(self.said, id="lines", markup=False)
        yield Working()
        yield KeyRow()

    def on_mount(self) -> None:
        self.query_one("#page").focus()
        if self.state.car is None or missing(self.state.car):
            self.said = LACKS
        else:
            self.query_one(Working).begin()
            self.run_worker(self._work, thread=True, group="learnt", description="learnt")
        self._draw()

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def _work(self) -> None:
        """Work the account out, off the event loop."""
        # The array library is loaded when the launch is first asked.
        from rules.launch.belief.account import account

        try:
            found = account(
                self.state.described_car, dict(self.state.settings), teaching(self.state)
            )
        except ValueError as error:
            said = getattr(error, "faults", (str(error),))[0]
            self.post_message(self.AccountCame(None, f"No numbers: {said}"))
        else:
            self.post_message(self.AccountCame(found, ""))

    def on_learnt_screen_account_came(self, event: AccountCame) -> None:
        event.stop()
        self.query_one(Working).end()
        self.found, self.said = event.found, event.said
        self._draw()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)

    def action_afresh(self) -> None:
        """Leave for the question whether to begin afresh."""
        self.dismiss(AFRESH)

    def _draw(self) -> None:
        width = (self.size.width or 80) - 2
        lines = [self.said]
        if self.found is not None:
            lines = learnt_lines(self.state, self.book, self.found, width)
        self.query_one("#lines", Static).update("\n".join(lines))
