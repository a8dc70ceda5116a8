"""What a job takes until the car stands in the lanes, against the minutes to the call.

The work itself; the car lifted, set on stands and let down again, once however much is turned; a
quarter more than both, because something always sticks; and the way to the lanes. Common practice,
no source; rather long than short: a job begun too late is a hurried one.
"""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rules.book.schema import InspectionText

LIFT_MINUTES = 4
MARGIN = 0.25
LANES_MINUTES = 3
TICK_MINUTES = 0.5


def needed(minutes: int, lifted: bool) -> int:
    """Return the minutes that a job wants before the call.

    minutes: of the work.  lifted: the car is up for it.
    """
    work = minutes + (LIFT_MINUTES if lifted else 0)
    return ceil(work * (1.0 + MARGIN)) + LANES_MINUTES


def counted(lifted: bool) -> str:
    """Say what is counted."""
    stands = f"{LIFT_MINUTES} min for stands, " if lifted else ""
    return f"With the work count {stands}a quarter more, and {LANES_MINUTES} min to the lanes."


def list_hurried(inspection: InspectionText, minutes_left: int | None) -> str:
    """Say that there is no time for an inspection before the call, or nothing.

    Half a minute for each thing that is looked at, and the car up for it.
    """
    needs = needed(ceil(len(inspection.items) * TICK_MINUTES), lifted=True)
    if minutes_left is None or needs <= minutes_left:
        return ""
    return f"It needs {needs} min, {minutes_left} left: let the call go, a list is never hurried."
