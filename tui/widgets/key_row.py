"""The keys at the foot of a screen."""

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.content import Content
from textual.events import MouseDown, MouseMove, Resize
from textual.reactive import reactive
from textual.widget import Widget

if TYPE_CHECKING:
    from textual.screen import Screen

FIRST = ("enter", "backspace", "escape", "space", "plus")
FUNCTION = frozenset(f"f{number}" for number in range(1, 13))


class KeyRow(Widget):
    """The bindings that work now, in one row that is clickable; drawn as one, it costs as one.

    Enter and Backspace stand first, then Escape, Space, + and the function keys, then letters as
    the screen has them; where the window is too narrow, whole keys are left out from the end.

    shown: the bindings in it, in their order.
    """

    ALLOW_SELECT = False
    COMPONENT_CLASSES = {"key-row--cap", "key-row--words", "key-row--pointed"}
    DEFAULT_CSS = """
    KeyRow {
        dock: bottom; height: 1; text-wrap: nowrap; pointer: pointer;
        background: $footer-item-background; color: $footer-foreground;
    }
    KeyRow > .key-row--cap {
        color: $footer-key-foreground; background: $footer-key-background; text-style: bold;
    }
    KeyRow > .key-row--words, KeyRow > .key-row--pointed {
        color: $footer-description-foreground; background: $footer-description-background;
    }
    KeyRow > .key-row--pointed { text-style: underline; }
    """

    shown: reactive[tuple[Binding, ...]] = reactive(())
    pointed: reactive[Binding | None] = reactive(None)

    def __init__(self) -> None:
        super().__init__(id="keys")

    def render(self) -> Content:
        cap, words, pointed = (
            self.get_visual_style(f"key-row--{part}") for part in ("cap", "words", "pointed")
        )
        return Content(" ").join(
            Content.assemble(
                (f" {self.app.get_key_display(one)} ", cap),
                (f" {one.description}", pointed if one is self.pointed else words),
            )
            for one in self.shown
        )

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    def on_unmount(self) -> None:
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _bindings_changed(self, screen: "Screen[object]") -> None:
        # A window without the focus has no widget in it, whose keys work again when it comes back.
        if self.is_attached and screen is self.screen and self.app.app_focus:
            self.shown = self._fitting()

    def on_resize(self, event: Resize) -> None:
        self.shown = self._fitting()

    def on_mouse_down(self, event: MouseDown) -> None:
        if binding := self._at(event.x):
            self.app.simulate_key(binding.key)

    def on_mouse_move(self, event: MouseMove) -> None:
        self.pointed = self._at(event.x)
        self.tooltip = self.pointed.tooltip if self.pointed else None

    def on_leave(self) -> None:
        self.pointed = None

    def _at(self, column: int) -> Binding | None:
        """Return the binding that stands at a column of the row."""
        for binding in self.shown:
            if column < (width := self._width(binding) - 1):
                return binding if column >= 0 else None
            column -= width + 1
        return None

    def _width(self, binding: Binding) -> int:
        """Return the columns of a key with its words and the blank behind them."""
        return len(f" {self.app.get_key_display(binding)}  {binding.description} ")

    def _fitting(self) -> tuple[Binding, ...]:
        """Return the bindings that work now and have room, in their order; one of each action."""
        actions: dict[str, Binding] = {}
        for _, binding, _, _ in self.screen.active_bindings.values():
            if binding.show:
                actions.setdefault(binding.action, binding)
        row, room = [], self.app.size.width
        for binding in sorted(actions.values(), key=place):
            room -= self._width(binding)
            if room < -1:
                break
            row.append(binding)
        return tuple(row)


def place(binding: Binding) -> int:
    """Return where a key stands among the others; the order of the screen stays within each."""
    if binding.key in FIRST:
        return FIRST.index(binding.key)
    return len(FIRST) + (binding.key not in FUNCTION)
