"""What is shown while something is worked out: nothing for half a second, then a bar."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.timer import Timer
from textual.widgets import ProgressBar, Static

PATIENCE_S = 0.5


class Working(Horizontal):
    """A bar that runs until `end`; how it is stopped is said beside it.

    in_place_of: what stands where the bar is shown, so that nothing has to make room.
    """

    DEFAULT_CSS = """
    Working { height: 1; padding: 0 1; display: none; }
    Working ProgressBar { width: 24; }
    Working Bar { width: 24; }
    Working Bar > .bar--indeterminate { color: $foreground; background: $background; }
    Working Static { width: 1fr; text-style: bold; }
    """

    def __init__(self, words: str = "working it out; Esc stops it", in_place_of: str = "") -> None:
        super().__init__()
        self.in_place_of = in_place_of
        self.words = words
        self._timer: Timer | None = None
        self._begun = False

    def compose(self) -> ComposeResult:
        yield ProgressBar(show_eta=False, show_percentage=False)
        yield Static(f" {self.words}", markup=False)

    def on_mount(self) -> None:
        if self._begun:
            self.begin()

    def begin(self, words: str = "") -> None:
        """Wait a little, then show the bar; `words`: others than usual, how it is stopped."""
        self.words = words or self.words
        self._begun = True
        if not self.children:
            return  # It is begun again once it is mounted.
        self.query_one(Static).update(f" {self.words}")
        if self._timer is None and not self.display:
            self._timer = self.set_timer(PATIENCE_S, self._show)

    def end(self) -> None:
        """Show nothing any more."""
        self._begun = False
        if self._timer is not None:
            self._timer.stop()
            self._timer = None
        self._display(False)

    def _show(self) -> None:
        self._timer = None
        self._display(True)

    def _display(self, shown: bool) -> None:
        self.display = shown
        if self.in_place_of:
            self.screen.query_one(self.in_place_of).display = not shown
