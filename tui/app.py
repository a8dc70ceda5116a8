"""The application: one desk, one pit screen."""

from collections.abc import Sequence

from textual.events import Resize

from tui.desk import Desk
from tui.leaving import LeavingApp
from tui.screens.pit import PitScreen
from tui.screens.small import SmallScreen, is_small


class SetdownApp(LeavingApp[None]):
    """The terminal application of one car.

    shop: open the shop over the pit screen.  pages: title and lines to read before anything else.
    """

    CSS = "Screen { scrollbar-size-vertical: 1; }"

    def __init__(
        self,
        desk: Desk,
        settle_s: float = 0.25,
        theme: str = "sunlight",
        shop: bool = False,
        pages: Sequence[tuple[str, list[str]]] = (),
    ) -> None:
        super().__init__(theme)
        self.desk = desk
        self.settle_s = settle_s
        self.shop = shop
        self.pages = pages

    def on_mount(self) -> None:
        pit = PitScreen(self.desk, self.settle_s)
        self.push_screen(pit)
        if self.shop:
            pit.open_shop()
        for title, lines in reversed(self.pages):
            from tui.screens.reading import ReadingScreen

            self.push_screen(ReadingScreen(title, lines))

    def on_resize(self, event: Resize) -> None:
        covered = isinstance(self.screen, SmallScreen)
        small = is_small(event.size.width, event.size.height)
        if small and not covered:
            self.push_screen(SmallScreen())
        elif covered and not small:
            self.pop_screen()
