"""The application: one desk, one pit screen."""

from collections.abc import Sequence
from functools import cached_property
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.events import Resize

from tui.arranged import HIGH_FROM
from tui.desk import Desk
from tui.leaving import LeavingApp
from tui.screens.pit import PIT_CSS, PitScreen
from tui.screens.small import SmallScreen, is_small

if TYPE_CHECKING:
    from textual.command import Provider

    from tui.practising import Practising


def _named_actions() -> "type[Provider]":
    """Return what the palette searches; it is loaded when the palette is first opened."""
    from tui.named_actions import NamedActions

    return NamedActions


class SetdownApp(LeavingApp[str]):
    """The terminal application of one car.

    practising: the practice day that is played, if it is one.
    shop: open the shop over the pit screen.  pages: title and lines to read before anything else.
    """

    # A sheet that comes with a screen has all of them read again: the first screen's are here.
    CSS_PATH: ClassVar[list[str | PurePath]] = ["app.tcss", *(f"screens/{one}" for one in PIT_CSS)]
    ENABLE_COMMAND_PALETTE = True
    COMMANDS = {_named_actions}
    BINDINGS = [
        Binding(
            "ctrl+p", "command_palette", "by name", show=False, key_display="Ctrl+P",
            priority=True, id="app.names", tooltip="Any of these by its name",
        ),
    ]  # fmt: skip

    def __init__(
        self,
        desk: Desk,
        settle_s: float = 0.25,
        theme: str = "",
        shop: bool = False,
        pages: Sequence[tuple[str, list[str]]] = (),
        practising: "Practising | None" = None,
    ) -> None:
        super().__init__(theme)
        self.practising = practising
        self.desk = desk
        self.settle_s = settle_s
        self.shop = shop
        self.pages = pages

    def action_command_palette(self) -> None:
        """Ask for an action by its name."""
        from textual.command import CommandPalette

        if not isinstance(self.screen, CommandPalette):
            self.push_screen(CommandPalette(placeholder="what do you want to do?"))

    def get_default_screen(self) -> PitScreen:
        """Return the pit screen: nothing stands under it."""
        return self.pit

    def on_mount(self) -> None:
        if self.shop:
            self.pit.open_shop()
        for title, lines in reversed(self.pages):
            from tui.screens.reading import ReadingScreen

            self.push_screen(ReadingScreen(title, lines))

    @cached_property
    def pit(self) -> PitScreen:
        """The pit screen; its styles are those of a window of this height from the start."""
        high = self.size.height >= HIGH_FROM
        pit = self._pit()
        pit.set_class(True, "-high" if high else "-low", update=False)
        return pit

    def _pit(self) -> PitScreen:
        if self.practising is None:
            return PitScreen(self.desk, self.settle_s)
        from tui.screens.practice import PracticeScreen

        return PracticeScreen(self.practising, self.settle_s)

    def on_resize(self, event: Resize) -> None:
        covered = isinstance(self.screen, SmallScreen)
        small = is_small(event.size.width, event.size.height)
        if small and not covered:
            self.push_screen(SmallScreen())
        elif covered and not small:
            self.pop_screen()
