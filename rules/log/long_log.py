"""The events of a log that is too long to be held: each is read when it is wanted.

What orders and tells them apart, the heads, is little and is held.
"""

from abc import abstractmethod
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import overload

from rules.log.events.event import Event
from rules.log.events.whole_log import LogsMerged
from rules.log.heads import Head, Heads


class LongLog(Sequence[Event]):
    """Events that are read one by one, in the order in which they came into the log."""

    @property
    @abstractmethod
    def heads(self) -> Heads:
        """What each event is known by, in order."""

    @abstractmethod
    def read(self, place: int) -> Event:
        """Read one event."""

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.heads)

    @overload
    def __getitem__(self, at: int) -> Event: ...
    @overload
    def __getitem__(self, at: slice) -> list[Event]: ...
    def __getitem__(self, at: int | slice) -> Event | list[Event]:
        """Read one event or some."""
        places = range(len(self))[at]
        return self.read(places) if isinstance(places, int) else [self.read(one) for one in places]

    def __iter__(self) -> Iterator[Event]:
        """Read them all, one at a time."""
        return map(self.read, range(len(self)))


class WithMore(LongLog):
    """A log with some events after it that are not written in it yet."""

    def __init__(self, log: Sequence[Event], more: Sequence[Event]) -> None:
        """Read nothing yet."""
        self._log, self._more = log, more
        self._heads = Heads(chain(heads_of(log), heads_of(more)))

    @property
    def heads(self) -> Heads:
        """What each event is known by, in order."""
        return self._heads

    def read(self, place: int) -> Event:
        """Read one event."""
        beyond = place - len(self._log)
        return self._log[place] if beyond < 0 else self._more[beyond]


def heads_of(events: Sequence[Event]) -> Heads:
    """Return what each event is known by."""
    if isinstance(events, LongLog):
        return events.heads
    return Heads(
        Head(one.id, one.device, one.seq, one.at, isinstance(one.body, LogsMerged))
        for one in events
    )
