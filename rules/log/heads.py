"""What the events of a long log are known by, each in some forty bytes."""

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import NamedTuple, Self, overload
from uuid import UUID

from rules.log.ids import WIDTH, Ids

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_TICK = timedelta(microseconds=1)


class Head(NamedTuple):
    """What an event is known by; `joins`: it took in another log."""

    id: UUID
    device: str
    seq: int
    at: datetime
    joins: bool


class Heads(Sequence[Head]):
    """Heads in order; each is made when it is asked for."""

    def __init__(self, heads: Iterable[Head] = ()) -> None:
        """Hold these."""
        self._keys, self._ats, self._seqs = bytearray(), array("q"), array("q")
        self._by, self._joins = array("q"), bytearray()
        numbers: dict[str, int] = {}
        for head in heads:
            self._keys += head.id.bytes
            # One without a zone, which no answer writes, is ordered as if it were UTC.
            at = head.at if head.at.tzinfo else head.at.replace(tzinfo=UTC)
            self._ats.append((at - _EPOCH) // _TICK)
            self._seqs.append(head.seq)
            self._by.append(numbers.setdefault(head.device, len(numbers)))
            self._joins.append(head.joins)
        self._devices = list(numbers)

    @property
    def ids(self) -> Ids:
        """The ids."""
        return Ids(bytes(self._keys))

    @property
    def joining(self) -> list[int]:
        """The places of those that took in another log."""
        return [place for place, joins in enumerate(self._joins) if joins]

    def places(self, ids: Ids) -> Iterator[int | None]:
        """Yield where each of some ids stands, None of one that does not stand here."""
        place = -1
        for key in ids.keys:
            # In nearly every list they follow one another as they do here.
            place += 1
            if self._keys[place * WIDTH : (place + 1) * WIDTH] != key:
                at = bisect_left(self._by_key, key, key=self._key)
                if at == len(self._by_key) or self._key(self._by_key[at]) != key:
                    yield None
                    continue
                place = self._by_key[at]
            yield place

    @cached_property
    def _by_key(self) -> "array[int]":
        """The places in the order of their ids."""
        return array("q", sorted(range(len(self)), key=self._key))

    def _key(self, place: int) -> bytes:
        return bytes(self._keys[place * WIDTH : (place + 1) * WIDTH])

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._joins)

    @overload
    def __getitem__(self, at: int) -> Head: ...
    @overload
    def __getitem__(self, at: slice) -> Self: ...
    def __getitem__(self, at: int | slice) -> Head | Self:
        """Return one, or some that follow one another."""
        places = range(len(self))[at]
        if isinstance(places, int):
            return self._head(places)
        first, end = places.start, max(places.start, places.stop)
        cut = type(self)()
        cut._keys = self._keys[first * WIDTH : end * WIDTH]
        cut._ats, cut._seqs = self._ats[first:end], self._seqs[first:end]
        cut._by, cut._joins = self._by[first:end], self._joins[first:end]
        cut._devices = self._devices
        return cut

    def _head(self, place: int) -> Head:
        return Head(
            UUID(bytes=self._key(place)),
            self._devices[self._by[place]],
            self._seqs[place],
            _EPOCH + self._ats[place] * _TICK,
            bool(self._joins[place]),
        )
