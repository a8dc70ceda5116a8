"""A moment as people read it: the clock of where it was written, and its offset from UTC."""

from collections.abc import Iterable
from datetime import datetime


def clock(at: datetime) -> str:
    """Return the time of day: 17:06."""
    return f"{at:%H:%M}"


def day(at: datetime) -> str:
    """Return the date: 2031-05-04."""
    return f"{at:%Y-%m-%d}"


def day_and_clock(at: datetime) -> str:
    """Return month, day and time of day: 05-04 17:06."""
    return f"{at:%m-%d %H:%M}"


def stamp(at: datetime) -> str:
    """Return date, time of day and offset: 2031-05-04 17:06 -06:00."""
    return f"{at:%Y-%m-%d %H:%M} {offset(at)}"


def in_a_name(at: datetime) -> str:
    """Return a moment for the name of a file or folder: 20310504-170600."""
    return f"{at:%Y%m%d-%H%M%S}"


def cell(at: datetime) -> str:
    """Return a moment for a table that programs read too (ISO 8601, with its offset)."""
    return at.isoformat(timespec="seconds")


def cell_stamp(text: str) -> str:
    """Return what `cell` wrote as `stamp` would."""
    return stamp(datetime.fromisoformat(text))


def offset(at: datetime) -> str:
    """Return how far local time is off UTC: -06:00."""
    return at.isoformat(timespec="seconds")[19:] or "no offset"


def offsets(moments: Iterable[datetime]) -> str:
    """Say once below a page what its times are; empty where it has none."""
    found = dict.fromkeys(map(offset, moments))
    return f"Times are local: UTC {' and UTC '.join(found)}." if found else ""
