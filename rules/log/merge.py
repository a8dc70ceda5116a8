"""Two logs of the same car joined: what comes in, and the order in which all of it is read.

The log only grows, so what another laptop wrote stands after what this one wrote. It is read in the
order of time, each laptop's own order kept: so both laptops come to the same state, whichever of
them took in the other.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from heapq import heapify, heappop, heappush
from itertools import pairwise
from uuid import UUID

from rules.log.events import Body, Event, LogsMerged, PassRun
from rules.log.folds.fold import apply
from rules.log.log_format import unread_text
from rules.log.state import State, Unfitting

MISFITS = (LookupError, ValueError, TypeError, StopIteration)
"""What the fold raises where an event does not fit those before it."""


class MergeError(ValueError):
    """Two logs cannot be joined; the message says why."""


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
    merges = [at for at, event in enumerate(events) if isinstance(event.body, LogsMerged)]
    if not merges:
        return list(events)
    last = merges[-1]
    return [*_by_time(events[: last + 1]), *events[last + 1 :]]


def _by_time(events: Sequence[Event]) -> list[Event]:
    """Sort events by time and id as far as what is known to follow one another allows."""
    by_id = {event.id: event for event in events}
    after: dict[UUID, set[UUID]] = {key: set() for key in by_id}
    waits_for = dict.fromkeys(by_id, 0)
    for before, late in _known_order(events):
        if before in by_id and late in by_id and late not in after[before]:
            after[before].add(late)
            waits_for[late] += 1
    ready: list[tuple[datetime, int]] = [
        (by_id[key].at, key.int) for key, count in waits_for.items() if not count
    ]
    heapify(ready)
    sorted_events = []
    while ready:
        event = by_id.pop(UUID(int=heappop(ready)[1]))
        sorted_events.append(event)
        for late in after[event.id]:
            waits_for[late] -= 1
            if not waits_for[late]:
                heappush(ready, (by_id[late].at, late.int))
    return [*sorted_events, *by_id.values()]


def _known_order(events: Iterable[Event]) -> Iterator[tuple[UUID, UUID]]:
    for event in events:
        if isinstance(event.body, LogsMerged):
            yield from pairwise((*event.body.ours, event.id))
            yield from pairwise((*event.body.theirs, event.id))


def replayed(events: Sequence[Event]) -> Iterator[tuple[Event, State, State]]:
    """Yield each event of a log as it is read, with the state before and after it.

    In a merged log, and after an event of a newer program, an event that does not fit is left out
    of the state and listed there.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: where another event does not fit.
    """
    merged = is_merged(events)
    state = State()
    for event in in_order(events):
        before, state = state, next_state(state, event, merged)
        yield event, before, state


def next_state(state: State, event: Event, merged: bool) -> State:
    """Return the state after one more event; `merged`: its log took in another.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: as `replayed`.
    """
    return (apply_or_list if merged or state.unread else apply)(state, event)


def state_of(events: Sequence[Event]) -> State:
    """Return the state that a whole log adds up to.

    Raises:
        LookupError, ValueError, TypeError, StopIteration: as `replayed`.
    """
    state = State()
    for _, _, after in replayed(events):
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


def merge(ours: Sequence[Event], theirs: Sequence[Event]) -> Merge:
    """Return what another log of the same car adds to this one; no events where nothing is new.

    Raises:
        MergeError: if they are not logs of one car that began as one log.
    """
    if not theirs:
        raise MergeError("the other log is empty; wanted one of the same car")
    if not ours:
        raise MergeError("there is no log of this car here yet; import theirs as a JSON export")
    here, there = state_of(ours), state_of(theirs)
    for state, whose in ((here, "this log"), (there, "the other log")):
        if state.unread:
            raise MergeError(f"{whose}: {unread_text(state.unread)}")
    _refuse_strangers(ours[0], here, theirs[0], there)
    known = {event.id for event in ours}
    new = [event for event in _renamed(ours, theirs) if event.id not in known]
    if not new:
        return Merge((), None, here)
    shared = {event.id for event in theirs}
    further_on = known <= shared
    if further_on and (is_merged(theirs) or _chain(ours) == _chain(theirs[: len(ours)])):
        return Merge(tuple(new), None, state_of([*ours, *new]))
    parted = state_of([event for event in ours if event.id in shared])
    counts = _disputed(parted, here, there)
    closing = LogsMerged(ours=_chain(ours), theirs=_chain(theirs), counts=counts)
    together = [*ours, *new, _imagined(closing, ours[-1])]
    # Not kept, because every one of them may hold thousands of passes.
    ((_, before, after),) = deque(replayed(together), maxlen=1)
    closed = tuple(run.number for run in before.runs[:-1] if not run.done)
    return Merge(tuple(new), closing, after, closed)


def _imagined(body: Body, like: Event) -> Event:
    return like.model_copy(update={"id": UUID(int=0), "body": body})


def is_merged(events: Iterable[Event]) -> bool:
    """Tell whether another log was taken into this one."""
    return any(isinstance(event.body, LogsMerged) for event in events)


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


def _chain(events: Sequence[Event]) -> tuple[UUID, ...]:
    """Return the ids since the last merge, which were written one after the other."""
    merges = [at for at, event in enumerate(events) if isinstance(event.body, LogsMerged)]
    return tuple(event.id for event in events[merges[-1] if merges else 0 :])


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


def _renamed(ours: Sequence[Event], theirs: Sequence[Event]) -> list[Event]:
    """Tell two laptops apart that go by one name, because one began as a copy of the other.

    Theirs goes by another name from the first event on that ours counted otherwise; the name hangs
    on that event, so that it is the same at the next merge.
    """
    here = {(event.device, event.seq): event.id for event in ours}
    forks: dict[str, Event] = {}
    for event in sorted(theirs, key=lambda one: one.seq):
        if here.get((event.device, event.seq), event.id) != event.id:
            forks.setdefault(event.device, event)
    names = {device: f"{device}~{fork.id.hex[:12]}" for device, fork in forks.items()}
    return [
        event.model_copy(update={"device": names[event.device]})
        if event.device in forks and event.seq >= forks[event.device].seq
        else event
        for event in theirs
    ]
