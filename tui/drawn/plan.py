"""The plan view: the car from above, nose up, its knobs as gauges beside their corners."""

from typing import NamedTuple

from textual.content import Content

from tui.drawn.car_view import CORNERS, CarView, Shown
from tui.drawn.gauge import gauge
from tui.drawn.sheet import CellSheet

NARROW, WIDE = 38, 64
CAR, GAP = 10, 1
LEGEND = "╋ baseline  █ more, ░ less than it"
# From this width on a knob has its full name, and the levers follow.
FULL = WIDE


class _Layout(NamedTuple):
    """How much a corner takes: rows of a knob (name and gauge, or both on one), cells across."""

    side: int
    each: int
    named: bool

    def block(self, knobs: int) -> int:
        """Return the rows of a corner: its name, its knobs, and what is open of them."""
        return 1 + self.each * knobs + 1


def plan(view: CarView, width: int, height: int) -> Content:
    """Draw the car in so many cells; levers and the legend as there is room."""
    side = (width - CAR) // 2 - GAP
    front = max(len(view.knobs["left front"]), len(view.knobs["right front"]), 1)
    rear = max(len(view.knobs["left rear"]), len(view.knobs["right rear"]), 1)
    layout = _Layout(side, _rows_each(front + rear, len(view.levers), height), width >= FULL)
    spare = height - layout.block(front) - layout.block(rear)
    between = 1 if spare > 2 else 0
    rear_at = layout.block(front) + between
    sheet = CellSheet(width, height)
    # A lever that is open or off its baseline comes before the last rows of the drawing.
    out = min(max(0, spare - between), sum(one.stands_out for one in view.levers))
    tail = min(2, max(0, spare - out))
    car_rows = min(height - out, max(rear_at + layout.block(rear) + tail, 13))
    _car(sheet, side + GAP, car_rows, rear_at, view)
    for corner in CORNERS:
        x = 0 if corner.startswith("left") else side + CAR + 2 * GAP
        y = 0 if corner.endswith("front") else rear_at
        _corner(sheet, x, y, corner, view, layout)
    _below(sheet, car_rows, view)
    return sheet.content()


def corner_at(view: CarView, width: int, height: int, x: int, y: int) -> str:
    """Return the corner that a click on the plan means; empty beside all of them."""
    side = (width - CAR) // 2 - GAP
    if not (0 <= x < width and 0 <= y < height):
        return ""
    half = "left" if x < side + GAP + CAR // 2 else "right"
    front = max(len(view.knobs["left front"]), len(view.knobs["right front"]), 1)
    rear = max(len(view.knobs["left rear"]), len(view.knobs["right rear"]), 1)
    each = _rows_each(front + rear, len(view.levers), height)
    end = "front" if y < _Layout(side, each, named=False).block(front) + 1 else "rear"
    return f"{half} {end}"


def _rows_each(knobs: int, levers: int, height: int) -> int:
    """Return the rows of a knob: name and gauge, a blank row below them, or one row for both."""
    if 3 * knobs + 4 + levers + 5 <= height:
        return 3
    return 2 if 2 * knobs + 4 <= height else 1


def _corner(sheet: CellSheet, x: int, y: int, corner: str, view: CarView, layout: _Layout) -> None:
    """Draw the name of a corner and its knobs, each with its gauge below or beside it."""
    title = corner.upper()
    picked = view.picked == corner
    style = "bold $marked-words on $marked" if picked else "bold"
    sheet.put(x, y, f"{title:<{layout.side}}" if picked else title, style)
    knobs = view.knobs.get(corner, ())
    # Beside the turn that is asked for, the others of an order stand back.
    later = any(view.marks(one) == "now" for one in CORNERS)
    if not knobs:
        sheet.put(x, y + 1, "no knob" if corner in view.bare else "none in file", "$label")
    for number, one in enumerate(knobs):
        row = y + 1 + number * layout.each
        if layout.each > 1:
            _name(sheet, x, row, one, layout.side, layout.named, later)
            sheet.put_content(x, row + 1, _gauge(one, layout.side))
        else:
            _name(sheet, x, row, one, layout.side, False, later)
    order = next((one for one in knobs if one.mark in ("now", "stopped")), None)
    order = order or next((one for one in knobs if one.mark), None)
    if order is not None:
        at = y + 1 + layout.each * len(knobs)
        sheet.put(x, at, order.order[: layout.side], f"bold {order.style}")


