"""Who has a car open: each window holds a lock beside the log, which ends with its program."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from getpass import getuser
from pathlib import Path
from platform import node
from typing import NamedTuple

WINDOWS = 4
# A name with a leading point stays out of backups.
_NAME = ".open-{}.sqlite3"


class Window(NamedTuple):
    """A window that has a car open: whose, and since when."""

    who: str
    since: datetime


def this_user() -> str:
    """Return who sits here, as the system calls them, and at which computer."""
    try:
        user = getuser()
    except (OSError, KeyError, ImportError):
        user = "somebody"
    return f"{user} on {node() or 'this computer'}"


@contextmanager
def open_window(folder: Path, now: datetime, who: str) -> Iterator[list[Window]]:
    """Hold a place among the windows that have the car of `folder` open; yield the others.

    A disk that takes no writes, or a fifth window, holds no place and is told of none.
    """
    others: list[Window] = []
    held: sqlite3.Connection | None = None
    for number in range(1, WINDOWS + 1):
        path = folder / _NAME.format(number)
        if held is not None and not path.exists():
            continue
        with suppress(sqlite3.Error, OSError, ValueError, TypeError):
            place = sqlite3.connect(path, timeout=0, isolation_level=None)
            try:
                place.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                with closing(place):
                    row = place.execute("SELECT who, since FROM window").fetchone()
                others.append(Window(row[0], datetime.fromisoformat(row[1])))
                continue
            if held is not None:
                place.close()
                continue
            held = place
            place.execute("CREATE TABLE IF NOT EXISTS window (who TEXT, since TEXT)")
            place.execute("DELETE FROM window")
            place.execute("INSERT INTO window VALUES (?, ?)", (who, now.isoformat()))
            place.execute("COMMIT")
            # From here on nobody else can write, and everybody can read who is here.
            place.execute("BEGIN IMMEDIATE")
    try:
        yield others
    finally:
        if held is not None:
            held.close()


def who_has_open(folder: Path) -> list[Window]:
    """Return the windows that have the car of `folder` open; no place is taken among them."""
    windows = []
    for path in sorted(folder.glob(_NAME.format("*"))):
        with (
            suppress(sqlite3.Error, OSError, ValueError),
            closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as place,
        ):
            try:
                place.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                if error.sqlite_errorname != "SQLITE_BUSY":
                    continue
                row = place.execute("SELECT who, since FROM window").fetchone()
                windows.append(Window(row[0], datetime.fromisoformat(row[1])))
            else:
                place.execute("ROLLBACK")
    return windows
