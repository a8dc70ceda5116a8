"""A knob as a gauge: from its softest (least) end at the left to its firmest at the right.

A heavy line up to the count, an upright at the baseline, solid block for more than the baseline,
shade for less, and what is still to be turned as another shade: a knob off its baseline is seen
before it is read, on one colour as well. The count and the net beside it are the truth.
"""

from itertools import groupby

from textual.content import Content

HEAVY, LIGHT = "━", "─"
AT, MORE_THAN, LESS_THAN = "╉", "╋", "╂"
MORE, LESS, TO_GO = "█", "░", "▒"
END = "╸"


def gauge(
    width: int,
    now: float,
    base: float | None = None,
    goal: float | None = None,
    style: str = "",
    to_go: str = "$open",
) -> Content:
    """Draw a gauge; every place is a share of the range, 0 at the soft end and 1 at the firm one.

    base: the baseline.  goal: where an open turn leads.
    style: of what is off the baseline; to_go: of what is still to be turned.
    """
    last = width - 1
    at = _cell(now, last)
    mark = None if base is None else _cell(base, last)
    if base is not None and mark is not None and now != base and at == mark:
        # A knob of many marks moves less than a cell a click: one off must show.
        at, mark = _apart(mark, now > base, last)
    cells = [(HEAVY if place < at else LIGHT, "") for place in range(width)]
    if mark is None or base is None:
        cells[at] = (END, "bold")
    elif now >= base:
        for place in range(mark + 1, at + 1):
            cells[place] = (MORE, f"bold {style}".strip())
        cells[mark] = (MORE_THAN if at > mark else AT, "bold")
    else:
        for place in range(at, mark):
            cells[place] = (LESS, f"bold {style}".strip())
        cells[mark] = (LESS_THAN, "bold")
    if goal is not None and goal != now:
        for place in _between(at, _cell(goal, last), goal > now, mark, last):
            cells[place] = (TO_GO, f"bold {to_go}")
    return _joined(cells)


def _between(at: int, aim: int, firmer: bool, mark: int | None, last: int) -> list[int]:
    """Return the cells from a count to its goal, the baseline's left out; at least one."""
    ends = (at + 1, aim) if firmer else (aim, at if mark != at and mark is not None else at - 1)
    found = [place for place in range(max(0, ends[0]), min(last, ends[1]) + 1) if place != mark]
    beside = at + 1 if firmer else at - 1
    return found or [place for place in (at, beside) if place != mark and 0 <= place <= last][:1]


def _cell(share: float, last: int) -> int:
    return max(0, min(last, round(share * last)))


def _apart(mark: int, firmer: bool, last: int) -> tuple[int, int]:
    """Return two cells beside each other for a count and its baseline."""
    at = mark + 1 if firmer else mark - 1
    if at > last:
        return last, last - 1
    return (0, 1) if at < 0 else (at, mark)


def _joined(cells: list[tuple[str, str]]) -> Content:
    runs = [
        ("".join(char for char, _ in run), style)
        for style, run in groupby(cells, key=lambda cell: cell[1])
    ]
    return Content.assemble(*((text, style) if style else text for text, style in runs))
