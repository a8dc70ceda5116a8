"""Everything that reaches the disk, step by step, and a program that dies or fails at one of them.

A step is a file opened to be written, a sync, a rename, a removal, a folder made, or a statement of
a database: whatever the program writes by, without naming its own functions.
"""

import io
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any

import pytest

DIED = 86
Grief = Callable[[str], None]
_CALLS = ("fsync", "rename", "replace", "unlink", "remove", "mkdir", "rmdir", "link")
_WRITES = frozenset("wxa+")


def die(_: str) -> None:
    """Come to an end as a killed process does: at once, and nothing is tidied up."""
    os._exit(DIED)


def disk_full(step: str) -> None:
    """Fail as a full disk does.

    Raises:
        OSError, sqlite3.OperationalError: whichever the step would raise.
    """
    if step == "statement":
        raise sqlite3.OperationalError("database or disk is full")
    raise OSError(28, "No space left on device")


@contextmanager
def grief_at(number: int, grief: Grief) -> Iterator[list[int]]:
    """Come to grief before step `number`; yield how many steps were begun, as one number."""
    steps = [0]

    def count(step: str) -> None:
        steps[0] += 1
        if steps[0] == number:
            grief(step)

    class Watched(sqlite3.Connection):
        def execute(self, *arguments: Any) -> sqlite3.Cursor:
            count("statement")
            return super().execute(*arguments)

    def before(real: Callable[..., Any], step: str) -> Callable[..., Any]:
        def one(*args: Any, **named: Any) -> Any:
            count(step)
            return real(*args, **named)

        return one

    real_open = io.open

    def opened(file: Any, mode: str = "r", *args: Any, **named: Any) -> Any:
        if _WRITES & set(mode):
            count("open")
        return real_open(file, mode, *args, **named)

    with pytest.MonkeyPatch.context() as patch:
        for name in _CALLS:
            patch.setattr(os, name, before(getattr(os, name), name))
        for place in ("builtins.open", "io.open"):
            patch.setattr(place, opened)
        patch.setattr(shutil, "copyfileobj", before(shutil.copyfileobj, "copy"))
        patch.setattr(sqlite3, "connect", partial(sqlite3.connect, factory=Watched))
        yield steps
