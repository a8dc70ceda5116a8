"""A builder's table put into the counts of the car's own knob, and two tables of alike dampers.

A count from the other end is the knob's whole range less that count: the same place of the knob.
"""

import csv
from dataclasses import dataclass
from math import log

from rules.car.dyno_tables import DynoRows, mark_of, read_rows
from rules.straight_line import between

APART_SHARE = 0.10
"""Beyond it two dampers that should be alike are not; common practice, no source."""


def from_other_end(rows: tuple[str, ...], whole: float) -> tuple[str, ...]:
    """Return a table with its counts from the knob's other end, forces as they are.

    whole: the knob's range, in the units it is counted in.
    """
    head, *rest = rows
    mark = mark_of(head)
    first, *settings = next(csv.reader([head], delimiter=mark))
    turned = []
    for cell in settings:
        count, bracket, unit = cell.partition("[")
        turned.append(f"{whole - float(count):g} {bracket}{unit}")
    joint = mark if mark == "\t" else f"{mark} "
    return (joint.join((first.strip(), *turned)), *rest)


@dataclass(frozen=True)
class Apart:
    """Where two tables are farthest apart.

    setting: count of the knob.  speed [m/s].  left, right [N].  share: right over left, less 1.
    """

    setting: float
    speed: float
    left: float
    right: float
    share: float


def farthest_apart(left: DynoRows, right: DynoRows) -> Apart | None:
    """Return where two tables of the same knob differ most as a ratio; None without a common place.

    At the counts both have, and at the left's speeds within the right's; between rows in straight
    lines.
    """
    worst: Apart | None = None
    for setting in left.settings:
        if setting not in right.settings:
            continue
        ours, theirs = left.settings.index(setting), right.settings.index(setting)
        column = [row[theirs] for row in right.forces]
        for speed, row in zip(left.speeds, left.forces, strict=True):
            if not right.speeds[0] <= speed <= right.speeds[-1] or row[ours] <= 0.0:
                continue
            other = between(right.speeds, column, speed)
            if other <= 0.0:
                continue
            one = Apart(setting, speed, row[ours], other, other / row[ours] - 1.0)
            if worst is None or abs(log(other / row[ours])) > abs(log(1.0 + worst.share)):
                worst = one
    return worst


def read(rows: tuple[str, ...]) -> DynoRows:
    """Read a table from its rows.

    Raises:
        DynoTableError: with what is wrong.
    """
    return read_rows("\n".join(rows))
