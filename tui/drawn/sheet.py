"""A sheet of cells: drawings are put on it where they belong, and it becomes one `Content`.

Ours because a drawing overlaps: the framework lays texts out in rows, and no part of it lets a
wheel, a gauge and a word share one.
"""

from itertools import groupby

from rich.cells import cell_len
from textual.content import Content

GAP = ""


class CellSheet:
    """Cells of one character each, with a style in the words of the style sheets: `bold $open`."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._cells = [[(" ", "")] * width for _ in range(height)]

    def put(self, x: int, y: int, text: str, style: str = "") -> None:
        """Write a text from a cell on; what stands outside the sheet is left out.

        A character of two cells takes the one behind it as well.
        """
        if not 0 <= y < self.height:
            return
        for char in text:
            wide = cell_len(char)
            if x >= 0 and x + wide <= self.width:
                self._cells[y][x] = (char, style)
                for behind in range(x + 1, x + wide):
                    self._cells[y][behind] = (GAP, style)
            x += wide

    def put_content(self, x: int, y: int, content: Content) -> None:
        """Write one line with the styles of its spans from a cell on."""
        self.put(x, y, content.plain)
        for span in content.spans:
            before = cell_len(content.plain[: span.start])
            self.put(x + before, y, content.plain[span.start : span.end], str(span.style))

    def fill(self, x: int, y: int, width: int, height: int, style: str) -> None:
        """Give a rectangle one style and nothing on it."""
        for row in range(y, y + height):
            self.put(x, row, " " * width, style)

    def content(self) -> Content:
        """Return the rows, one under the other."""
        return Content("\n").join(_row(row) for row in self._cells)


def _row(cells: list[tuple[str, str]]) -> Content:
    runs = groupby(cells, key=lambda cell: cell[1])
    texts = [("".join(char for char, _ in run), style) for style, run in runs]
    return Content.assemble(*((text, style) if style else text for text, style in texts))
