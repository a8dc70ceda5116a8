"""The events of an open log, each read from the disk when it is wanted."""

import sqlite3
from array import array
from collections.abc import Iterator
from datetime import datetime
from functools import cached_property
from operator import index
from typing import Any
from uuid import UUID

from profiles.local_time import here
from profiles.logfile import LogError, explained
from rules.log.events.event import Event
from rules.log.events.whole_log import LogsMerged
from rules.log.heads import Head, Heads
from rules.log.log_format import read_event
from rules.log.long_log import LongLog, heads_of

COLUMNS = "position, id, device, seq, at, body"
_JOINS = LogsMerged.model_fields["kind"].default


def event_of(name: str, position: int, *columns: Any) -> Event:
    """Return the event of a row of the log called `name`.

    Raises:
        LogError: if this version cannot read it.
    """
    key, device, seq, at, body = columns
    try:
        event = read_event({"id": key, "device": device, "seq": seq, "at": at}, body)
        at = here(event.at)
        return event if at is event.at else event.model_copy(update={"at": at})
    except (ValueError, TypeError, RecursionError) as error:
        raise LogError(f"{name}: event {position} is not one this version can read") from error


class LogOnDisk(LongLog):
    """The events of a log up to one of them."""

    def __init__(self, log: sqlite3.Connection, name: str, last: int) -> None:
        """Read nothing yet; `last` is the place of the last event in the log."""
        self.last = last
        self._log, self._name = log, name
        self._positions = array("q")

    @cached_property
    def heads(self) -> Heads:
        """What each event is known by, in order."""
        return Heads(self._each_head())

    def _each_head(self) -> Iterator[Head]:
        query = (
            "SELECT position, id, device, seq, at, kind FROM events "
            "WHERE position <= ? ORDER BY position"
        )
        for position, key, device, seq, at, kind in self._rows(query, self.last):
            self._positions.append(position)
            try:
                when = datetime.fromisoformat(at)
                yield Head(UUID(key), device, index(seq), when, kind == _JOINS)
            except (ValueError, TypeError, AttributeError):  # Said as for the event itself.
                yield heads_of([self.read(len(self._positions) - 1)])[0]

    def read(self, place: int) -> Event:
        """Read one event."""
        if not self._positions:
            _ = self.heads
        query = f"SELECT {COLUMNS} FROM events WHERE position = ?"
        return event_of(self._name, *next(self._rows(query, self._positions[place])))

    def __iter__(self) -> Iterator[Event]:
        """Read them all, one at a time."""
        query = f"SELECT {COLUMNS} FROM events WHERE position <= ? ORDER BY position"
        for row in self._rows(query, self.last):
            yield event_of(self._name, *row)

    def _rows(self, query: str, position: int) -> Iterator[tuple[Any, ...]]:
        """Yield rows of the log; what the disk says is told as of the log."""
        with explained(self._name):
            yield from self._log.execute(query, (position,))


def whole_log(log: sqlite3.Connection, name: str) -> LogOnDisk:
    """Return all events of an open log."""
    last = log.execute("SELECT coalesce(max(position), 0) FROM events").fetchone()[0]
    return LogOnDisk(log, name, last)
