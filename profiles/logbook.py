"""The log of one car: events are only ever added, and where everything stands is their fold.

A log whose snapshot holds all of it is open without one event: what reads, folds and writes them
is loaded with the first.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from profiles.log_refusals import MOVED, HeldElsewhereError, LogMovedError, ReadOnlyLogError
from profiles.logfile import LogError, explained, log_in_memory, open_log, transaction
from profiles.only_looking import held_by, kept_from
from profiles.open_windows import Window
from profiles.snapshot import WORTH_IT, Snapshot, answers, cooled, load, save, snapshot_file
from profiles.writing_place import WritingPlace
from rules.log.looking import Looking
from rules.log.state import State

if TYPE_CHECKING:
    from uuid import UUID

    from profiles.log_on_disk import LogOnDisk
    from rules.log.events.event import Body, Event

Again = Callable[[], tuple[sqlite3.Connection, str]]
"""Opens a log once more to be written; returns it with the device."""


class Logbook:
    """An open log and the state it adds up to.

    connection: the database under it, for whoever has to look at or limit the file itself.
    """

    def __init__(
        self,
        log: sqlite3.Connection,
        device: str,
        name: str,
        beside: Path | None = None,
        looking: Looking | None = None,
    ) -> None:
        """Read a log that one of the ways below opened; `beside` is where its snapshot lies."""
        self.connection = log
        self._place: WritingPlace | None = None
        self._told: Window | None = None
        self._again: Again | None = None
        self._beside = beside
        self._device = device
        self._name = name
        self._state = State(held=looking)
        self._position = 0
        self._is_merged = False
        self._kept_at = 0
        kept = load(beside, log) if beside is not None else None
        if kept is not None:
            self._state, self._is_merged = replace(kept.state, held=looking), kept.is_merged
            self._position = self._kept_at = kept.position
        self._catch_up()
        self._known = answers(self._state)
        if self._position - self._kept_at >= WORTH_IT:
            self.keep()

    @classmethod
    def open(
        cls, path: Path, device: str, *, create: bool = True, place: WritingPlace | None = None
    ) -> Self:
        """Open the log at `path` for this device, made first where there is none.

        With a `place` nothing is written unless this window holds it.

        Raises:
            HeldElsewhereError: if another open window holds the place.
            LogError: if there is no log and `create` is not set, or it cannot be used; a file
                that is refused was not touched.
        """
        log = open_log(path, create=create)
        try:
            with explained(str(path)):
                if place is not None:
                    with transaction(log):
                        if (holder := place.claim()) is not None:
                            raise HeldElsewhereError(str(path), holder)
                opened = cls(log, device, str(path), snapshot_file(path))
                opened._place = place
                opened._again = lambda: (open_log(path, create=False), device)
                return opened
        except BaseException:
            log.close()
            raise

    @classmethod
    def looked_at(
        cls,
        path: Path,
        log: sqlite3.Connection,
        looking: Looking,
        again: Again,
        place: WritingPlace,
        told: Window | None,
    ) -> Self:
        """Read a log that `to_read` opened; `told` is the window that holds its place.

        Raises:
            LogError: if it cannot be read.
        """
        try:
            with explained(str(path)):
                opened = cls(log, "", str(path), snapshot_file(path), looking)
        except BaseException:
            log.close()
            raise
        opened._place, opened._again, opened._told = place, again, told
        return opened

    @classmethod
    def in_memory(cls, device: str) -> Self:
        """Make a log that is gone when it is closed."""
        return cls(log_in_memory(), device, "the log in memory")

    @property
    def name(self) -> str:
        """What the log is called in a message."""
        return self._name

    @property
    def state(self) -> State:
        """Where everything stands after the last event read or written here."""
        return self._state

    def events(self) -> list[Event]:
        """Return the events that made the state, in the order in which they came into the log.

        Raises:
            LogError: if the log can no longer be read.
        """
        return list(self.each_event())

    def each_event(self) -> Iterator[Event]:
        """Yield the events that made the state one by one, as `events` returns them.

        Raises:
            LogError: if the log can no longer be read.
        """
        with explained(self._name):
            yield from self.whole()

    def whole(self, *, before: int | None = None) -> LogOnDisk:
        """Return the events that made the state, each read when it is wanted.

        before: only those before this place.
        """
        from profiles.log_on_disk import LogOnDisk

        last = self._position if before is None else before - 1
        return LogOnDisk(self.connection, self._name, last)

    def from_pass(self, run_id: str) -> list[Event]:
        """Return what came into the log from a pass to the next one that stands.

        Nothing where the log is not read in the order in which it was written.

        Raises:
            LogError: if the log can no longer be read.
        """
        from profiles.event_rows import events_from_pass

        if self._is_merged or self._state.unread:
            return []
        with explained(self._name):
            return events_from_pass(
                self.connection, self._name, run_id, self._state, self._position
            )

    def newest(
        self, most: int, *, before: int | None = None, but: Collection[str] = ()
    ) -> list[tuple[int, Event]]:
        """Return the last events that made the state, in order, each with its place in the log.

        most: how many; -1 for all.  before: only those before this place.  but: kinds left out.

        Raises:
            LogError: if the log can no longer be read.
        """
        from profiles.event_rows import newest_events

        end = self._position + 1 if before is None else before
        with explained(self._name):
            return newest_events(self.connection, self._name, most, end, but)

    def append(self, bodies: Iterable[Body], *, now: datetime, ids: Callable[[], UUID]) -> State:
        """Write all events of one answer, or none, and return the new state.

        An event whose id the log already has is left out, so that a retry is harmless.

        Args:
            bodies: what happened, in order.
            now: when, with its time zone.
            ids: gives each event its id.

        Raises:
            LogMovedError: if another program wrote meanwhile; `state` then holds what it wrote.
            ReadOnlyLogError: if the log can only be looked at; `state` then says why.
            LogError: if the log cannot be written; `state` is unchanged.
            ValueError: if `now` has no time zone, or a body does not fit the state.
            KeyError: if a body names what the state does not have.
        """
        if now.tzinfo is None:
            raise ValueError(f"found the time {now} without a time zone; wanted one with")
        identified = [(ids(), body) for body in bodies]
        if not identified:
            return self._state
        self._refuse_looking()
        from profiles.event_rows import has, numbered, write
        from rules.log.folds.fold import fold

        log = self.connection
        with explained(self._name):
            with transaction(log):
                moved = self._catch_up()
                self._hold()
                fresh = [(key, body) for key, body in identified if not has(log, key)]
                if moved and fresh:
                    raise LogMovedError(MOVED)
                events = numbered(log, self._device, fresh, now)
                state = fold(events, self._state)
                position = write(log, events) or self._position
            self._state, self._position = state, position
        return state

    def take_in(
        self,
        events: Sequence[Event],
        closing: Body | None,
        *,
        now: datetime,
        ids: Callable[[], UUID],
    ) -> State:
        """Write events of another log as they are, all or none, and close them with `closing`.

        Raises:
            LogMovedError: if another program wrote meanwhile; `state` then holds what it wrote.
            ReadOnlyLogError: if the log can only be looked at; `state` then says why.
            LogError: if the log cannot be written, or would not be readable; nothing is written.
        """
        self._refuse_looking()
        from profiles.event_rows import numbered, refuse_damaged, write

        refuse_damaged(self._name, events)
        with explained(self._name):
            try:
                with transaction(self.connection):
                    moved = self._catch_up()
                    self._hold()
                    if moved:
                        raise LogMovedError(MOVED)
                    write(self.connection, events)
                    if closing is not None:
                        last = numbered(self.connection, self._device, [(ids(), closing)], now)
                        write(self.connection, last)
                    self._catch_up()
            except BaseException:
                self._start_over()
                raise
        return self._state

    def hold(self) -> None:
        """Make sure that this window may write: what belongs to an answer is not begun otherwise.

        Raises:
            ReadOnlyLogError: if the log can only be looked at; `state` then says why.
            LogError: if it cannot be written now.
        """
        self._refuse_looking()
        with explained(self._name), transaction(self.connection):
            self._hold()

    def look(self) -> None:
        """Read what others wrote meanwhile.

        Raises:
            LogError: if it cannot be read now.
        """
        with explained(self._name):
            self._catch_up()

    def answer_here(self) -> None:
        """Take the answers here from now on, whoever was told to hold the place until now.

        Raises:
            LogError: if the log can still only be looked at; `state` then says why.
        """
        if self._again is None or self._state.unread:
            return
        try:
            with explained(self._name):
                log, device = self._again()
                try:
                    with transaction(log):
                        self._take_place()
                except BaseException:
                    log.close()
                    raise
        except LogError as error:
            self._look_because(kept_from(error))
            raise
        self.connection.close()
        self.connection, self._device, self._told = log, device, None
        self._state = replace(self._state, held=None)
        self.look()

    def keep(self) -> None:
        """Keep a snapshot beside the log for the next time, where there is more to keep by now."""
        known = answers(self._state)
        is_more = self._position > self._kept_at or known > self._known
        is_looking = self._state.looking is not None
        if self._beside is None or not self._state.events or not is_more or is_looking:
            return
        self._state = cooled(self._state)
        self._kept_at, self._known = self._position, known
        now = Snapshot(self._state, self._position, self._is_merged)
        save(self._beside, self.connection, now)

    def cool(self) -> None:
        """Hold passes long past as text again; they are read when they are wanted next."""
        self._state = cooled(self._state)

    def close(self) -> None:
        """Close the log; nothing more can be read or written here."""
        if self._state.events >= WORTH_IT:
            self.keep()
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _refuse_looking(self) -> None:
        if (looking := self._state.looking) is not None:
            raise ReadOnlyLogError(f"{looking.why} ({self._name})")

    def _hold(self) -> None:
        """Look, inside a transaction, whether the place is still this window's."""
        holder = None if self._place is None else self._place.claim()
        if holder is not None:
            self._told = holder
            self._look_because(held_by(holder))
            raise HeldElsewhereError(self._name, holder)

    def _take_place(self) -> None:
        """Take the place, inside a transaction, from nobody but whom the crew was told of."""
        if self._place is None:
            return
        holder = self._place.claim()
        if holder not in (None, self._told):
            self._hold()
        self._place.take()

    def _look_because(self, looking: Looking | None) -> None:
        if looking is not None:
            self._state = replace(self._state, held=looking)

    def _start_over(self) -> None:
        """Read the whole log anew."""
        self._state = State(held=self._state.held)
        self._position, self._is_merged = 0, False
        self._catch_up()

    def _catch_up(self) -> bool:
        """Fold what is in the log beyond the state; tell whether there was anything."""
        beyond = "SELECT 1 FROM events WHERE position > ? LIMIT 1"
        if self.connection.execute(beyond, (self._position,)).fetchone() is None:
            return False
        from profiles.event_rows import folded_on

        stood = Snapshot(self._state, self._position, self._is_merged)
        for now in folded_on(self.connection, self._name, stood):
            self._state, self._position, self._is_merged = now.state, now.position, now.is_merged
        return True