def _name(
    sheet: CellSheet, x: int, y: int, one: Shown, width: int, named: bool, later: bool
) -> None:
    """Write a knob's name, its count and its net, or where it is to be turned."""
    count = f"{one.count}→{one.goal}" if one.goal else f"{one.count} {one.net}".strip()
    name = one.name if named and len(one.name) + len(count) < width else one.short
    if len(name) + len(count) + 1 > width:
        count = count if one.goal else one.count
    name = name[: max(1, width - len(count) - 1)]
    line = f"{name}{count:>{width - len(name)}}"
    style = "bold" if one.stands_out else ""
    if one.mark == "now" or (one.mark == "to go" and not later):
        style = "bold $plate-words on $plate-open"
    elif one.mark:
        style = f"bold {one.style}"
    sheet.put(x, y, line, style)


def _gauge(one: Shown, width: int) -> Content:
    if one.now is None:
        return Content("")
    return gauge(width, one.now, one.base, one.aim, one.style)


def _car(sheet: CellSheet, x: int, rows: int, rear_at: int, view: CarView) -> None:
    """Draw the body from above: nose, glass, wheels where their corners stand, bars behind."""
    tail = rows - (4 if view.wheelie_bars else 2)
    nose = ("  ╭────╮  ", " ╭╯╭──╮╰╮ ", " │ ╰──╯ │ ")
    for row in range(tail):
        sheet.put(x, row, nose[row] if row < len(nose) else " │      │ ")
    sheet.put(x, tail, " ╰──────╯ ")
    sheet.put(x, tail + 1, "  ▀▀▀▀▀▀  ")
    if view.wheelie_bars:
        sheet.put(x, tail + 2, "   │  │   ")
        sheet.put(x, tail + 3, "   ▀  ▀   ")
    middle = max(4, (rear_at + 3) // 2)
    _glass(sheet, x, middle, rear_at, tail)
    for corner in CORNERS:
        _wheel(sheet, x, corner, rear_at, tail, view)


def _glass(sheet: CellSheet, x: int, front: int, rear: int, tail: int) -> None:
    """Draw windshield and back glass; a drawing only, no text stands in this colour."""
    sheet.put(x + 2, front, "▄▄▄▄▄▄", "$glass")
    sheet.put(x + 2, front + 1, "▀████▀", "$glass")
    back = max(front + 3, rear - 1)
    if back < tail:
        sheet.put(x + 2, back, "▄████▄", "$glass")


def _wheel(sheet: CellSheet, x: int, corner: str, rear_at: int, tail: int, view: CarView) -> None:
    """Draw a tyre in the colour of what is open at its corner."""
    mark = view.marks(corner)
    style = {"now": "$open", "to go": "$open", "done": "$done", "stopped": "$danger"}.get(mark, "")
    front = corner.endswith("front")
    top, length = (2, 3) if front else (rear_at, max(2, min(4, tail - rear_at)))
    tyre = "█" if front else "██"
    left = x if corner.startswith("left") else x + CAR - len(tyre)
    for row in range(top, top + length):
        sheet.put(left, row, tyre, style)


def _below(sheet: CellSheet, y: int, view: CarView) -> None:
    """Write the levers that stand out, all of them where there is room, and the legend."""
    room = sheet.height - y
    if room < 1:
        return
    out = [one for one in view.levers if one.stands_out]
    rest = [one for one in view.levers if not one.stands_out]
    wide = sheet.width >= FULL
    listed = out + (rest if wide and len(out) + len(rest) + 2 <= room else [])
    listed = listed[: room - 1] if len(listed) > room else listed
    start = y + (1 if room > len(listed) + 1 else 0)
    for number, one in enumerate(listed):
        _lever(sheet, start + number, one)
    if room > len(listed) + (1 if listed else 0):
        sheet.put(0, sheet.height - 1, LEGEND[: sheet.width], "$label")


def _lever(sheet: CellSheet, y: int, one: Shown) -> None:
    """Write a lever on one row: its name, its setting, and its gauge where it has ends."""
    stands = f"{one.count} {one.net or one.unit}".strip()
    count = f"{one.count}→{one.goal}" if one.goal else stands
    style = "bold $open" if one.goal else "bold" if one.stands_out else ""
    bar = 13 if one.now is not None and sheet.width >= FULL else 0
    room = sheet.width - len(count) - 1 - (bar + 1 if bar else 0)
    text = f"{('► ' if one.goal else '') + one.name}"[:room]
    sheet.put(0, y, f"{text:<{room}} {count}", style)
    if bar:
        sheet.put_content(sheet.width - bar, y, _gauge(one, bar))
