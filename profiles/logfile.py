"""The SQLite file under a log: how it is recognised, opened, made and copied."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from hashlib import blake2b
from pathlib import Path
from secrets import randbelow
from typing import Any, NamedTuple
from urllib.parse import quote

from profiles.durable import make_folder
from profiles.journals import (
    JOURNAL,
    beside,
    copy_with,
    has_journal,
    is_own_journal,
    set_aside,
    stray_write_ahead,
)

APPLICATION_ID = 0x53657444
VERSION = 1
BUSY_SECONDS = 0.2
"""How long another's lock is waited for, on the event loop too; then it is told in words [s]."""

_SCHEMA = (
    """
    CREATE TABLE events (
        position INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE,
        device TEXT NOT NULL,
        seq INTEGER NOT NULL,
        at TEXT NOT NULL,
        kind TEXT NOT NULL,
        body TEXT NOT NULL,
        UNIQUE (device, seq)
    )
    """,
    """
    CREATE TRIGGER events_are_not_changed BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'the log only grows'); END
    """,
    """
    CREATE TRIGGER events_are_not_deleted BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'the log only grows'); END
    """,
    # INSERT OR REPLACE deletes without firing the trigger above.
    """
    CREATE TRIGGER events_are_not_replaced BEFORE INSERT ON events
    WHEN EXISTS (
        SELECT 1 FROM events WHERE position = NEW.position OR id = NEW.id
        UNION ALL SELECT 1 FROM events WHERE device = NEW.device AND seq = NEW.seq
    )
    BEGIN SELECT RAISE(ABORT, 'the log only grows'); END
    """,
    f"PRAGMA application_id = {APPLICATION_ID}",
    f"PRAGMA user_version = {VERSION}",
)

_IDS = "SELECT id FROM events ORDER BY position"
_REASONS = {
    "SQLITE_NOTADB": "this is not a log of Setdown; nothing was changed",
    "SQLITE_CORRUPT": (
        "this log is damaged; nothing was changed: setdown restore takes the last backup, "
        "setdown salvage what can still be read"
    ),
    "SQLITE_READONLY_DBMOVED": "this log was moved or deleted while it was in use",
    "SQLITE_READONLY": "this log is read-only; nothing was written",
    "SQLITE_FULL": "the disk is full; nothing was written",
    "SQLITE_BUSY": "another window is writing to this log; nothing was written, try again",
    "SQLITE_CANTOPEN": "this log cannot be opened; is its folder there, and may it be written?",
    "SQLITE_IOERR": "the disk failed; the last answer may or may not be kept",
}


class LogError(OSError):
    """A log cannot be used; the message names the file and says why."""


@contextmanager
def explained(name: str) -> Iterator[None]:
    """Turn what SQLite and the disk say into a sentence about the log called `name`.

    Raises:
        LogError: in place of `sqlite3.Error`, `OSError` and text that is none.
    """
    try:
        yield
    except LogError:
        raise
    except UnicodeDecodeError as error:  # Damaged text, or what SQLite quotes of it.
        raise LogError(f"{name}: {_REASONS['SQLITE_CORRUPT']}") from error
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorname", None) or ""
        reasons = (reason for known, reason in _REASONS.items() if code.startswith(known))
        raise LogError(f"{name}: {next(reasons, f'SQLite says: {error}')}") from error
    except OSError as error:
        where = error.filename or name
        raise LogError(f"{where}: cannot be used ({error.strerror or error})") from error


