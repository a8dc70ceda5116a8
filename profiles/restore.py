"""A backup put in place of the data folder: verified first, whole or not at all.

The backup is unpacked beside the data folder and every log in it is read to its end. Only then is
the folder that was there renamed, and the unpacked one takes its name. A crash between these two
leaves both whole; `finish_restore` then gives the unpacked one its name at the next start.
"""

import os
import shutil
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import count
from lzma import LZMAError
from pathlib import Path, PurePosixPath
from uuid import uuid4

from profiles.durable import make_folder, sync_folder
from profiles.journals import ENDS
from profiles.logbook import Logbook
from profiles.logfile import LogError, verified_ids
from profiles.only_read import only_events
from profiles.open_windows import who_has_open
from profiles.paths import DEVICE_FILE, LOG_FILE, RESTORED, DataFolder
from profiles.snapshot import cooled
from rules.log.log_format import read_whole
from rules.log.merge import MISFITS, state_of
from rules.moments import in_a_name, stamp
from rules.wording import plural

HALVES = ("real", "demo")
MOST_FILES = 100_000
_BAD_ZIP = (zipfile.BadZipFile, zlib.error, LZMAError, EOFError, NotImplementedError, RuntimeError)


class RestoreError(OSError):
    """Nothing was restored, and nothing was changed; the message says why."""


@dataclass(frozen=True)
class Newer:
    """A log of the folder that was there which has what the restored one has not.

    events: how many more; None where it cannot be read as it is.
    """

    car_id: str
    demo: bool
    log: Path
    events: int | None


@dataclass(frozen=True)
class RestoreReport:
    """What was put in place, and where the folder that was there is kept, if there was one."""

    root: Path
    files: int
    logs: int
    events: int
    kept: Path | None
    newer: tuple[Newer, ...]


def restore(folder: DataFolder, source: Path, now: datetime) -> RestoreReport:
    """Put a backup in place of a data folder, which is kept whole beside it.

    Raises:
        RestoreError: if this is no sound backup, a car is open, or the disk refuses.
    """
    root = folder.root.resolve()
    _refuse_open_cars(root)
    unpacked = root.with_name(f".{root.name}.{uuid4().hex}.tmp")
    try:
        with _explained(source, root):
            make_folder(root.parent)
            logs = _unpack(source, unpacked)
            files = sum(one.is_file() for one in unpacked.rglob("*"))
            newer = tuple(_newer(root, unpacked))
            kept = _swap(root, unpacked, now)
    finally:
        shutil.rmtree(unpacked, ignore_errors=True)
    newer = tuple(_moved(one, root, kept) for one in newer) if kept else ()
    return RestoreReport(root, files, len(logs), sum(logs.values()), kept, newer)


def _moved(one: Newer, root: Path, kept: Path) -> Newer:
    return Newer(one.car_id, one.demo, kept / one.log.relative_to(root), one.events)


@contextmanager
def _explained(source: Path, root: Path) -> Iterator[None]:
    try:
        yield
    except RestoreError:
        raise
    except LogError as error:
        raise RestoreError(f"nothing was restored: {error}") from error
    except _BAD_ZIP as error:
        raise RestoreError(f"nothing was restored: {source}: it is damaged ({error})") from error
    except OSError as error:
        where = error.filename or root
        raise RestoreError(f"nothing was restored: {where}: {error.strerror or error}") from error


def _refuse_open_cars(root: Path) -> None:
    for half in HALVES:
        for place in sorted((root / half / "cars").glob("*")):
            for one in who_has_open(place):
                raise RestoreError(
                    f"nothing was restored: the car {place.name!r} is open in a window of "
                    f"{one.who}, since {stamp(one.since)}; close it with q first"
                )


def _unpack(source: Path, target: Path) -> dict[str, int]:
    """Unpack a backup down to the disk and check every log; return their numbers of events."""
    if not zipfile.is_zipfile(source):
        if not source.is_file():
            raise RestoreError(f"nothing was restored: {source}: there is no such file")
        raise RestoreError(f"nothing was restored: {source}: this is no backup of Setdown")
    make_folder(target)
    logs: dict[str, int] = {}
    with zipfile.ZipFile(source) as archive:
        members = _members(archive, source, shutil.disk_usage(target).free)
        for member in members:
            # Each device counts its own events: after a restore this one counts afresh.
            if member.filename == DEVICE_FILE:
                continue
            path = target / member.filename
            make_folder(path.parent)
            with archive.open(member) as packed, path.open("xb") as file:
                shutil.copyfileobj(packed, file)
                file.flush()
                os.fsync(file.fileno())
            if path.name == LOG_FILE and path.stat().st_size > 0:
                try:
                    logs[member.filename] = _checked(path)
                except LogError as error:
                    said = str(error).replace(str(path), f"{source}, {member.filename}")
                    raise LogError(said) from None
    for place in (target, *target.rglob("*")):
        if place.is_dir():
            sync_folder(place)
    return logs


