"""The car as two rows, front and rear, where a list or a picture needs the width."""

from textual.content import Content

from tui.drawn.car_view import CarView, Shown
from tui.drawn.gauge import gauge

LEAST_BAR, MOST_BAR = 4, 10


def car_rows(view: CarView, width: int) -> Content:
    """Return a row for each axle: each pair of knobs once, with its gauge as there is room.

    Sides that stand apart are told both, left and right; levers that are off or meant follow.
    """
    rows = []
    for end in ("front", "rear"):
        pairs = _pairs(view, end)
        levers = [one for one in view.levers if one.stands_out and _end(one) == end]
        texts = [_told(pair) for pair in pairs] + [_lever(one) for one in levers]
        head = f"{end.upper():<5} "
        rows.append(_row(head, texts, [pair[-1] for pair in pairs], width))
    return Content("\n").join(rows)


def _end(one: Shown) -> str:
    """Return the row of a lever: the rear's where it says so, otherwise the front's."""
    return "rear" if "rear" in one.name else "front"


def _pairs(view: CarView, end: str) -> list[tuple[Shown, ...]]:
    """Return the knobs of an axle, both sides of one name together, what stands out last of two."""
    left, right = view.knobs[f"left {end}"], view.knobs[f"right {end}"]
    found: list[tuple[Shown, ...]] = []
    for one in left:
        twin = next((other for other in right if other.name == one.name), None)
        found.append((one, twin) if twin else (one,))
    alone = [one for one in right if all(one.name != other.name for other in left)]
    return found + [(one,) for one in alone]


def _told(pair: tuple[Shown, ...]) -> Content:
    one, other = pair[0], pair[-1]
    if len(pair) == 1:
        text = f"{'LR'['right' in one.corner]} {one.short} {_count(one)}"
    elif _count(one) == _count(other):
        text = f"{one.short} {_count(one)}"
    else:
        text = f"{one.short} L{_count(one)} R{_count(other)}"
    marked = next((each for each in pair if each.mark in ("now", "to go", "stopped")), one)
    marked = marked if marked.mark else other
    style = f"bold {marked.style}".strip() if any(each.stands_out for each in pair) else ""
    sign = {"now": "►", "to go": "►", "done": "■", "stopped": "▲", "": ""}[marked.mark]
    return Content.styled(f"{sign}{text}", style) if style else Content(text)


def _count(one: Shown) -> str:
    return f"{one.count}→{one.goal}" if one.goal else f"{one.count} {one.net}".strip()


def _lever(one: Shown) -> Content:
    sign = "►" if one.goal else ""
    return Content.styled(f"{sign}{one.name} {_count(one)}", f"bold {one.style}".strip())


def _row(head: str, texts: list[Content], bars: list[Shown], width: int) -> Content:
    """Lay the texts of an axle out, their gauges as long as all of them have room for.

    What has no room is counted, never cut: `k` shows all of it.
    """
    shown = _as_many_as_fit(texts, width - len(head))
    drawn = [one for one in bars[: len(shown)] if one.now is not None]
    spare = width - len(head) - sum(text.cell_length for text in shown) - 2 * len(shown)
    bar = min(MOST_BAR, spare // max(1, len(drawn)) - 1)
    cells = []
    for number, text in enumerate(shown):
        one = bars[number] if number < min(len(bars), len(texts)) else None
        if one is not None and one.now is not None and bar >= LEAST_BAR:
            text += Content(" ") + gauge(bar, one.now, one.base, one.aim, one.style)
        cells.append(text)
    return Content.styled(head, "bold") + Content("  ").join(cells)


def _as_many_as_fit(texts: list[Content], room: int) -> list[Content]:
    """Return the texts that have room two cells apart, and how many more there are."""
    for count in range(len(texts), 0, -1):
        more = len(texts) - count
        shown = [*texts[:count], *([Content(f"+{more} on k")] if more else [])]
        if sum(text.cell_length for text in shown) + 2 * (len(shown) - 1) <= room:
            return shown
    return [Content(f"+{len(texts)} on k")] if texts else []
