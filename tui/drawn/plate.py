"""A plate: the decision in white on a dark ground, its numbers in large figures.

Blue waits for a hand, teal is settled, purple is only computed, red is danger; the words on the
plate or in the row above it say the same.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from textual.content import Content

from tui.drawn.figures import from_to
from tui.drawn.sheet import CellSheet
from tui.wrapped import wrapped

Kind = Literal["open", "done", "danger", "forecast"]
MARGIN, GAP = 1, 2


class Plate(NamedTuple):
    """What a plate says.

    head: over it, in capitals.  before, after: a number and what it becomes; empty for none.
    says: beside the figures, a row each.  below: further rows under them.
    large: the figures as large as there is room, their words under them rather than beside.
    """

    kind: Kind
    head: str
    before: str = ""
    after: str = ""
    says: tuple[str, ...] = ()
    below: tuple[str, ...] = ()
    large: bool = False

    def at(self, size: str) -> "Plate":
        """Return it with `large` figures as it asks for, with `small` ones, or in `words`."""
        if size == "large" or not self.after:
            return self
        if size == "small":
            return self._replace(large=False)
        told = (f"{self.before} → {self.after}", *self.says)
        return self._replace(before="", after="", says=(), below=(", ".join(told), *self.below))


def drawn(plate: Plate, width: int) -> Content:
    """Draw a plate across so many cells, as many rows as it takes."""
    rows = plate_rows(plate, width)
    sheet = CellSheet(width, len(rows))
    style = f"bold $plate-words on $plate-{plate.kind}"
    sheet.fill(0, 0, width, len(rows), style)
    for number, row in enumerate(rows):
        sheet.put(MARGIN, number, row, style)
    return sheet.content()


def plate_rows(plate: Plate, width: int) -> list[str]:
    """Return the rows of a plate as text."""
    room = width - 2 * MARGIN
    head = wrapped(plate.head, room)
    widest = max((len(one) for one in plate.says), default=0)
    large = _figures(plate, room, room - widest - GAP)
    words = room - (len(large[0]) + GAP if large else 0)
    says: Sequence[str] = plate.says
    if plate.after and not large:
        says = (f"{plate.before} → {plate.after}", *says)
    if large and widest > words:
        lines = [*large, *(row for one in says for row in wrapped(one, room))]
    elif large:
        beside = [*says, *[""] * (len(large) - len(says))]
        lines = [f"{row}{' ' * GAP}{text}" for row, text in zip(large, beside, strict=False)]
        lines += [" " * (len(large[0]) + GAP) + text for text in says[len(large) :]]
    else:
        lines = [row for one in says for row in wrapped(one, room)]
    return [*head, *lines, *(row for one in plate.below for row in wrapped(one, room))]


def _figures(plate: Plate, room: int, beside: int) -> list[str]:
    """Return the figures of a plate; `beside` is the room where its words stand beside them."""
    if not plate.after:
        return []
    first, second = (room, beside) if plate.large else (beside, room)
    return from_to(plate.before, plate.after, first) or from_to(plate.before, plate.after, second)
