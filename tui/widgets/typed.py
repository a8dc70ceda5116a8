"""The line a number or a name is typed in."""

from textual.binding import Binding
from textual.events import Key, Paste
from textual.widgets import Input

NUMERALS = frozenset("0123456789.,-+")


class Typed(Input):
    """A line to type in. Where only a number fits, letters stay the keys of the screen."""

    BINDINGS = [
        Binding(
            "enter", "submit", "take", key_display="Enter", id="typed.take",
            tooltip="Take what is typed",
        ),
        Binding(
            "backspace", "delete_left", "back", key_display="Bksp", id="typed.back",
            tooltip="Erase; on an empty line the question before",
        ),
    ]  # fmt: skip

    number_only = False

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Tell whether a key is text here, and so not a key of the screen."""
        if self.number_only and not set(character or "x") <= NUMERALS:
            return False
        return super().check_consume_key(key, character)

    async def on_key(self, event: Key) -> None:
        if event.is_printable and not self.check_consume_key(event.key, event.character):
            event.prevent_default()

    def on_paste(self, event: Paste) -> None:
        event.stop()
        event.prevent_default()
        line = " ".join(event.text.splitlines())
        selection = self.selection
        if selection.is_empty:
            self.insert_text_at_cursor(line)
        else:
            self.replace(line, *selection)
