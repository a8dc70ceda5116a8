"""The clock of this laptop, with its offset from UTC."""

from datetime import datetime, timedelta


def now_here() -> datetime:
    """Return the time, to the second, with the offset that local time has now."""
    return datetime.now().astimezone().replace(microsecond=0)


def here(at: datetime) -> datetime:
    """Return a moment that was kept in UTC on the clock of this laptop; others keep their offset.

    A log kept no offset once. At a place whose clock shows UTC nothing changes.
    """
    try:
        return at.astimezone() if at.utcoffset() == timedelta(0) else at
    except (OverflowError, OSError, ValueError):  # A year that no clock here can show.
        return at
