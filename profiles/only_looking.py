"""A log that cannot be written is looked at: why that is, and a connection that only reads."""

import errno
import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from profiles.journals import copy_with
from profiles.logfile import connect, explained, recognise, stray_journal, verified_ids
from profiles.open_windows import Window
from rules.harmless import harmless
from rules.log.looking import Looking
from rules.moments import stamp

AGAIN = "Try again to answer here"
NO_WRITES = "Read-only: this disk or folder takes no writes."
FULL = "Read-only: the disk is full. Make room on it, then try again."
LOCKED = (
    "Read-only: another program holds this log: a copy, a sync or a check. "
    "Let it end, then try again."
)
FAILED = "Read-only: the disk fails. Back this car up to another one now."
_BY_SQLITE = {
    "SQLITE_READONLY": NO_WRITES,
    "SQLITE_CANTOPEN": NO_WRITES,
    "SQLITE_FULL": FULL,
    "SQLITE_BUSY": LOCKED,
    "SQLITE_IOERR": FAILED,
}
_BY_SYSTEM = {
    errno.EROFS: NO_WRITES,
    errno.EACCES: NO_WRITES,
    errno.EPERM: NO_WRITES,
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EIO: FAILED,
}


def held_by(window: Window) -> Looking:
    """Say which window takes the answers, and what taking over does to it."""
    who = " ".join(harmless(window.who).split())
    return Looking(
        f"Read-only: {who} answers for this car, in a window open since {stamp(window.since)}.",
        "Answer here from now on: the other window then only looks",
    )


def kept_from(error: BaseException) -> Looking | None:
    """Return what keeps a log from being written, by its error; None where it is no log to read."""
    cause: BaseException | None = error
    while cause is not None:
        if isinstance(cause, sqlite3.Error):
            name = getattr(cause, "sqlite_errorname", None) or ""
            why = next((why for known, why in _BY_SQLITE.items() if name.startswith(known)), None)
        else:
            why = _BY_SYSTEM.get(getattr(cause, "errno", None) or 0)
        if why is not None:
            return Looking(why, AGAIN)
        cause = cause.__cause__
    return None


def to_read(path: Path) -> sqlite3.Connection:
    """Open a log to be read alone; one that is locked whole or cut off in a write, as a copy.

    Raises:
        LogError: if there is no sound log to be read.
    """
    with explained(str(path)):
        recognise(path)
        log = connect(path, "ro")
        try:
            log.execute("SELECT 1 FROM events LIMIT 1").fetchall()
        except sqlite3.Error as error:
            log.close()
            name = getattr(error, "sqlite_errorname", None) or ""
            if not name.startswith(("SQLITE_BUSY", "SQLITE_READONLY", "SQLITE_CANTOPEN")):
                raise
            return _copied(path)
        return log


def _copied(path: Path) -> sqlite3.Connection:
    """Return a log as of its last commit, in memory: SQLite mends a copy by its own journal."""
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.sqlite3"
        copy_with(path, copy, journal=not stray_journal(path))
        log = sqlite3.connect(":memory:", isolation_level=None)
        with closing(connect(copy, "rw")) as source:
            source.backup(log)
        verified_ids(copy)
    return log
