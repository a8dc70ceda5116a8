"""One file with everything that is kept, checked before it counts as a backup."""

import hashlib
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from profiles.durable import write_atomically
from profiles.journals import ENDS
from profiles.logfile import LogError, copy_log, verified_ids
from profiles.paths import LOG_FILE, DataFolder


class BackupError(OSError):
    """No backup was made; the message says why."""


@dataclass(frozen=True)
class BackupReport:
    """What a backup holds, as read back from it."""

    path: Path
    files: int
    logs: int
    events: int


def backup(folder: DataFolder, destination: Path) -> BackupReport:
    """Put everything of the data folder, real and demonstration, into one checked zip file.

    Logs are copied as of their last commit, all other files byte for byte. Unpacked, the zip is
    a data folder again.

    Raises:
        BackupError: if the destination exists or lies inside the data folder, there is nothing to
            keep, or anything cannot be read, written or read back; then nothing is left behind.
    """
    destination = destination.absolute()
    if destination.exists():
        raise BackupError(f"{destination}: exists already; choose another name")
    if destination.resolve().is_relative_to(folder.root.resolve()):
        raise BackupError(f"{destination}: lies inside the data folder; choose a place outside")
    if not destination.parent.is_dir():
        raise BackupError(f"{destination.parent}: there is no such folder")
    try:
        paths = sorted(_kept(folder.root))
        if not paths:
            raise BackupError(f"{folder.root}: there is nothing to back up")
        # A backup that is killed leaves nothing here: the system clears its own folder.
        with tempfile.TemporaryDirectory(prefix="setdown-") as work:
            return _backup(folder.root, paths, destination, Path(work))
    except BackupError:
        raise
    except (LogError, zipfile.BadZipFile, zlib.error) as error:
        raise BackupError(f"nothing was backed up: {error}") from error
    except OSError as error:
        where = error.filename or destination
        raise BackupError(f"nothing was backed up: {where}: {error.strerror or error}") from error


def _kept(root: Path) -> Iterator[Path]:
    """Find what to keep: no half-written file, and no journal, which a copied log does without."""
    for path in root.rglob("*"):
        if path.is_file() and not path.name.startswith(".") and not path.name.endswith(ENDS):
            yield path


def _backup(root: Path, paths: list[Path], destination: Path, work: Path) -> BackupReport:
    unchecked = work / "backup.zip"
    events: dict[str, int] = {}
    digests: dict[str, str] = {}
    with zipfile.ZipFile(unchecked, "x", zipfile.ZIP_DEFLATED) as archive:
        for number, path in enumerate(paths):
            name = path.relative_to(root).as_posix()
            source = path
            if path.name == LOG_FILE and path.stat().st_size > 0:
                source = work / f"{number}.sqlite3"
                events[name] = copy_log(path, source)
            data = source.read_bytes()
            digests[name] = _digest(data)
            archive.writestr(name, data)
    check(unchecked, digests, events, work)
    if destination.exists():
        raise BackupError(f"{destination}: exists already; choose another name")
    write_atomically(destination, unchecked.read_bytes())
    return BackupReport(destination, len(digests), len(events), sum(events.values()))


def check(unchecked: Path, digests: dict[str, str], events: dict[str, int], work: Path) -> None:
    """Read the finished zip again, and every log in it as a log."""
    with zipfile.ZipFile(unchecked) as archive:
        if sorted(archive.namelist()) != sorted(digests):
            raise BackupError("nothing was backed up: the zip does not list what was put in")
        for number, name in enumerate(archive.namelist()):
            data = archive.read(name)  # Raises BadZipFile where the checksum differs.
            if _digest(data) != digests[name]:
                raise BackupError(f"nothing was backed up: {name} came out different")
            if name in events:
                unpacked = work / f"{number}.unpacked.sqlite3"
                unpacked.write_bytes(data)
                if len(verified_ids(unpacked)) != events[name]:
                    raise BackupError(f"nothing was backed up: {name} lost events")


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
