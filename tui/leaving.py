"""What every application here shares: its looks, and a clean way out whatever the signal."""

import asyncio
import signal
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import TypeVar

from textual.app import App
from textual.binding import Binding
from textual.filter import LineFilter
from textual.theme import Theme

from tui.arranged import HIGH_FROM
from tui.beside import threads_beside
from tui.commands.stop import PROGRAM, Stop
from tui.plain_letters import PlainLetters, needs_plain_letters
from tui.safe_lines import SafeLines
from tui.theme import THEMES, theme_here

SIGNALS = ("SIGTERM", "SIGHUP")
LOOKED_FOR_EVERY_S = 1.0
T = TypeVar("T")


def terminal_is_there() -> bool:
    """Tell whether keys still come from a terminal; always where nobody can tell, as on Windows."""
    try:
        import termios
    except ImportError:
        return True
    try:
        termios.tcgetattr(sys.__stdin__ or 0)
    except (termios.error, ValueError, OSError):
        return False
    return True


class LeavingApp(App[T]):
    """An application that leaves the terminal as it found it."""

    TITLE = "Setdown"
    ENABLE_COMMAND_PALETTE = False
    # In a high window a key at the foot has two rows, for a finger.
    VERTICAL_BREAKPOINTS = [(0, "-low"), (HIGH_FROM, "-high")]
    BINDINGS = [
        Binding(
            "f1,question_mark",
            "help_here",
            "help",
            key_display="F1",
            id="app.help",
            tooltip="Help for this screen",
        )
    ]
    plain_letters = False
    """Whether whoever started the program asked for ASCII alone."""

    def __init__(self, theme: str = "") -> None:
        # The framework takes NO_COLOR out of the environment as it begins.
        theme = theme or theme_here()
        super().__init__()
        for one in THEMES:
            self.register_theme(one)
        self.theme = theme
        # So that the sheets are read once: in the colours that they are painted in.
        self._sheets_read_in = theme
        self.stylesheet.set_variables(self.get_css_variables())
        self._filters_of_ours: list[LineFilter] = [SafeLines()]
        if LeavingApp.plain_letters or needs_plain_letters():
            self._filters_of_ours.append(PlainLetters())

    def refresh_css(self, animate: bool = True) -> None:
        """Read the sheets anew where they were read in other colours."""
        if self._sheets_read_in != self.theme:
            self._sheets_read_in = self.theme
            super().refresh_css(animate)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return what looks at each painted line, the door to the screen last."""
        return [*super().get_line_filters(), *self._filters_of_ours]

    def until_left(self) -> T | None:
        """Run until the crew leaves; return what it left with.

        Raises:
            Stop: the screen ended by an error of the program, which it has printed.
        """
        left_with = self.run()
        if self.return_code:
            raise Stop(PROGRAM, "the screen ended by an error; all that was answered is kept")
        return left_with

    def on_mount(self) -> None:
        loop = asyncio.get_running_loop()
        loop.set_default_executor(threads_beside(loop))
        for name in SIGNALS:
            number = getattr(signal, name, None)
            # Windows has no SIGHUP, and its loop takes no handlers.
            with suppress(NotImplementedError, RuntimeError):
                if number is not None:
                    loop.add_signal_handler(number, self.exit)

        self.theme_changed_signal.subscribe(self, self._repaint)
        if not self.is_headless:
            self.set_interval(LOOKED_FOR_EVERY_S, self._leave_a_vanished_terminal)

    def _repaint(self, _: Theme) -> None:
        """Paint anew what names a colour of the theme in its text: no style sheet knows of it."""
        for one in self.screen.walk_children():
            one.refresh()

    def _leave_a_vanished_terminal(self) -> None:
        """Leave where the terminal went without a signal, for reading from it would never end."""
        if not terminal_is_there():
            self.exit()

    def action_help_here(self) -> None:
        """Show what the screen in front is for, and the keys that work there."""
        from tui.pages.help import help_lines
        from tui.screens.reading import HelpScreen
        from tui.screens.small import SmallScreen

        if not isinstance(self.screen, SmallScreen | HelpScreen):
            lines = help_lines(self.screen, self.size.width)
            self.push_screen(HelpScreen("Help", lines))

    def action_help_quit(self) -> None:
        """Leave on Ctrl+C as on q: everything is kept, so there is nothing to ask."""
        self.exit()
