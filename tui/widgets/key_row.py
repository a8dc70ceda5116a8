"""The keys at the foot of a screen."""

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.events import Resize
from textual.widget import Widget
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class KeyRow(Footer):
    """The framework's footer, clickable, of the bindings that work now.

    What it adds: where the window is too narrow, whole keys are left out from the end, so the
    bindings of a screen stand in the order of their weight.
    """

    def __init__(self) -> None:
        super().__init__(id="keys", show_command_palette=False, compact=True)

    def compose(self) -> ComposeResult:
        yield from self._fitting(super().compose())

    def on_resize(self, event: Resize) -> None:
        self.refresh(recompose=True)

    def _fitting(self, keys: ComposeResult) -> Iterator[Widget]:
        room = self.app.size.width
        for key in keys:
            if isinstance(key, FooterKey):
                room -= len(f" {key.key_display}  {key.description} ")
            if room < -1:
                return
            yield key
