"""A picture as data: what is drawn, in crew units, before anything says how.

The screen draws it in high-resolution characters (`tui/widgets/plot.py`), a pipe in plain ones
(`tui/drawn/plain_plot.py`). Lines are told apart by how they are drawn and by their label; the
colour of a role only says it again.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

Values = Sequence[float | None]
How = Literal["single", "double", "dashed"]


@dataclass(frozen=True)
class DrawnLine:
    """A curve with its name. sign: its letter where there are only plain characters."""

    name: str
    xs: Values
    ys: Values
    how: How = "single"
    role: str = ""
    sign: str = "o"


@dataclass(frozen=True)
class RangeBand:
    """A range along a curve: a field of dots, or its two edges."""

    name: str
    xs: Values
    low: Values
    high: Values
    filled: bool = False
    role: str = ""


@dataclass(frozen=True)
class Level:
    """A line straight across at a height, with its words."""

    y: float
    words: str
    role: str = ""


@dataclass(frozen=True)
class Upright:
    """A line straight up at a place, with its words."""

    x: float
    words: str
    role: str = ""


@dataclass(frozen=True)
class RangeBar:
    """A range at one place, from one height to another; filled, or its outline."""

    x: float
    low: float
    high: float
    role: str = ""
    filled: bool = False


@dataclass(frozen=True)
class Mark:
    """One point as a character, with words beside it where there are any."""

    x: float
    y: float
    char: str
    role: str = ""
    words: str = ""


@dataclass(frozen=True)
class KeyEntry:
    """One entry of the key: a sample, what it stands for, and its role."""

    sample: str
    words: str
    role: str = ""


@dataclass(frozen=True)
class Picture:
    """What is drawn: a title with the units of both axes, and what stands in it.

    across, up: the ends of the axes; taken from what is drawn where they are left out.
    named: places on the axis across with their words, in place of round numbers.
    key: beyond that of lines and bands.
    """

    title: str
    lines: tuple[DrawnLine, ...] = ()
    bands: tuple[RangeBand, ...] = ()
    levels: tuple[Level, ...] = ()
    uprights: tuple[Upright, ...] = ()
    spans: tuple[RangeBar, ...] = ()
    marks: tuple[Mark, ...] = ()
    across: tuple[float, float] | None = None
    up: tuple[float, float] | None = None
    named: tuple[tuple[float, str], ...] = ()
    key: tuple[KeyEntry, ...] = ()

    @property
    def whole_key(self) -> list[KeyEntry]:
        """The key: each line, its range behind it, and what else was given."""
        told = []
        for line in self.lines:
            ranges = [one for one in self.bands if one.role == line.role]
            more = "".join(f"  {FIELD if one.filled else EDGES} {one.name}" for one in ranges)
            told.append(KeyEntry(SAMPLES[line.how], line.name + more, line.role))
        return [*(one for one in told if one.words), *self.key]

    def framed(self) -> "Framed":
        """Return the picture with both ends of both axes."""
        across, up = self.across, self.up
        if across is None:
            every = [one.xs for one in self.lines] + [one.xs for one in self.bands]
            every += [[mark.x for mark in self.marks], [span.x for span in self.spans]]
            across = _ends(x for xs in every for x in xs)
        if up is None:
            left, right = across
            heights = [_within(line.xs, line.ys, left, right) for line in self.lines]
            for band in self.bands:
                heights += [_within(band.xs, edge, left, right) for edge in (band.low, band.high)]
            heights += [[mark.y for mark in self.marks], [level.y for level in self.levels]]
            heights += [[span.low, span.high] for span in self.spans]
            low, high = _ends(y for ys in heights for y in ys)
            give = (high - low) * MARGIN or 1.0
            up = (low - give, high + give)
        return Framed(replace(self, across=across, up=up), *across, *up)


MARGIN = 0.04
FIELD, EDGES = "⢕⢕", "··"
SAMPLES: dict[How, str] = {"single": "──", "double": "━━", "dashed": "╌ ╌"}


@dataclass(frozen=True)
class Framed:
    """A picture with the ends of its axes."""

    picture: Picture
    left: float
    right: float
    low: float
    high: float


def _within(xs: Values, ys: Values, left: float, right: float) -> list[float | None]:
    return [y for x, y in zip(xs, ys, strict=True) if x is not None and left <= x <= right]


def _ends(values: Iterable[float | None]) -> tuple[float, float]:
    there = [one for one in values if one is not None]
    if not there:
        return 0.0, 1.0
    low, high = min(there), max(there)
    return (low, high) if high > low else (low - 0.5, high + 0.5)


def places(frame: Framed, most: int) -> list[tuple[float, str]]:
    """Return what is written on the axis across, at most about so many words."""
    if frame.picture.named:
        every = -(-len(frame.picture.named) // max(most, 1))
        return list(frame.picture.named[::every])
    round_ones = ticks(frame.left, frame.right, most)
    return list(zip(round_ones, tick_words(round_ones), strict=True))


def ticks(low: float, high: float, most: int) -> list[float]:
    """Return round numbers between two ends, at most so many, a step of 1, 2 or 5 apart."""
    size = (high - low) / max(most, 1)
    power = 10.0 ** _floor_log(size)
    step = next(power * one for one in (1.0, 2.0, 5.0, 10.0) if power * one >= size - 1e-12)
    first = -(-(low - 1e-9 * step) // step)
    return [round(step * (first + n), 9) for n in range(most + 2) if step * (first + n) <= high]


def tick_words(values: Sequence[float]) -> list[str]:
    """Write ticks with as many decimals as tell them apart."""
    steps = [b - a for a, b in pairwise(values)]
    places = max(0, -_floor_log(min(steps) * 1.0001)) if steps else 2
    return [f"{value + 0.0:.{places}f}".replace("-", "−") for value in values]


def _floor_log(value: float) -> int:
    """Return the power of ten at or below a positive number."""
    power = 0
    while value >= 10.0:
        value, power = value / 10.0, power + 1
    while 0.0 < value < 1.0:
        value, power = value * 10.0, power - 1
    return power
