"""A picture in high-resolution characters, by the framework's native plot widget.

What is added to it: ranges as fields of dots or edges, lines told apart by how they are drawn,
levels and uprights with their words, open axes, and the key where nothing is drawn. Imported when
a picture is first asked for: it brings the array library.
"""

from textual_hires_canvas import Canvas
from textual_hires_canvas.canvas import TextAlign
from textual_plot import PlotWidget

from tui.drawn.dots import HIGH, WIDE, Dots
from tui.drawn.picture import Picture, places, tick_words, ticks

Weights = list[list[int]]
"""By cell, how much is lost where words hide it."""
LINE, WORD = 8, 40
CELLS_A_TICK = 14
ROWS_A_TICK = 4
LEFT = 7
APART = 2
"""Cells that the key stays away from other words."""


class Plot(PlotWidget):
    """Draws one picture; it takes neither focus nor keys."""

    can_focus = False

    def __init__(self, picture: Picture | None = None, id: str | None = None) -> None:
        super().__init__(id=id, allow_pan_and_zoom=False)
        self.picture = picture
        self.dots = (0, 0)

    def on_mount(self) -> None:
        self.margin_top = self.margin_bottom = 0
        self.margin_left = LEFT
        # Its colours are those of the theme that was on when it was drawn.
        self.app.theme_changed_signal.subscribe(self, lambda _: self._rerender())

    def show(self, picture: Picture) -> None:
        """Draw another picture."""
        self.picture = picture
        self._rerender()

    def _render_plot(self) -> None:
        # The widget offers no other place between its canvas and its axes: the version is pinned.
        canvas = self.query_one("#plot", Canvas)
        if self.picture is None or not canvas._canvas_size.area:
            return
        width, height = canvas._canvas_size
        with canvas.batch_refresh():
            canvas.reset()
            layer = Dots(self.picture.framed(), width - 1, height - 1)
            self.dots = layer.size
            taken = self._draw(layer)
            for y, row in enumerate(layer.rows()):
                for x, char in enumerate(row):
                    if char != " ":
                        canvas.set_pixel(x + 1, y, char, self._style(layer.role(x, y)))
            self._axes(canvas, layer)
            self._words(canvas, layer, taken)

    def _draw(self, layer: Dots) -> Weights:
        """Draw bands first, lines over them, and levels last; return what words should not hide."""
        picture = layer.frame.picture
        for band in picture.bands:
            layer.band(band)
        bands = layer.rows()
        for upright in picture.uprights:
            layer.upright(upright.x, upright.role)
        for span in picture.spans:
            layer.span(span)
        for line in picture.lines:
            layer.line(line.xs, line.ys, line.how, line.role)
        taken = [
            [
                0 if char == " " else 1 if char == band else LINE
                for char, band in zip(*rows, strict=True)
            ]
            for rows in zip(layer.rows(), bands, strict=True)
        ]
        if layer.frame.low < 0.0 < layer.frame.high:
            layer.level(0.0, every=6)
        for level in picture.levels:
            layer.level(level.y, level.role)
        return taken

    def _style(self, role: str) -> str:
        theme = self.app.theme_variables
        return theme.get(role) or theme["foreground"]

    def _axes(self, canvas: Canvas, layer: Dots) -> None:
        """Draw open axes; the heights stand in the margin, the places on the axis itself."""
        style, frame = self._style("label"), layer.frame
        width, height = layer.width + 1, layer.height
        for y in range(height):
            canvas.set_pixel(0, y, "│", style)
        for x in range(width):
            canvas.set_pixel(x, height, "─" if x else "└", style)
        left = self.query_one("#margin-left", Canvas)
        left.reset()
        ups = ticks(frame.low, frame.high, max(2, height // ROWS_A_TICK))
        for value, words in zip(ups, tick_words(ups), strict=True):
            y = layer.row(value) // HIGH
            canvas.set_pixel(0, y, "┤", style)
            left.write_text(LEFT - 2, y, f"[{style}]{words[: LEFT - 1]}", TextAlign.RIGHT)
        for value, words in places(frame, max(2, width // CELLS_A_TICK)):
            x = layer.column(value) // WIDE + 1 - len(words) // 2
            x = max(1, min(x, width - len(words)))
            for at, char in enumerate(words):
                canvas.set_pixel(x + at, height, char, style)

    def _words(self, canvas: Canvas, layer: Dots, taken: Weights) -> None:
        """Write marks, the words of levels and uprights, and the key where it hides least."""
        picture = layer.frame.picture

        def put(x: int, y: int, text: str, role: str) -> None:
            x = max(0, min(x, layer.width - len(text)))
            y = max(0, min(y, layer.height - 1))
            for at, char in enumerate(text[: layer.width]):
                canvas.set_pixel(x + 1 + at, y, char, f"bold {self._style(role)}")
                taken[y][x + at] = WORD

        for mark in picture.marks:
            x, y = layer.column(mark.x) // WIDE, layer.row(mark.y) // HIGH
            put(x, y, mark.char, mark.role)
            if mark.words:
                wide = len(mark.words)
                put(x + 2 if x + 2 + wide < layer.width else x - wide - 1, y, mark.words, mark.role)
        rows = {layer.row(level.y) // HIGH for level in picture.levels}
        for level in picture.levels:
            y = layer.row(level.y) // HIGH
            if where := _on_level(taken, y, len(level.words), rows - {y}):
                put(*where, level.words, level.role)
        for upright in picture.uprights:
            x, wide = layer.column(upright.x) // WIDE + 1, len(upright.words)
            x = x if x + wide <= layer.width else x - wide - 1
            free = (y for y in range(layer.height) if _is_free(taken, x, y, wide))
            put(x, next(free, layer.height - 1), upright.words, upright.role)
        for level in picture.levels:
            y = layer.row(level.y) // HIGH
            if 0 <= y < layer.height:
                taken[y] = [max(one, LINE) for one in taken[y]]
        key = picture.whole_key
        lines = [picture.title, *(f"{one.sample} {one.words}" for one in key)]
        left, top = _free_block(taken, max(map(len, lines)), len(lines))
        for number, line in enumerate(lines):
            put(left, top + number, line, key[number - 1].role if number else "")


def _is_free(taken: Weights, x: int, y: int, wide: int) -> bool:
    inside = 0 <= y < len(taken) and x >= 0 and x + wide <= len(taken[0])
    return inside and not any(taken[y][x : x + wide])


def _free_block(taken: Weights, wide: int, high: int) -> tuple[int, int]:
    """Return where a block of words hides least, the right and the top first."""
    best, where = WORD * len(taken) * len(taken[0]), (max(0, len(taken[0]) - wide), 0)
    for top in range(max(1, len(taken) - high + 1)):
        for left in range(len(taken[0]) - wide, -1, -2):
            rows = taken[top : top + high]
            hides = sum(sum(row[max(0, left - APART) : left + wide + APART]) for row in rows)
            if hides < best:
                best, where = hides, (left, top)
    return where


def _on_level(taken: Weights, y: int, wide: int, others: set[int]) -> tuple[int, int] | None:
    """Return where the words of a level stand: on it, just below or above, the left first.

    others: rows of other levels. None where other words stand there already.
    """
    for down in (one for one in (y, y + 1, y - 1) if one not in others):
        for x in range(1, max(2, len(taken[0]) - wide), 3):
            if _is_free(taken, x - 1, down, wide + 2):
                return x, down
    row = taken[y] if 0 <= y < len(taken) else []
    return None if WORD in row[1 : 1 + wide] else (1, y)
