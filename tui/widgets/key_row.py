"""The keys at the foot of a screen."""

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.events import Resize
from textual.widget import Widget
from textual.widgets import Footer
from textual.widgets._footer import FooterKey

FIRST = ("enter", "backspace", "escape")
FUNCTION = frozenset(f"f{number}" for number in range(1, 13))


class KeyRow(Footer):
    """The framework's footer, clickable, of the bindings that work now.

    What it adds: Enter and Backspace stand first, then Escape and the function keys, then letters
    as the screen has them; where the window is too narrow, whole keys are left out from the end.
    """

    def __init__(self) -> None:
        super().__init__(id="keys", show_command_palette=False, compact=True)

    def compose(self) -> ComposeResult:
        yield from self._fitting(super().compose())

    def on_resize(self, event: Resize) -> None:
        self.refresh(recompose=True)

    def _fitting(self, keys: ComposeResult) -> Iterator[Widget]:
        room = self.app.size.width
        for key in sorted(keys, key=_place):
            if isinstance(key, FooterKey):
                room -= len(f" {key.key_display}  {key.description} ")
            if room < -1:
                return
            yield key


def _place(one: Widget) -> int:
    """Return where a key stands among the others; the order of the screen stays within each."""
    key = one.key if isinstance(one, FooterKey) else ""
    if key in FIRST:
        return FIRST.index(key)
    return len(FIRST) + (key not in FUNCTION)
