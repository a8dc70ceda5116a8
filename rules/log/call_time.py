"""Minutes to the call, by clocks that may be set: what a clock that went back leaves of them."""

from datetime import datetime, timedelta

# Two clocks, or one that is put right by the network, differ by less; common practice, no source.
SLACK = timedelta(seconds=60)


def went_back(latest: datetime | None, now: datetime) -> bool:
    """Tell whether a clock reads earlier than it did: then nobody knows how long it was."""
    return latest is not None and now < latest - SLACK


def later(latest: datetime | None, now: datetime) -> datetime:
    """Return the later of two times."""
    return now if latest is None else max(latest, now)
