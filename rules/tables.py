"""Plain tables, for a file or a printed page."""

from dataclasses import dataclass

Cell = str | float | None


@dataclass(frozen=True)
class Table:
    """A table: the names of its columns, and its rows."""

    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