def open_log(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open a log, made first where there is none and `create` is set.

    Raises:
        LogError: if this is no log, a newer one, or not usable. Then the file was not touched.
    """
    with explained(str(path)):
        if path.is_dir():
            raise LogError(f"{path}: this is a folder, not a log")
        is_new = not path.exists() or path.stat().st_size == 0
        if is_new and not create:
            raise LogError(f"{path}: there is no log here")
        if is_new:
            make_folder(path.parent)
        else:
            recognise(path)
            set_strays_aside(path)
        return _prepare(connect(path, "rwc" if create else "rw"))


def log_in_memory() -> sqlite3.Connection:
    """Make a log that is gone when it is closed.

    Raises:
        sqlite3.Error: if SQLite cannot make one.
    """
    return _prepare(sqlite3.connect(":memory:", isolation_level=None))


def copy_log(source: Path, target: Path, *, number_too: bool = False) -> int:
    """Copy a log as of its last commit, check the copy, and return its number of events.

    The source is only read, whatever a crash left of it: its disk may take no more writes.

    number_too: the copy keeps the number of the log, so that its snapshot is the copy's too; for a
    copy that is only read, and gone before anything is written.

    Raises:
        LogError: if there is no sound log, or the copy cannot be made or differs.
    """
    with explained(str(source)):
        if target.exists():
            raise LogError(f"{target}: exists already; nothing was written")
        recognise(source)
        torn = stray_write_ahead(source) or is_torn(source)
        held = (_copy_torn if torn else _copy)(source, target)
        # A number of its own, which a journal keeps: so no other file's is taken for its own.
        number = held.number if number_too else 1 + randbelow(2**31 - 2)
        with closing(connect(target, "rw")) as copy:
            copy.execute(f"PRAGMA schema_version = {number}")
    with explained(str(target)), closing(connect(target, "ro")) as copy:
        _refuse_damaged(target, copy)
        if _held(copy).ids != held.ids:
            raise LogError(f"{source}: its copy came out different")
    return held.events


class _Held(NamedTuple):
    """What a log holds: the digest of its ids in order, how many events, and its own number."""

    ids: str
    events: int
    number: int


def _held(log: sqlite3.Connection) -> _Held:
    ids, events = blake2b(), 0
    for (key,) in log.execute(_IDS):
        ids.update(f"{key}\n".encode())
        events += 1
    return _Held(ids.hexdigest(), events, _pragma(log, "schema_version"))


def _copy(source: Path, target: Path) -> _Held:
    with closing(connect(source, "ro")) as log, closing(connect(target, "rwc")) as copy:
        # Reading inside a transaction keeps others from writing until the copy is made.
        log.execute("BEGIN")
        held = _held(log)
        log.backup(copy)
    return held


def _copy_torn(source: Path, target: Path) -> _Held:
    """Copy a log that was cut off in a write, with its own journal, and let SQLite mend it."""
    copy_with(source, target, journal=not stray_journal(source))
    with closing(connect(target, "rw")) as copy:
        return _held(copy)


def verified_ids(path: Path) -> list[str]:
    """Return the ids of the events of a log in order, once SQLite finds the whole file sound.

    Raises:
        LogError: if it is damaged, or no log.
    """
    with explained(str(path)):
        recognise(path)
        with closing(connect(path, "ro")) as log:
            _refuse_damaged(path, log)
            return event_ids(log)


def _refuse_damaged(path: Path, log: sqlite3.Connection) -> None:
    if log.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
        raise LogError(f"{path}: {_REASONS['SQLITE_CORRUPT']}")


def is_sound(path: Path) -> bool:
    """Tell whether a log is sound once SQLite has mended it with what lies beside it."""
    try:
        with explained(str(path)):
            recognise(path)
            with closing(connect(path, "rw")) as log:
                event_ids(log)
        verified_ids(path)
    except LogError:
        return False
    return True


def set_strays_aside(path: Path) -> list[Path]:
    """Give what SQLite would take for a log's own, and is not, other names; return those.

    Raises:
        OSError: if a file cannot be read or renamed.
    """
    kept = set_aside(stray_write_ahead(path))
    if not is_torn(path):  # Asked once no write-ahead log is there for SQLite to read.
        return kept
    return kept + set_aside(stray_journal(path))


def stray_journal(path: Path) -> list[Path]:
    """Return the journal beside a log that was cut off, if it is another file's.

    Raises:
        OSError: if a file cannot be read.
    """
    if not has_journal(path) or is_own_journal(path, is_sound):
        return []
    return [beside(path, JOURNAL)]


def is_torn(path: Path) -> bool:
    """Tell whether SQLite would roll a journal into a log; one that somebody writes now is not."""
    if not has_journal(path):
        return False
    try:
        with closing(connect(path, "ro")) as log:
            log.execute("PRAGMA busy_timeout = 0")
            event_ids(log)
    except sqlite3.Error as error:
        return getattr(error, "sqlite_errorname", "") == "SQLITE_READONLY_ROLLBACK"
    return False


def event_ids(log: sqlite3.Connection) -> list[str]:
    """Return the ids of the events of an open log in order.

    Raises:
        sqlite3.Error: if it cannot be read.
    """
    return [row[0] for row in log.execute(_IDS)]


@contextmanager
def transaction(log: sqlite3.Connection) -> Iterator[None]:
    """Write all of what happens inside, or nothing of it.

    Raises:
        sqlite3.Error: if it cannot be begun or committed; and whatever is raised inside.
    """
    log.execute("BEGIN IMMEDIATE")
    try:
        yield
        log.execute("COMMIT")
    except BaseException:
        if log.in_transaction:
            log.execute("ROLLBACK")
        raise


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """Open the database; mode is SQLite's: "ro", "rw" or "rwc"."""
    # SQLite wants three slashes before a drive or a share too, which Path.as_uri does not write.
    place = quote(os.fsencode(path.absolute().as_posix().removeprefix("/")), safe="/:")
    uri = f"file:///{place}?mode={mode}"
    return sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, isolation_level=None)


def recognise(path: Path) -> None:
    """Refuse what is no log of this version, by the bytes where SQLite keeps these numbers [1].

    SQLite is not asked, because it may write to a file that a crashed program left. The file
    must not be in a transaction of this process, whose locks end when the file is closed here.

    References:
        [1] SQLite, Database File Format, section 1.3, https://www.sqlite.org/fileformat2.html
    """
    with path.open("rb") as file:
        header = file.read(100)
    if not any(header):  # A crash while the log was made; SQLite finds its journal and starts anew.
        return
    version, application = (int.from_bytes(header[at : at + 4], "big") for at in (60, 68))
    if not header.startswith(b"SQLite format 3\0") or application != APPLICATION_ID:
        raise LogError(f"{path}: {_REASONS['SQLITE_NOTADB']}")
    if version > VERSION:
        raise LogError(f"{path}: this log was written by a newer Setdown; nothing was changed")


def _prepare(log: sqlite3.Connection) -> sqlite3.Connection:
    try:
        log.execute("PRAGMA journal_mode = DELETE")
        log.execute("PRAGMA synchronous = EXTRA")
        # On macOS a plain fsync leaves the data in the drive's own cache.
        log.execute("PRAGMA fullfsync = ON")
        log.execute("BEGIN IMMEDIATE")
        is_new = _pragma(log, "application_id") != APPLICATION_ID
        # A log that is there already gets a trial, taken back, which a read-only one fails.
        for statement in _SCHEMA if is_new else _SCHEMA[-1:]:
            log.execute(statement)
        log.execute("COMMIT" if is_new else "ROLLBACK")
    except BaseException:
        log.close()
        raise
    return log


def _pragma(log: sqlite3.Connection, name: str) -> Any:
    return log.execute(f"PRAGMA {name}").fetchone()[0]
