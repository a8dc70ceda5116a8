"""The keys at the foot of a screen."""

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding
from textual.events import Resize
from textual.widgets import Footer
from textual.widgets._footer import FooterKey

if TYPE_CHECKING:
    from textual.screen import Screen

FIRST = ("enter", "backspace", "escape", "space", "plus")
FUNCTION = frozenset(f"f{number}" for number in range(1, 13))


class KeyRow(Footer):
    """The framework's footer, clickable, of the bindings that work now.

    What it adds: Enter and Backspace stand first, then Escape, Space, + and the function keys, then
    letters as the screen has them; where the window is too narrow, whole keys are left out from
    the end.
    """

    def __init__(self) -> None:
        super().__init__(id="keys", show_command_palette=False, compact=True)
        self._row: list[Binding] = []

    def compose(self) -> ComposeResult:
        self._row = self._fitting() if self._bindings_ready else []
        places = {binding.key: place for place, binding in enumerate(self._row)}
        keys = [key for key in super().compose() if isinstance(key, FooterKey)]
        keys = [key for key in keys if key.key in places]
        yield from sorted(keys, key=lambda key: places[key.key])

    def on_resize(self, event: Resize) -> None:
        if self._fitting() != self._row:
            self.refresh(recompose=True)

    def bindings_changed(self, screen: "Screen[object]") -> None:
        """Make the row anew, unless it stays, or keys only get other words."""
        row = self._fitting()
        if row == self._row:
            return
        if self._row and [one.key for one in row] == [one.key for one in self._row]:
            self._row = row
            for key, binding in zip(self.query(FooterKey), row, strict=False):
                self._reword(key, binding)
        else:
            super().bindings_changed(screen)

    def _reword(self, key: FooterKey, binding: Binding) -> None:
        if key.description != binding.description:
            key.description, key.action = binding.description, binding.action
            key.refresh(layout=True)

    def _fitting(self) -> list[Binding]:
        """Return the bindings that work now and have room, in their order; one of each action."""
        actions: dict[str, Binding] = {}
        for _, binding, _, _ in self.screen.active_bindings.values():
            if binding.show:
                actions.setdefault(binding.action, binding)
        row, room = [], self.app.size.width
        for binding in sorted(actions.values(), key=place):
            room -= len(f" {self.app.get_key_display(binding)}  {binding.description} ")
            if room < -1:
                break
            row.append(binding)
        return row


def place(binding: Binding) -> int:
    """Return where a key stands among the others; the order of the screen stays within each."""
    if binding.key in FIRST:
        return FIRST.index(binding.key)
    return len(FIRST) + (binding.key not in FUNCTION)
