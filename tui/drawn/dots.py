"""Dots of a drawing, eight to a character: bands, lines and levels merged in one layer.

Ours because two sets of dots in one cell do not merge in the plot widget: the later wipes the
earlier. A colour is one to a cell; what comes later has it.
"""

import numpy as np
from numpy.typing import NDArray

from tui.drawn.picture import Framed, How, RangeBand, RangeBar, Values

WIDE, HIGH = 2, 4
FIRST = 0x2800
DASH, GAP = 5, 4
SPAN = 3
EVERY = 3
"""A field has a dot in every so many columns, its rows staggered; an edge is dotted as far."""
_BITS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Dots:
    """A layer of dots over so many cells, in the coordinates of a framed picture."""

    def __init__(self, frame: Framed, width: int, height: int) -> None:
        self.frame, self.width, self.height = frame, width, height
        self.on: Mask = np.zeros((height * HIGH, width * WIDE), dtype=bool)
        self.columns, self.down = np.arange(width * WIDE), np.arange(height * HIGH)[:, None]
        self._roles = [""]
        self._role = np.zeros((height, width), dtype=np.intp)

    @property
    def size(self) -> tuple[int, int]:
        """Dots across and down."""
        return self.width * WIDE, self.height * HIGH

    def column(self, x: float) -> int:
        """Return the column of dots of a place."""
        frame = self.frame
        return round((x - frame.left) / (frame.right - frame.left) * (self.size[0] - 1))

    def row(self, y: float) -> int:
        """Return the row of dots of a height, the top row first."""
        return round(float(self._rows(np.array([y]))[0]))

    def role(self, x: int, y: int) -> str:
        """Return the role of a cell."""
        return self._roles[int(self._role[y, x])]

    def line(self, xs: Values, ys: Values, how: How, role: str = "") -> None:
        """Draw a curve; where it is steep its columns are joined."""
        rows = self._along(xs, ys)
        before, after = (np.where(np.isnan(one), rows, (rows + one) / 2) for one in _beside(rows))
        top = np.minimum(rows, np.minimum(before, after))
        bottom = np.maximum(rows, np.maximum(before, after)) + (1.0 if how == "double" else 0.0)
        on = self._between(top, bottom)
        if how == "dashed":
            on &= self.columns % (DASH + GAP) < DASH
        self._put(on, role)

    def band(self, one: RangeBand) -> None:
        """Draw a range: a staggered field of dots, or its two dotted edges."""
        edges = self._along(one.xs, one.low), self._along(one.xs, one.high)
        top, bottom = np.minimum(*edges), np.maximum(*edges)
        every = self.columns % EVERY == 0
        if one.filled:
            shift = np.where(self.columns // EVERY % 2, 2, 0)
            self._put(self._between(top, bottom) & every & (self.down % HIGH == shift), one.role)
        else:
            self._put((self._between(top, top) | self._between(bottom, bottom)) & every, one.role)

    def level(self, y: float, role: str = "", every: int = 1) -> None:
        """Draw a line straight across."""
        self._put((self.down == self.row(y)) & (self.columns % every == 0), role)

    def upright(self, x: float, role: str = "", every: int = 2) -> None:
        """Draw a line straight up."""
        self._put((self.columns == self.column(x)) & (self.down % every == 0), role)

    def span(self, one: RangeBar) -> None:
        """Draw a range at one place, four dots wide: whole, or open with dotted sides."""
        first = self.column(one.x) // WIDE * WIDE
        beside = self.columns - first
        top, bottom = self.row(one.high), self.row(one.low)
        inside = (self.down >= top) & (self.down <= bottom) & (beside >= 0) & (beside <= SPAN)
        if not one.filled:
            sides = ((beside == 0) | (beside == SPAN)) & (self.down % 2 == 0)
            inside &= sides | (self.down == top) | (self.down == bottom)
        self._put(inside, one.role)

    def rows(self) -> list[str]:
        """Return the layer as rows of characters, a blank where there is no dot."""
        cells = self.on.reshape(self.height, HIGH, self.width, WIDE)
        codes = np.einsum("hiwj,ij->hw", cells, _BITS)
        return ["".join(chr(FIRST + code) if code else " " for code in row) for row in codes]

    def _rows(self, y: Floats) -> Floats:
        frame = self.frame
        share: Floats = (y - frame.low) / (frame.high - frame.low)
        return (1.0 - share) * (self.size[1] - 1)

    def _along(self, xs: Values, ys: Values) -> Floats:
        """Return the row of a curve at every column of dots; NaN where it does not go."""
        x, y = (np.array([np.nan if v is None else v for v in one]) for one in (xs, ys))
        there = ~(np.isnan(x) | np.isnan(y))
        if there.sum() < 2:
            return np.full(self.size[0], np.nan)
        at = np.linspace(self.frame.left, self.frame.right, self.size[0])
        return self._rows(np.interp(at, x[there], y[there], left=np.nan, right=np.nan))

    def _between(self, top: Floats, bottom: Floats) -> Mask:
        """Return the dots from one row to another in each column, none where there is no row."""
        # A comparison with NaN is false, so a column without a curve stays empty.
        first, last = np.floor(top + 0.5), np.floor(bottom + 0.5)
        return (self.down >= first) & (self.down <= last)

    def _put(self, on: Mask, role: str) -> None:
        self.on |= on
        if role not in self._roles:
            self._roles.append(role)
        cells = on.reshape(self.height, HIGH, self.width, WIDE).any(axis=(1, 3))
        self._role[cells] = self._roles.index(role)


def _beside(rows: Floats) -> tuple[Floats, Floats]:
    """Return each column's neighbours on the left and on the right."""
    end = np.array([np.nan])
    return np.concatenate((end, rows[:-1])), np.concatenate((rows[1:], end))
