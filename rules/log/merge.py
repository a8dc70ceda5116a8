"""Two logs of the same car joined: what comes in, and the order in which all of it is read.

The log only grows, so what another laptop wrote stands after what this one wrote. It is read in the
order of time, each laptop's own order kept: so both laptops come to the same state, whichever of
them took in the other.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from itertools import pairwise
from typing import NamedTuple
from uuid import UUID

from rules.log.events import Body, Event, LogsMerged, PassRun
from rules.log.folds.fold import apply
from rules.log.log_format import unread_text
from rules.log.long_log import Head, LongLog, WithMore, heads_of
from rules.log.state import State, Unfitting

COOLED_EVERY = 2000
"""Events; so few passes are held whole at a time while a log is read from its start."""
Cool = Callable[[State], State]
"""Returns a state that is the same and holds less."""
MISFITS = (LookupError, ValueError, TypeError, StopIteration)
"""What the fold raises where an event does not fit those before it."""


class MergeError(ValueError):
    """Two logs cannot be joined; the message says why."""


def as_it_is(state: State) -> State:
    """Hold all of a state."""
    return state


@dataclass(frozen=True)
class Merge:
    """What another log adds: its events that are new here, and the end of the merge.

    `closing` is None where the other log holds all of ours: then it is simply further on.
    `closed` are the numbers, in the merged log, of passes that were still open and are closed.
    """

    events: tuple[Event, ...]
    closing: LogsMerged | None
    state: State
    closed: tuple[int, ...] = ()


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
    merges = [place for place, head in enumerate(heads) if head.joins]
    if not merges:
        return range(begin, len(heads))
    end = merges[-1] + 1
    known = [one for place in merges for one in _chains(events[place])]
    first = (begin + place for place in _by_time(heads[begin:end], known))
    return [*first, *range(end, len(heads))]


def _by_time(heads: Sequence[Head], chains: Iterable[Sequence[UUID]]) -> list[int]:
    """Sort by time and id as far as the chains of what followed one another allow."""
    place_of = {head.id: place for place, head in enumerate(heads)}
    after: list[list[int]] = [[] for _ in heads]
    waits_for = [0] * len(heads)
    for chain in chains:
        for one, other in pairwise(chain):
            before, late = place_of.get(one), place_of.get(other)
            if before is not None and late is not None and late not in after[before]:
                after[before].append(late)
                waits_for[late] += 1
    ready = [
        (head.at, head.id.int, place) for place, head in enumerate(heads) if not waits_for[place]
    ]
    heapify(ready)
    found: list[int] = []
    while ready:
        place = heappop(ready)[-1]
        found.append(place)
        for late in after[place]:
            waits_for[late] -= 1
            if not waits_for[late]:
                heappush(ready, (heads[late].at, heads[late].id.int, late))
    return [*found, *(place for place, waits in enumerate(waits_for) if waits)]


def _chains(event: Event) -> Iterator[tuple[UUID, ...]]:
    """Yield what followed one another in each of the logs that an event joined."""
    if isinstance(event.body, LogsMerged):
        yield (*event.body.ours, event.id)
        yield (*event.body.theirs, event.id)


def replayed(
    events: Sequence[Event], cool: Cool = as_it_is
) -> Iterator[tuple[Event, State, State]]:
    """Yield each event of a log as it is read, with the state before and after it.

    cool: holds passes long past as something smaller, now and then.

    In a merged log, and after an event of a newer program, an event that does not fit is left out
    of the state and listed there.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: where another event does not fit.
    """
    yield from _going_on(events, State(), 0, is_merged(events), cool)


def _going_on(
    events: Sequence[Event], state: State, begin: int, merged: bool, cool: Cool
) -> Iterator[tuple[Event, State, State]]:
    """Yield what `replayed` yields, from an event on, up to which there is a state."""
    places = places_in_order(events, begin)
    through = begin == 0 and isinstance(places, range)
    read = events if through else (events[place] for place in places)
    for number, event in enumerate(read, 1):
        before, state = state, next_state(state, event, merged)
        if number % COOLED_EVERY == 0:
            state = cool(state)
        yield event, before, state


def next_state(state: State, event: Event, merged: bool) -> State:
    """Return the state after one more event; `merged`: its log took in another.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: as `replayed`.
    """
    return (apply_or_list if merged or state.unread else apply)(state, event)


def state_of(events: Sequence[Event], cool: Cool = as_it_is) -> State:
    """Return the state that a whole log adds up to; `cool` as for `replayed`.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: as `replayed`.
    """
    return _further(events, State(), 0, is_merged(events), cool)


def _further(events: Sequence[Event], state: State, begin: int, merged: bool, cool: Cool) -> State:
    for _, _, after in _going_on(events, state, begin, merged, cool):
        state = after
    return state


def apply_or_list(state: State, event: Event) -> State:
    """Return the state after one more event of a merged log, which is listed if it does not fit."""
    try:
        return apply(state, event)
    except MISFITS as error:
        why = str(error) or "it does not fit what came before"
        listed = replace(state, unfitting=state.unfitting.plus(Unfitting(event, why)))
    body = event.body
    if isinstance(body, PassRun) and body.change is not None:
        # The pass itself was run, whatever the other laptop had done with the change.
        alone = event.model_copy(update={"body": body.model_copy(update={"change": None})})
        return apply(listed, alone)
    return replace(listed, events=state.events + 1)


def merge(ours: Sequence[Event], theirs: Sequence[Event], cool: Cool = as_it_is) -> Merge:
    """Return what another log of the same car adds to this one; no events where nothing is new.

    cool: as for `replayed`.

    Raises:
        MergeError: if they are not logs of one car that began as one log.
    """
    if not theirs:
        raise MergeError("the other log is empty; wanted one of the same car")
    if not ours:
        raise MergeError("there is no log of this car here yet; import theirs as a JSON export")
    mine, others = heads_of(ours), heads_of(theirs)
    try:
        begun = _begun(ours, theirs, cool)
        here, there = (
            _further(one, begun.state, begun.events, is_merged(one), cool) for one in (ours, theirs)
        )
    except MISFITS as error:
        raise MergeError(f"their events do not fit together ({error})") from error
    for state, whose in ((here, "this log"), (there, "the other log")):
        if state.unread:
            raise MergeError(f"{whose}: {unread_text(state.unread)}")
    _refuse_strangers(ours[0], here, theirs[0], there)
    known, shared = ({head.id for head in heads[begun.events :]} for heads in (mine, others))
    new = list(_renamed(mine, theirs, known, begun.events))
    if not new:
        return Merge((), None, here)
    if known <= shared and (is_merged(theirs) or _chain(mine) == _chain(others[: len(mine)])):
        return Merge(tuple(new), None, state_of(WithMore(ours, new), cool))
    parted = begun.state if begun.events else state_of(_Those(ours, shared), cool)
    counts = _disputed(parted, here, there)
    closing = LogsMerged(ours=_chain(mine), theirs=_chain(others), counts=counts)
    together = WithMore(ours, [*new, _imagined(closing, ours[-1])])
    # Not kept, because every one of them may hold thousands of passes.
    joined = _going_on(together, begun.state, begun.events, True, cool)
    ((_, before, after),) = deque(joined, maxlen=1)
    closed = tuple(run.number for run in before.left_open)
    return Merge(tuple(new), closing, after, closed)


class _Begun(NamedTuple):
    """The state up to which two logs are one, and how many events make it."""

    state: State
    events: int


def _begun(ours: Sequence[Event], theirs: Sequence[Event], cool: Cool) -> _Begun:
    """Return where two logs parted that were one up to there, and shared nothing after it.

    Nothing where one of them took in another before: then its order is not that of the log.
    """
    alike, state = 0, State()
    if is_merged(ours) or is_merged(theirs):
        return _Begun(state, alike)
    for one, other in zip(ours, theirs, strict=False):
        if one != other:
            break
        state = next_state(state, one, False)
        alike += 1
        if alike % COOLED_EVERY == 0:
            state = cool(state)
    known = {head.id for head in heads_of(ours)[alike:]}
    parted = not any(head.id in known for head in heads_of(theirs)[alike:])
    return _Begun(state, alike) if parted else _Begun(State(), 0)


class _Those(LongLog):
    """Those events of a log that have one of some ids."""

    def __init__(self, log: Sequence[Event], ids: Set[UUID]) -> None:
        heads = heads_of(log)
        self._log, self._places = log, [n for n, head in enumerate(heads) if head.id in ids]
        self._heads = [heads[place] for place in self._places]

    @property
    def heads(self) -> Sequence[Head]:
        return self._heads

    def read(self, place: int) -> Event:
        return self._log[self._places[place]]


def _imagined(body: Body, like: Event) -> Event:
    return like.model_copy(update={"id": UUID(int=0), "body": body})


def is_merged(events: Sequence[Event]) -> bool:
    """Tell whether another log was taken into this one."""
    return any(head.joins for head in heads_of(events))


def _refuse_strangers(first: Event, here: State, other_first: Event, there: State) -> None:
    ids = [state.car.id if state.car else "" for state in (here, there)]
    if ids[0] != ids[1]:
        raise MergeError(f"car: found the log of {ids[1]!r}; wanted one of {ids[0]!r}")
    if first.id != other_first.id or _first_baseline(here) != _first_baseline(there):
        raise MergeError(
            "first event: the two logs did not begin as one, so their counts do not mean the same; "
            "wanted a log that began as a backup, a copy or an export of the other"
        )


def _first_baseline(state: State) -> str:
    return state.baselines[0].id if state.baselines else ""


def _chain(heads: Sequence[Head]) -> tuple[UUID, ...]:
    """Return the ids since the last merge, which were written one after the other."""
    merges = [at for at, head in enumerate(heads) if head.joins]
    return tuple(head.id for head in heads[merges[-1] if merges else 0 :])


def _disputed(parted: State, here: State, there: State) -> dict[str, tuple[float, float]]:
    """Return the adjusters of which two logs do not surely know the count.

    They differ, wait for a recount in one log, or were turned in both since the logs parted.
    """
    unsure = here.to_recount.keys() | there.to_recount.keys()
    found = {}
    for key, ours in here.settings.items():
        theirs = there.settings.get(key, ours)
        if ours != theirs or ours != parted.settings.get(key, ours) or key in unsure:
            found[key] = (ours, theirs)
    return found


def _renamed(
    ours: Sequence[Head], theirs: Sequence[Event], known: Set[UUID], begin: int
) -> Iterator[Event]:
    """Yield what is new of another log, two laptops told apart that go by one name.

    They do because one began as a copy of the other. Theirs goes by another name from the first
    event on that ours counted otherwise; the name hangs on that event, so that it is the same at
    the next merge.
    """
    here = {(head.device, head.seq): head.id for head in ours[begin:]}
    others = heads_of(theirs)[begin:]
    forks: dict[str, Head] = {}
    for head in sorted(others, key=lambda one: one.seq):
        if here.get((head.device, head.seq), head.id) != head.id:
            forks.setdefault(head.device, head)
    for place, head in enumerate(others, begin):
        if head.id in known:
            continue
        fork, event = forks.get(head.device), theirs[place]
        if fork is not None and head.seq >= fork.seq:
            name = f"{head.device}~{fork.id.hex[:12]}"
            event = event.model_copy(update={"device": name})
        yield event
