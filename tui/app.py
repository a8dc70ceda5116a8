"""The application: one desk, one pit screen."""

from textual.events import Resize

from tui.desk import Desk
from tui.leaving import LeavingApp
from tui.screens.pit import PitScreen
from tui.screens.small import SmallScreen, is_small


class SetdownApp(LeavingApp[None]):
    """The terminal application of one car."""

    CSS = "Screen { scrollbar-size-vertical: 1; }"

    def __init__(self, desk: Desk, settle_s: float = 0.25, theme: str = "sunlight") -> None:
        super().__init__(theme)
        self.desk = desk
        self.settle_s = settle_s

    def on_mount(self) -> None:
        self.push_screen(PitScreen(self.desk, self.settle_s))

    def on_resize(self, event: Resize) -> None:
        covered = isinstance(self.screen, SmallScreen)
        small = is_small(event.size.width, event.size.height)
        if small and not covered:
            self.push_screen(SmallScreen())
        elif covered and not small:
            self.pop_screen()
