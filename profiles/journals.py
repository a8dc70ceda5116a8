"""The files that SQLite leaves beside a log, and whether they are that log's own.

SQLite knows a journal by its name alone. One that another file of that name left, as when a backup
is unpacked over a crashed folder, would be rolled into the log and spoil it. So before SQLite sees
a log with something beside it, it is told here whose that is; what is not its own is set aside.
"""

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

from profiles.durable import sync_folder

JOURNAL, WRITE_AHEAD, SHARED_MEMORY = "-journal", "-wal", "-shm"
ENDS = (JOURNAL, WRITE_AHEAD, SHARED_MEMORY)
Sound = Callable[[Path], bool]
"""Tells whether a log is sound, journal and all; it may let SQLite mend it."""

_MAGIC = bytes.fromhex("d9d505f920a163d7")
_HEADER = 28
# What every commit moves: the change counter, the sizes, and the version that wrote last.
_MOVING = ((24, 40), (92, 100))
_COUNTER = slice(24, 28)


def beside(path: Path, end: str) -> Path:
    """Return the name that SQLite gives a file beside a log."""
    return path.with_name(f"{path.name}{end}")


def stray_write_ahead(path: Path) -> list[Path]:
    """Return what lies beside a log as its write-ahead log though its header has none.

    Raises:
        OSError: if the log cannot be read.
    """
    found = [one for end in (WRITE_AHEAD, SHARED_MEMORY) if _size(one := beside(path, end)) >= 0]
    return [] if found and _says_write_ahead(path) else found


def has_journal(path: Path) -> bool:
    """Tell whether a rollback journal with anything in it lies beside a log."""
    return _size(beside(path, JOURNAL)) > 0


def is_own_journal(path: Path, sound: Sound) -> bool:
    """Tell whether the journal beside a log is its own; nothing is written there.

    It is another file's where the first page that it keeps cannot be this log's before its last
    commit, unless the log is sound with it alone; and where it spoils a log that is sound without.

    Raises:
        OSError: if one of them cannot be read or copied.
    """
    fits = _fits(path, beside(path, JOURNAL))
    for own in (fits, not fits):
        with TemporaryDirectory(prefix="setdown-") as work:
            copy = Path(work) / path.name
            copy_with(path, copy, journal=own)
            if sound(copy):
                return own
    return fits


def set_aside(strays: Iterable[Path]) -> list[Path]:
    """Give files another name where they lie; return the new names.

    Raises:
        OSError: if one cannot be renamed.
    """
    kept = []
    for stray in strays:
        aside = free_name(stray.parent, f"stray-{stray.name.rpartition('-')[2]}")
        stray.rename(aside)
        sync_folder(stray.parent)
        kept.append(aside)
    return kept


def free_name(folder: Path, stem: str, end: str = ".kept") -> Path:
    """Return a numbered name under which nothing lies yet."""
    number = 1
    while os.path.lexists(name := folder / f"{stem}-{number}{end}"):
        number += 1
    return name


def copy_with(path: Path, target: Path, journal: bool) -> None:
    """Copy a log byte for byte, with its journal or without.

    Raises:
        OSError: if either cannot be read or written.
    """
    copyfile(path, target)
    if journal and has_journal(path):
        copyfile(beside(path, JOURNAL), beside(target, JOURNAL))


def _fits(path: Path, journal: Path) -> bool:
    """Tell whether a journal can be of this file, by what both have of its first page [1].

    References:
        [1] SQLite, Database File Format, sections 1.3 and 3,
            https://www.sqlite.org/fileformat2.html
    """
    with path.open("rb") as file:
        now = file.read(100)
    before = next((page for number, page in _pages(journal) if number == 1), None)
    if before is None or len(now) < 100:
        return True  # Nothing to tell them apart by.
    grown = int.from_bytes(now[_COUNTER], "big") - int.from_bytes(before[_COUNTER], "big")
    return grown in (0, 1) and _still(now) == _still(before[:100])


def _still(header: bytes) -> bytes:
    for start, end in _MOVING:
        header = header[:start] + bytes(end - start) + header[end:]
    return header


def _pages(journal: Path) -> Iterator[tuple[int, bytes]]:
    """Yield the pages that the first part of a journal keeps, each with its number."""
    with journal.open("rb") as file:
        header = file.read(_HEADER)
        if len(header) < _HEADER or not header.startswith(_MAGIC):
            return
        sector, size = (int.from_bytes(header[at : at + 4], "big") for at in (20, 24))
        if size not in {2**power for power in range(9, 17)} or not 0 < sector <= 2**16:
            return
        file.seek(sector)
        while len(record := file.read(size + 8)) == size + 8:
            yield int.from_bytes(record[:4], "big"), record[4:-4]


def _says_write_ahead(path: Path) -> bool:
    with path.open("rb") as file:
        return 2 in file.read(20)[18:20]


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return -1
