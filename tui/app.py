"""The application: one desk, one pit screen, and a clean way out whatever the signal."""

import asyncio
import signal

from textual.app import App
from textual.events import Resize

from tui.desk import Desk
from tui.screens.pit import PitScreen
from tui.screens.small import SmallScreen, is_small
from tui.theme import NIGHT, SUNLIGHT


class SetdownApp(App[None]):
    """The terminal application of one car."""

    TITLE = "Setdown"
    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { scrollbar-size-vertical: 1; }"

    def __init__(self, desk: Desk, settle_s: float = 0.25, theme: str = "sunlight") -> None:
        super().__init__()
        self.desk = desk
        self.settle_s = settle_s
        self.register_theme(SUNLIGHT)
        self.register_theme(NIGHT)
        self.theme = theme

    def on_mount(self) -> None:
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None:
                try:
                    loop.add_signal_handler(number, self.exit)
                except (NotImplementedError, RuntimeError):
                    return
        self.push_screen(PitScreen(self.desk, self.settle_s))

    def on_resize(self, event: Resize) -> None:
        covered = isinstance(self.screen, SmallScreen)
        small = is_small(event.size.width, event.size.height)
        if small and not covered:
            self.push_screen(SmallScreen())
        elif covered and not small:
            self.pop_screen()

    def action_help_quit(self) -> None:
        """Leave on Ctrl+C as on q: everything is kept, so there is nothing to ask."""
        self.exit()
