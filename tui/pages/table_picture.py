"""A dyno table as a picture: force against piston speed, a line for each of a few counts."""

from typing import get_args

from rules.car.table_ends import read
from rules.units import UNITS, Quantity, System
from tui.drawn.picture import DrawnLine, How, Picture

WAYS: tuple[How, ...] = get_args(How)


def table_picture(rows: tuple[str, ...], system: System) -> Picture:
    """Return a table's softest and firmest counts, and one between.

    Raises:
        DynoTableError: if the rows are no table.
    """
    table = read(rows)
    speed, force = (UNITS[one, system] for one in (Quantity.PISTON_SPEED, Quantity.FORCE))
    across = tuple(one / speed.si for one in table.speeds)
    by_count = sorted(range(len(table.settings)), key=table.settings.__getitem__)
    chosen = sorted({by_count[0], by_count[len(by_count) // 2], by_count[-1]}, key=by_count.index)
    lines = tuple(
        DrawnLine(
            f"at {table.settings[place]:g}",
            across,
            tuple(row[place] / force.si for row in table.forces),
            how,
            sign=str(number),
        )
        for number, (place, how) in enumerate(zip(chosen, WAYS, strict=False), 1)
    )
    return Picture(f"FORCE, {force.name}; {speed.name} across, at the knob's count", lines)
