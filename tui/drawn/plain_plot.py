"""A picture in plain characters, for pipes, files and paper: every line by its own letter."""

from tui.drawn.picture import Framed, Picture, places, tick_words, ticks

BAND_SIGN, LEVEL_SIGN, UPRIGHT_SIGN = ".", "=", "|"
LEFT = 8
CELLS_A_TICK, ROWS_A_TICK = 12, 4


def plain_plot(picture: Picture, width: int, height: int) -> list[str]:
    """Draw a picture within so many columns and rows: title, plot, ticks.

    What is drawn later hides what was drawn before; the key is the caller's.
    """
    frame = picture.framed()
    columns, rows = max(8, width - LEFT), max(3, height - 3)
    cells = [[" "] * columns for _ in range(rows)]

    def put(x: float | None, y: float | None, sign: str) -> None:
        if x is None or y is None:
            return
        column = round((x - frame.left) / (frame.right - frame.left) * (columns - 1))
        row = round((frame.high - y) / (frame.high - frame.low) * (rows - 1))
        if 0 <= column < columns and 0 <= row < rows:
            cells[row][column] = sign

    for upright in picture.uprights:
        for row in range(rows):
            put(upright.x, _height(frame, row, rows), UPRIGHT_SIGN)
    for level in picture.levels:
        for column in range(columns):
            put(_place(frame, column, columns), level.y, LEVEL_SIGN)
    for band in picture.bands:
        for edge in (band.low, band.high):
            for x, y in zip(band.xs, edge, strict=True):
                put(x, y, BAND_SIGN)
    for span in picture.spans:
        for row in range(rows):
            y = _height(frame, row, rows)
            put(span.x, y if span.low <= y <= span.high else None, BAND_SIGN)
    for line in picture.lines:
        for x, y in zip(line.xs, line.ys, strict=True):
            put(x, y, line.sign)
    for mark in picture.marks:
        put(mark.x, mark.y, mark.char)
    return _with_axes(frame, picture, ["".join(row) for row in cells], width)


def _with_axes(frame: Framed, picture: Picture, rows: list[str], width: int) -> list[str]:
    columns = len(rows[0])
    heights: dict[int, str] = {}
    ups = ticks(frame.low, frame.high, max(2, len(rows) // ROWS_A_TICK))
    for y, words in zip(ups, tick_words(ups), strict=True):
        heights[round((frame.high - y) / (frame.high - frame.low) * (len(rows) - 1))] = words
    told = [f"{heights.get(at, ''):>{LEFT - 2}} {'+' if at in heights else '|'}{row}".rstrip()
            for at, row in enumerate(rows)]  # fmt: skip
    foot, numbers = ["-"] * columns, [" "] * (columns + LEFT)
    for x, words in places(frame, max(2, columns // CELLS_A_TICK)):
        column = round((x - frame.left) / (frame.right - frame.left) * (columns - 1))
        foot[column] = "+"
        start = min(LEFT + column - len(words) // 2, len(numbers) - len(words))
        numbers[start : start + len(words)] = words
    axis = " " * (LEFT - 1) + "+" + "".join(foot)
    title = picture.title.center(width)[:width].rstrip()
    return [title, *told, axis, "".join(numbers).rstrip()]


def _height(frame: Framed, row: int, rows: int) -> float:
    return frame.high - row / (rows - 1) * (frame.high - frame.low)


def _place(frame: Framed, column: int, columns: int) -> float:
    return frame.left + column / (columns - 1) * (frame.right - frame.left)
