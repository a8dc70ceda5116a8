"""Picks a file of the laptop, one folder at a time."""

from collections.abc import Iterator
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding
from textual.events import Resize
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.arranged import touch_rows
from tui.visible import visible
from tui.widgets.key_row import KeyRow

TABLES = frozenset({".csv", ".tsv", ".txt"})
NOTHING = "  No folder and no table in here: Backspace goes a folder up."
UNREAD = "  This folder cannot be read: Backspace goes a folder up."


def offered(folder: Path) -> list[Path]:
    """Return the folders in a folder, then what may be a table; nothing hidden.

    OSError: the folder cannot be read.
    """
    seen = [one for one in folder.iterdir() if not one.name.startswith(".")]
    folders = [one for one in seen if _is_folder(one)]
    tables = [one for one in seen if one.suffix.lower() in TABLES and one not in folders]
    return sorted(folders) + sorted(tables)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:
        return False


class Listed(OptionList):
    """The folder's rows; Enter is named at the foot of the screen."""

    BINDINGS = [
        Binding("enter", "select", "open or take", key_display="Enter", id="picker.take"),
    ]


class FilePicker(ModalScreen[Path | None]):
    """Arrows walk, Enter opens a folder or takes a file, Backspace goes a folder up."""

    DEFAULT_CSS = """
    FilePicker { background: $background; }
    FilePicker OptionList {
        height: 1fr; border: none; padding: 0; background: $background; color: $foreground;
        background-tint: transparent 0%; scrollbar-size-vertical: 1;
    }
    FilePicker OptionList:focus { border: none; background-tint: transparent 0%; }
    FilePicker OptionList > .option-list--option-highlighted {
        color: $marked-words; background: $marked; text-style: bold;
    }
    FilePicker OptionList > .option-list--option-hover { background: $background; }
    FilePicker #where { height: 1; text-style: bold; }
    """
    BINDINGS = [
        Binding("escape", "leave", "leave", key_display="Esc", id="picker.leave"),
        Binding("backspace", "up", "folder up", key_display="Bksp", id="picker.up"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path.cwd()
        self.offered: list[Path] = []

    def compose(self) -> ComposeResult:
        yield Static(id="where", markup=False)
        yield Listed(markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    def on_resize(self, event: Resize) -> None:
        self._show(self.query_one(OptionList).highlighted or 0)

    def _show(self, marked: int = 0) -> None:
        """Draw the folder; a row has the height that a finger needs in this window."""
        width, height = self.size.width or 80, self.size.height or 24
        self.query_one("#where", Static).update(f" {visible(str(self.folder), width - 2)}")
        listed = self.query_one(OptionList)
        told = ""
        try:
            self.offered = offered(self.folder)
        except OSError:
            self.offered, told = [], UNREAD
        listed.set_options(self._rows(width - 3, touch_rows(height)))
        if self.offered:
            listed.highlighted = min(marked, len(self.offered) - 1)
        else:
            listed.add_option(Option(told or NOTHING, disabled=True))

    def _rows(self, width: int, high: int) -> Iterator[Option]:
        for path in self.offered:
            mark = "+ " if _is_folder(path) else "  "
            yield Option(f"{mark}{visible(path.name, width - 2)}" + "\n" * (high - 1))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        chosen = self.offered[event.option_index]
        if _is_folder(chosen):
            self._go_to(chosen)
        else:
            self.dismiss(chosen)

    def _go_to(self, folder: Path, marked: Path | None = None) -> None:
        self.folder = folder
        self._show()
        if marked in self.offered:
            self.query_one(OptionList).highlighted = self.offered.index(marked)

    def action_up(self) -> None:
        """Show the folder this one is in, this one marked."""
        self._go_to(self.folder.parent, self.folder)

    def action_leave(self) -> None:
        """Pick none."""
        self.dismiss(None)