def _checked(path: Path) -> int:
    """Read a log to its end, every event whole; return their number."""
    ids = verified_ids(path)
    with Logbook.open(path, "restore", create=False) as log:
        for event in log.events():
            try:
                read_whole(event)
            except ValueError as error:
                raise LogError(f"{path}: found a damaged event") from error
    return len(ids)


def _members(archive: zipfile.ZipFile, source: Path, free: int) -> list[zipfile.ZipInfo]:
    """Return the files of a backup, once each can lie nowhere but in a data folder."""
    members = [one for one in archive.infolist() if not one.is_dir()]
    if len(members) > MOST_FILES or sum(one.file_size for one in members) > free:
        raise RestoreError(f"nothing was restored: {source}: the disk has no room for what it says")
    seen: set[str] = set()
    for one in members:
        parts = PurePosixPath(one.filename).parts
        is_link = stat.S_ISLNK(one.external_attr >> 16)
        known = one.filename == DEVICE_FILE or (len(parts) > 1 and parts[0] in HALVES)
        odd = set(one.filename) & set('\\:*?"<>|\0') or any(p in ("..", ".") for p in parts)
        if not known or odd or is_link or one.filename.lower() in seen:
            raise RestoreError(
                f"nothing was restored: {source}: found {one.filename[:60]!r}, which no backup of "
                "Setdown has; wanted one made with setdown backup"
            )
        if one.filename.endswith(ENDS):
            raise RestoreError(
                f"nothing was restored: {source}: found {one.filename[:60]!r}, so this was packed "
                "by hand; wanted one made with setdown backup"
            )
        seen.add(one.filename.lower())
    if not seen - {DEVICE_FILE}:
        raise RestoreError(f"nothing was restored: {source}: this is no backup of Setdown")
    return members


def _swap(root: Path, unpacked: Path, now: datetime) -> Path | None:
    """Give the unpacked folder the name of the one that is there; on a failure, give it back."""
    kept = _free_beside(root, f"{root.name}-before-restore-{in_a_name(now)}")
    ready = kept.with_name(f"{kept.name}{RESTORED}")
    is_new = not root.exists() or not any(one.is_file() for one in root.rglob("*"))
    try:
        if is_new:
            _remove_empty(root)
            unpacked.rename(root)
        else:
            unpacked.rename(ready)
            sync_folder(root.parent)
            root.rename(kept)
            sync_folder(root.parent)
            ready.rename(root)
        sync_folder(root.parent)
    except OSError:
        if ready.exists():
            ready.rename(unpacked)
        if not unpacked.exists():
            root.rename(unpacked)
        if kept.exists():
            kept.rename(root)
        raise
    return None if is_new else kept


def _free_beside(root: Path, name: str) -> Path:
    """Return a name that nothing has, and for which no restored folder waits."""
    for number in count(1):
        path = root.with_name(name if number == 1 else f"{name}-{number}")
        if not os.path.lexists(path) and not os.path.lexists(f"{path}{RESTORED}"):
            break
    return path


def _remove_empty(root: Path) -> None:
    """Remove folders in which no file lies; one that got a file meanwhile refuses."""
    if root.exists():
        for place in sorted((one for one in root.rglob("*") if one.is_dir()), reverse=True):
            place.rmdir()
        root.rmdir()


def _newer(root: Path, unpacked: Path) -> Iterator[Newer]:
    """Yield the logs of the folder that is there which hold events the backup has not."""
    for half in HALVES:
        for log in sorted((root / half / "cars").glob(f"*/{LOG_FILE}")):
            if log.stat().st_size == 0:
                continue
            restored = unpacked / log.relative_to(root)
            more = _events_beyond(log, restored)
            if more != 0:
                yield Newer(log.parent.name, half == "demo", log, more)


def _events_beyond(log: Path, restored: Path) -> int | None:
    try:
        with only_events(log) as events:
            state_of(events, cooled)
            there = {str(head.id) for head in events.heads}
    except (LogError, *MISFITS):
        return None
    return len(there - set(verified_ids(restored) if _has_log(restored) else ()))


def _has_log(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def told(report: RestoreReport) -> list[str]:
    """Say what was restored, and what of the folder that was there it does not hold."""
    rows = [
        f"Restored {report.root}: {plural(report.files, 'file')}, "
        f"{plural(report.logs, 'log')} with {plural(report.events, 'event')}, each read through."
    ]
    if report.kept is None:
        return rows
    rows.append(f"The folder as it was is kept whole in {report.kept}.")
    for one in report.newer:
        car = "--demo" if one.demo else repr(one.car_id)
        if one.events is None:
            rows.append(
                f"Its log of {one.car_id} cannot be read as it is. What can be: "
                f"setdown salvage '{one.log}' --with BACKUP --json FILE, "
                f"then setdown merge {car} FILE --store"
            )
        else:
            rows.append(
                f"Its log of {one.car_id} has {plural(one.events, 'event')} that the backup has "
                f"not. To take them in: setdown merge {car} '{one.log}' --store"
            )
    return rows
