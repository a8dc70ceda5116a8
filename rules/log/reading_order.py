"""The order in which the events of a log are read: that of the log, until it took in another."""

from array import array
from collections.abc import Iterable, Iterator, Sequence
from heapq import heapify, heappop, heappush
from itertools import chain, pairwise

from rules.log.events.event import Event
from rules.log.events.whole_log import LogsMerged
from rules.log.heads import Heads
from rules.log.ids import Ids
from rules.log.long_log import heads_of


def is_merged(events: Sequence[Event]) -> bool:
    """Tell whether another log was taken into this one."""
    return bool(heads_of(events).joining)


def in_order(events: Sequence[Event]) -> list[Event]:
    """Return the events of a log in the order in which they are read.

    Without a merge that is the order of the log. What stands before the last merge is in the order
    of time, except that nothing comes before what its own laptop had written already.
    """
    return [events[place] for place in places_in_order(events)]


def places_in_order(events: Sequence[Event], begin: int = 0) -> Sequence[int]:
    """Return where the events stand in the log, in the order in which they are read.

    begin: only those from there on, where what stands before is read in the order of the log.
    """
    heads = heads_of(events)
    merges = heads.joining
    if not merges:
        return range(begin, len(heads))
    end = merges[-1] + 1
    known = chain.from_iterable(_chains(events[place]) for place in merges)
    places = array("q", (begin + place for place in _by_time(heads[begin:end], known)))
    places.extend(range(end, len(heads)))
    return places


def _by_time(heads: Heads, chains: Iterable[Ids]) -> Iterator[int]:
    """Yield places by time and id as far as the chains of what followed one another allow."""
    # Nearly always the next of a chain is the next of the log: that takes no list of its own.
    next_waits, late_ones = bytearray(len(heads)), dict[int, list[int]]()
    waits_for = array("q", bytes(8 * len(heads)))
    for places in map(heads.places, chains):
        for before, late in pairwise(places):
            if before is None or late is None:
                continue
            if late == before + 1:
                is_new = not next_waits[before]
                next_waits[before] = True
            elif is_new := late not in late_ones.setdefault(before, []):
                late_ones[before].append(late)
            waits_for[late] += is_new
    ready = [_by(heads, place) for place, waits in enumerate(waits_for) if not waits]
    heapify(ready)
    while ready:
        place = heappop(ready)[-1]
        yield place
        more = (place + 1,) if next_waits[place] else ()
        for late in (*more, *late_ones.get(place, ())):
            waits_for[late] -= 1
            if not waits_for[late]:
                heappush(ready, _by(heads, late))
    yield from (place for place, waits in enumerate(waits_for) if waits)


def _by(heads: Heads, place: int) -> tuple[object, int, int]:
    head = heads[place]
    return head.at, head.id.int, place


def _chains(event: Event) -> Iterator[Ids]:
    """Yield what followed one another in each of the logs that an event joined."""
    if isinstance(event.body, LogsMerged):
        yield event.body.ours.plus(event.id)
        yield event.body.theirs.plus(event.id)
