"""Picks a file of the laptop, by the framework's own tree of folders."""

from collections.abc import Iterable
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen
from textual.widgets import DirectoryTree, Static

from tui.visible import visible
from tui.widgets.key_row import KeyRow

TABLES = frozenset({".csv", ".tsv", ".txt"})


class TableTree(DirectoryTree):
    """Folders and what may be a table in them; nothing hidden, marks that every terminal has."""

    ICON_NODE, ICON_NODE_EXPANDED, ICON_FILE = "+ ", "- ", "  "

    def filter_paths(self, paths: Iterable[Path]) -> Iterable[Path]:
        """Keep folders and files by the ends of their names."""
        return [one for one in paths if not one.name.startswith(".") and _is_offered(one)]


def _is_offered(path: Path) -> bool:
    try:
        return path.is_dir() or path.suffix.lower() in TABLES
    except OSError:
        return False


class FilePicker(ModalScreen[Path | None]):
    """Arrows walk, Enter opens a folder or takes a file, Backspace goes a folder up."""

    DEFAULT_CSS = """
    FilePicker { background: $background; }
    FilePicker TableTree { height: 1fr; }
    FilePicker Static { height: 1; }
    """
    BINDINGS = [
        Binding("escape", "leave", "leave", key_display="Esc", id="picker.leave"),
        Binding("backspace", "up", "folder up", key_display="Bksp", id="picker.up"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path.cwd()

    def compose(self) -> ComposeResult:
        yield Static(id="where", markup=False)
        yield TableTree(self.folder)
        yield KeyRow()

    def on_mount(self) -> None:
        self._say_where()
        self.query_one(TableTree).focus()

    def _say_where(self) -> None:
        width = (self.size.width or 80) - 2
        self.query_one("#where", Static).update(f" {visible(str(self.folder), width)}")

    def on_directory_tree_file_selected(self, event: DirectoryTree.FileSelected) -> None:
        event.stop()
        self.dismiss(event.path)

    def action_up(self) -> None:
        """Show the folder this one is in."""
        self.folder = self.folder.parent
        self.query_one(TableTree).path = self.folder
        self._say_where()

    def action_leave(self) -> None:
        """Pick none."""
        self.dismiss(None)
