"""What orders a long log is held in few bytes, and says the same as when it was held at large."""

import json
import tracemalloc
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import chain, pairwise
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from profiles.state_text import from_text, to_text
from rules.log.events.event import Event
from rules.log.events.meeting import NoteAdded
from rules.log.events.whole_log import LogsMerged
from rules.log.heads import Head, Heads
from rules.log.ids import Ids
from rules.log.log_format import read_event, written_body
from rules.log.long_log import heads_of
from rules.log.merge import merge
from rules.log.reading_order import places_in_order
from tests.rules.log.test_merge import parted
from tests.support.sample import examples

START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
BYTES_OF_A_HEAD = 60
NUMBERS = st.lists(st.integers(1, 40), unique=True, max_size=20)


def head(number: int) -> Head:
    at = START + timedelta(microseconds=number**3)
    return Head(UUID(int=number**7), f"device {number % 3}", number, at, number % 7 == 0)


@given(NUMBERS, st.slices(20))
def test_heads_are_what_was_put_in(numbers: list[int], cut: slice) -> None:
    cut = slice(cut.start, cut.stop)
    plain = [head(one) for one in numbers]
    heads = Heads(plain)
    assert list(heads) == plain
    assert list(heads[cut]) == plain[cut]
    assert list(heads.ids) == [one.id for one in plain]
    assert heads.joining == [place for place, one in enumerate(plain) if one.joins]


@given(NUMBERS, NUMBERS)
def test_an_id_is_found_where_it_stands(numbers: list[int], others: list[int]) -> None:
    found = Heads(map(head, numbers)).places(Heads(map(head, others)).ids)
    assert list(found) == [numbers.index(one) if one in numbers else None for one in others]


def test_a_head_takes_few_bytes() -> None:
    tracemalloc.start()
    try:
        heads = Heads(map(head, range(1, 5001)))
        held = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert held < BYTES_OF_A_HEAD * len(heads)


def test_ids_lie_in_a_log_as_a_list() -> None:
    fields = {"kind": "logs-merged", "ours": [str(UUID(int=7))], "theirs": [], "counts": {}}
    header: dict[str, Any] = {"id": UUID(int=1), "device": "pit", "seq": 1, "at": START}
    event = read_event(header, json.dumps(fields))
    assert isinstance(event.body, LogsMerged)
    assert list(event.body.ours) == [UUID(int=7)]
    fresh = Event(**header, body=LogsMerged(ours=(UUID(int=7),), theirs=(), counts={}))
    assert fresh == event
    assert json.loads(written_body(fresh)) == fields
    assert from_text(to_text(event)) == event


@pytest.mark.parametrize("ids", [["x"], [7], [None], "7", None, 7])
def test_what_is_no_id_is_refused(ids: Any) -> None:
    with pytest.raises(ValidationError):
        LogsMerged(ours=ids, theirs=(), counts={})


def test_what_both_logs_began_with_is_listed_once() -> None:
    pit, tower = parted(change_first=True)
    begun = len(pit.log)
    tower.do("note", text="There")
    pit.do("note", text="Here")
    closing = merge(pit.log, tower.log).closing
    assert closing is not None
    assert list(closing.ours) == [one.id for one in pit.log]
    assert list(closing.theirs) == [one.id for one in tower.log[begun - 1 :]]


@examples(50, 500)
@given(
    st.integers(0, 6),
    st.lists(st.integers(0, 9), max_size=8),
    st.lists(st.integers(0, 9), max_size=8),
)
def test_the_order_is_that_of_all_that_followed_one_another(
    begun: int, ours: list[int], theirs: list[int]
) -> None:
    """Whatever the clocks say: as where each log was listed whole, and held at large."""
    times = [*((number * 3) % 10 for number in range(begun)), *ours, *theirs]
    notes = [
        Event(
            id=UUID(int=(31 * seq) % 101),
            device="any",
            seq=seq,
            at=START + timedelta(seconds=seconds),
            body=NoteAdded(text="Wind"),
        )
        for seq, seconds in enumerate(times, 1)
    ]
    here, there = notes[: begun + len(ours)], [*notes[:begun], *notes[begun + len(ours) :]]
    mine, others = (heads_of(one).ids for one in (here, there))
    for shown in (others, others.parting_from(mine)):
        closing = LogsMerged(ours=mine, theirs=shown, counts={})
        last = Event(id=UUID(int=200), device="pit", seq=99, at=START, body=closing)
        found = list(places_in_order([*notes, last]))
        assert found == _plainly([*notes, last], [[*here, last], [*there, last]])


def _plainly(log: Sequence[Event], chains: list[list[Event]]) -> list[int]:
    """Take again and again the earliest of those that wait for nothing."""
    pairs = {(one.id, other.id) for one, other in chain.from_iterable(pairwise(c) for c in chains)}
    left, found = list(enumerate(log)), list[int]()
    while left:
        waiting = {other for one, other in pairs if any(one == event.id for _, event in left)}
        ready = [pair for pair in left if pair[1].id not in waiting]
        first = min(ready, key=lambda pair: (pair[1].at, pair[1].id.int))
        left.remove(first)
        found.append(first[0])
    return found


def test_no_ids_are_no_ids() -> None:
    assert list(Ids()) == []
    assert list(Ids().parting_from(Ids.of([UUID(int=1)]))) == []
