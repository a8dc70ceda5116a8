"""Words that somebody typed, made harmless for a terminal; what is stored stays as typed."""

from rich.cells import cell_len, chop_cells

from rules.harmless import steers


def visible(text: str, cells: int | None = None) -> str:
    """Return the text on one line without control or direction characters, cut to `cells`."""
    plain = text if text.isprintable() else "".join(_shown(char) for char in text)
    if cells is None or cell_len(plain) <= cells:
        return plain
    return chop_cells(plain, max(1, cells - 3))[0] + "..."


def _shown(char: str) -> str:
    if char in "\n\r\t":
        return " "
    return "?" if steers(char) else char
