"""One question at a time: what every screen that asks does alike.

The loop, a form, a sheet, the shop's menu and a slip say which question is open, take its answer
and go back; how it stands on the screen, how an answer that does not fit is told, what the keys
are called and how one leaves is the same for all of them.
"""

from collections.abc import Sequence
from pathlib import PurePath
from textwrap import wrap
from typing import TypeVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.events import Resize, ScreenResume
from textual.geometry import Size
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from profiles.logfile import LogError
from rules.question import ActionError, AnswerError, Given, Prompt
from tui.arranged import MARGINS, TALL_FROM, Arranged
from tui.desk import Desk
from tui.drawn.car_rows import car_rows
from tui.drawn.car_view import CarView
from tui.drawn.header import header
from tui.lines import spoken
from tui.screens.small import MIN_HEIGHT, MIN_WIDTH
from tui.widgets.asker import Asker, is_open
from tui.widgets.car_panel import CarPanel
from tui.widgets.key_row import KeyRow

FAULTS = (AnswerError, ActionError, LogError)
# Paths from the folder of the screens; a screen adds its own behind them.
QUESTIONS_CSS: list[str | PurePath] = ["frame.tcss", "../widgets/asker.tcss"]
LEAVE = Binding(
    "escape",
    "leave",
    "leave",
    key_display="Esc",
    id="questions.leave",
    tooltip="Leave; what was answered waits",
)
PICKED_UP = "Picked up where it was left."
Ended = TypeVar("Ended")


class QuestionScreen(Screen[Ended]):
    """Shows the open question under what it is about, and takes its answer."""

    shows_car = False
    """Whether the car stands beside the question, or above it where there is no room beside."""

    def __init__(self, desk: Desk, settle_s: float) -> None:
        super().__init__()
        self.desk = desk
        self.settle_s = settle_s
        self.long_message = False
        self._drawn_in: Size | None = None
        self._is_shown = False

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        with Horizontal(id="pit"):
            with Vertical(id="work"):
                if self.shows_car:
                    yield Static(id="car-rows", markup=False)
                yield from self.above()
                yield Asker(self.settle_s, self._at_once)
                yield from self.below()
            if self.shows_car:
                yield CarPanel()
        yield from self.under()
        yield Static(id="message", markup=False)
        yield KeyRow()

    def above(self) -> ComposeResult:
        """Yield what the question is about."""
        yield from ()

    def below(self) -> ComposeResult:
        """Yield what stands under the question."""
        yield from ()

    def under(self) -> ComposeResult:
        """Yield what stands across the window, above the message."""
        yield from ()

    @property
    def asker(self) -> Asker:
        """The widget that asks."""
        return self.query_one(Asker)

    @property
    def window(self) -> Size:
        """The room there is to draw in; a smaller window is covered, and drawn for all the same."""
        width, height = self.size or self.app.size
        return Size(max(width, MIN_WIDTH), max(height, MIN_HEIGHT))

    def draw(self) -> None:
        """Draw the open question and what it is about."""
        raise NotImplementedError

    def take(self, prompt: Prompt, value: Given) -> None:
        """Take an answer.

        Raises:
            AnswerError, ActionError, LogError: if it does not fit or cannot be kept.
        """
        raise NotImplementedError

    def note_line(self, line: str) -> None:
        """Note what stands in a number that is not whole yet, and show it."""

    def go_back(self) -> None:
        """Open the question before this one, or leave where there is none.

        Raises:
            LogError: if it cannot be kept.
        """
        raise NotImplementedError

    def action_leave(self) -> None:
        """Leave; what was answered waits."""
        self.dismiss(None)

    def on_screen_resume(self, event: ScreenResume) -> None:
        # What was styled as it was mounted is not styled again before it is first painted.
        event.refresh_styles = self._is_shown
        self._is_shown = True

    def on_mount(self) -> None:
        self._drawn_in = self.window
        self.begin()

    def begin(self) -> None:
        """Draw for the first time, in the window that the first resize then only confirms."""
        self.draw()

    def on_resize(self, event: Resize) -> None:
        if self.window != self._drawn_in:
            self._drawn_in = self.window
            self.draw()

    def say(self, text: str) -> None:
        """Put a line above the keys, two where it is long; the question gives way."""
        said = self.spoken(text)
        message = self.query_one("#message", Static)
        message.remove_class("-picked-up")
        message.update(said)
        more = len(wrap(said, self.window.width - MARGINS)) > 1
        if self.shows_car and more != self.long_message:
            self.long_message = more
            self.draw()

    def say_picked_up(self, text: str = PICKED_UP) -> None:
        """Say that it goes on where it was left, so that nobody looks past it."""
        self.say(text)
        self.query_one("#message", Static).add_class("-picked-up")

    def spoken(self, text: str) -> str:
        """Return a text in the crew's wording and units."""
        return spoken(self.desk.state, text)

    def draw_frame(self) -> None:
        """Draw where everything stands: place, time, and what is open."""
        said = header(self.desk.state, None, self.window.width, None)
        self.query_one("#strip", Static).update(said)

    def draw_car(self, view: CarView | None, way: Arranged, corner: Sequence[Content] = ()) -> None:
        """Draw the car where it has room; `corner`: the rows of one corner in its place."""
        panel, rows = self.query_one(CarPanel), self.query_one("#car-rows", Static)
        panel.display = way.place == "panel" and view is not None
        rows.display = way.place == "rows" and view is not None
        panel.styles.width = way.panel
        rows.styles.margin = (0, 0, int(self.window.height >= TALL_FROM), 0)
        if panel.display:
            panel.show(view, corner)
        elif rows.display and view is not None:
            rows.update(car_rows(view, way.width))

    def refused(self, prompt: Prompt, error: Exception) -> str:
        """Return what is said of an answer that was not taken."""
        return str(error)

    def _at_once(self, event: Message) -> None:
        match event:
            case Asker.Taken():
                self.on_asker_taken(event)
            case Asker.Back():
                self.on_asker_back(event)
            case Asker.Line():
                self.note_line(event.text)

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        if not is_open(self, event):
            return
        try:
            self.take(event.prompt, event.value)
        except FAULTS as error:
            self.say(self.refused(event.prompt, error))
            self.draw()
            self.asker.select_typed()

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        try:
            self.go_back()
        except LogError as error:
            self.say(str(error))
            self.draw()

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self.say(event.text)
