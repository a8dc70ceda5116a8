"""Two logs of the same car joined: what comes in, and the order in which all of it is read.

The log only grows, so what another laptop wrote stands after what this one wrote. It is read in the
order of time, each laptop's own order kept: so both laptops come to the same state, whichever of
them took in the other.
"""

from array import array
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple
from uuid import UUID

from rules.log.events.event import Body, Event
from rules.log.events.passes import PassRun
from rules.log.events.whole_log import LogsMerged
from rules.log.folds.fold import apply
from rules.log.heads import Head, Heads
from rules.log.ids import Ids
from rules.log.log_format import unread_text
from rules.log.long_log import LongLog, WithMore, heads_of
from rules.log.reading_order import is_merged, places_in_order
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
    new = list(_renamed(mine, theirs, begun.events))
    if not new:
        return Merge((), None, here)
    shared = array("q", _known_there(mine, others))
    if len(shared) == len(mine) and (
        is_merged(theirs) or _chain(mine) == _chain(others[: len(mine)])
    ):
        return Merge(tuple(new), None, state_of(WithMore(ours, new), cool))
    parted = begun.state if begun.events else state_of(_Those(ours, shared), cool)
    counts = _disputed(parted, here, there)
    chain = _chain(mine)
    closing = LogsMerged(ours=chain, theirs=_chain(others).parting_from(chain), counts=counts)
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
    rests = (heads_of(one)[alike:] for one in (ours, theirs))
    parted = next(_known_there(*rests), None) is None
    return _Begun(state, alike) if parted else _Begun(State(), 0)


def _known_there(heads: Heads, others: Heads) -> Iterator[int]:
    """Yield the places of those that are among others too."""
    there = enumerate(others.places(heads.ids))
    return (place for place, other in there if other is not None)


class _Those(LongLog):
    """The events at some places of a log."""

    def __init__(self, log: Sequence[Event], places: Sequence[int]) -> None:
        self._log, self._places, every = log, places, heads_of(log)
        self._heads = Heads(every[place] for place in places)

    @property
    def heads(self) -> Heads:
        return self._heads

    def read(self, place: int) -> Event:
        return self._log[self._places[place]]


def _imagined(body: Body, like: Event) -> Event:
    return like.model_copy(update={"id": UUID(int=0), "body": body})


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


def _chain(heads: Heads) -> Ids:
    """Return the ids since the last merge, which were written one after the other."""
    merges = heads.joining
    return heads[merges[-1] if merges else 0 :].ids


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


def _renamed(ours: Heads, theirs: Sequence[Event], begin: int) -> Iterator[Event]:
    """Yield what is new of another log, two laptops told apart that go by one name.

    They do because one began as a copy of the other. Theirs goes by another name from the first
    event on that ours counted otherwise; the name hangs on that event, so that it is the same at
    the next merge.
    """
    others = heads_of(theirs)[begin:]
    known = [*ours.places(others.ids)]
    # Almost all stand in ours under the name they have there, and say nothing here.
    told = [
        head
        for head, at in zip(others, known, strict=True)
        if at is None or _name(ours[at]) != _name(head)
    ]
    names = set(map(_name, told))
    here = {_name(head): head.id for head in ours[begin:] if _name(head) in names}
    forks: dict[str, Head] = {}
    for head in sorted(told, key=lambda one: one.seq):
        if here.get(_name(head), head.id) != head.id:
            forks.setdefault(head.device, head)
    for place, (head, at) in enumerate(zip(others, known, strict=True), begin):
        if at is not None:
            continue
        fork, event = forks.get(head.device), theirs[place]
        if fork is not None and head.seq >= fork.seq:
            name = f"{head.device}~{fork.id.hex[:12]}"
            event = event.model_copy(update={"device": name})
        yield event


def _name(head: Head) -> tuple[str, int]:
    return head.device, head.seq
