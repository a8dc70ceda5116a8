"""A dyno table drawn: force against piston speed, a line for each of a few counts."""

from rules.car.table_ends import read
from rules.units import UNITS, Quantity, System
from tui.pages.drawings import plot

LINES = "0123456789"
MOST_LINES = 4
LEAST_ROWS = 6


def table_drawing(rows: tuple[str, ...], system: System, width: int, height: int) -> list[str]:
    """Draw a table: its softest and firmest counts, and up to two between; nothing without room.

    Raises:
        DynoTableError: if the rows are no table.
    """
    if height < LEAST_ROWS:
        return []
    table = read(rows)
    speed, force = (UNITS[one, system] for one in (Quantity.PISTON_SPEED, Quantity.FORCE))
    across = tuple(one / speed.si for one in table.speeds)
    chosen = _some(sorted(range(len(table.settings)), key=table.settings.__getitem__))
    lines = [
        (LINES[number], tuple(row[place] / force.si for row in table.forces))
        for number, place in enumerate(chosen, 1)
    ]
    key = "   ".join(
        f"{LINES[number]} at {table.settings[place]:g}" for number, place in enumerate(chosen, 1)
    )
    title = f"{force.name} by {speed.name}, at the knob's count:   {key}"
    return plot(title, across, lines, width, height)


def _some(places: list[int]) -> list[int]:
    """Return a few places evenly, both ends among them."""
    if len(places) <= MOST_LINES:
        return places
    step = (len(places) - 1) / (MOST_LINES - 1)
    return [places[round(number * step)] for number in range(MOST_LINES)]
