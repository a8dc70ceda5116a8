"""Events as they lie in the table of a log: read, folded, numbered and written."""

import sqlite3
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from profiles.local_time import here
from profiles.log_on_disk import COLUMNS, event_of, whole_log
from profiles.logfile import LogError
from profiles.snapshot import Snapshot, cooled
from rules.log.events.event import Body, Event
from rules.log.log_format import (
    LARGEST_SEQ,
    kind_of,
    plain_fields,
    read_whole,
    written_body,
)
from rules.log.merge import COOLED_EVERY, MISFITS, next_state, state_of
from rules.log.state import State


def newest_events(
    log: sqlite3.Connection, name: str, most: int, before: int, but: Collection[str]
) -> list[tuple[int, Event]]:
    """Return the last events before a place, in order; most: -1 for all.  but: kinds left out.

    Raises:
        LogError: one is damaged.
    """
    kinds = ", ".join("?" for _ in but)
    query = (
        f"SELECT {COLUMNS} FROM events WHERE position < ? AND kind NOT IN ({kinds}) "
        "ORDER BY position DESC LIMIT ?"
    )
    rows = log.execute(query, (before, *but, most)).fetchall()
    return [(row[0], event_of(name, *row)) for row in reversed(rows)]


def events_from_pass(
    log: sqlite3.Connection, name: str, run_id: str, state: State, last: int
) -> list[Event]:
    """Return what lies from a pass to the next one that stands in the state, or to the last place.

    Raises:
        LogError: an event is damaged.
    """
    query = (
        "SELECT position, body FROM events WHERE kind = 'pass-run' AND position <= ? "
        "ORDER BY position"
    )
    first = 0
    for position, body in log.execute(query, (last,)):
        run = plain_fields(body).get("run")
        if first and state.runs.find(run) is not None:
            last = position - 1
            break
        first = position if run == run_id else first
    query = f"SELECT {COLUMNS} FROM events WHERE position BETWEEN ? AND ? ORDER BY position"
    rows = log.execute(query, (first, last)) if first else ()
    return [event_of(name, *row) for row in rows]


def folded_on(log: sqlite3.Connection, name: str, stood: Snapshot) -> Iterator[Snapshot]:
    """Yield where the log stands after each event behind `stood`, or after all that is there.

    Raises:
        LogError: an event is damaged, or does not fit those before it.
    """
    merged = "SELECT 1 FROM events WHERE position > ? AND kind = 'logs-merged' LIMIT 1"
    if log.execute(merged, (stood.position,)).fetchone() is not None:
        # What came in may belong before what is folded already.
        whole = whole_log(log, name)
        state = replace(state_of(whole, cooled), held=stood.state.held)
        yield Snapshot(state, whole.last, True)
        return
    state = stood.state
    query = f"SELECT {COLUMNS} FROM events WHERE position > ? ORDER BY position"
    for row in log.execute(query, (stood.position,)):
        position, event = row[0], event_of(name, *row)
        try:
            state = next_state(state, event, stood.is_merged)
        except MISFITS as error:
            raise LogError(
                f"{name}: event {position} does not fit those before it ({error})"
            ) from error
        if position % COOLED_EVERY == 0:
            state = cooled(state)
        yield Snapshot(state, position, stood.is_merged)


def has(log: sqlite3.Connection, key: UUID) -> bool:
    """Tell whether the log has an event of this id."""
    found = log.execute("SELECT 1 FROM events WHERE id = ?", (str(key),))
    return found.fetchone() is not None


def numbered(
    log: sqlite3.Connection, device: str, fresh: Sequence[tuple[UUID, Body]], now: datetime
) -> list[Event]:
    """Return what happened now as events of a device, numbered behind its last."""
    query = "SELECT coalesce(max(seq), 0) FROM events WHERE device = ?"
    last = log.execute(query, (device,)).fetchone()[0]
    return [
        Event(id=key, device=device, seq=seq, at=here(now), body=body)
        for seq, (key, body) in enumerate(fresh, last + 1)
    ]


def write(log: sqlite3.Connection, events: Sequence[Event]) -> int | None:
    """Add events to the log; return the place of the last, None where there is none."""
    position = None
    for event in events:
        row = (str(event.id), event.device, event.seq, event.at.isoformat())
        position = log.execute(
            "INSERT INTO events (id, device, seq, at, kind, body) VALUES (?, ?, ?, ?, ?, ?)",
            (*row, kind_of(event), written_body(event)),
        ).lastrowid
    return position


def refuse_damaged(name: str, events: Sequence[Event]) -> None:
    """Look whether every event of another log can be read whole.

    Raises:
        LogError: one cannot.
    """
    try:
        for event in events:
            read_whole(event)
            if event.seq > LARGEST_SEQ:
                raise ValueError(f"seq: found {event.seq}; wanted at most {LARGEST_SEQ}")
    except ValueError as error:
        raise LogError(f"{name}: found a damaged event; nothing was written") from error
