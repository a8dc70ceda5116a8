"""The events of a log wherever it lies: a log file, a data folder, a backup or an export."""

import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from shutil import copyfileobj

from profiles.exports import read_export
from profiles.logfile import LogError, copy_log, verified_ids
from profiles.only_read import only_events
from profiles.paths import LOG_FILE, DataFolder
from profiles.reading import MOST_LOG_BYTES
from rules.log.events.event import Event


@contextmanager
def other_events(path: Path, folder: DataFolder, car_id: str) -> Iterator[Sequence[Event]]:
    """Open the events of another log of a car, which are read as they are wanted.

    Args:
        path: a data folder, a log file, a backup file or a JSON export.
        folder: ours, to find the same half of another one.
        car_id: the car.

    Raises:
        LogError: if it is none of these, holds no log of this car, or is damaged.
        profiles.exports.ExportError: if the export is damaged.
    """
    with ExitStack() as stack:
        try:
            log = _found_log(stack, path, folder, car_id)
            if log is None:
                found: Sequence[Event] = read_export(path)
            else:
                found = stack.enter_context(only_events(log))
        except OSError as error:
            if isinstance(error, LogError) or error.errno is None:
                raise
            raise LogError(f"{path}: cannot be read ({error.strerror})") from None
        yield found


def _found_log(stack: ExitStack, path: Path, folder: DataFolder, car_id: str) -> Path | None:
    """Return the log file of a car, unpacked where it is in a backup; None of an export."""
    if path.is_dir():
        return DataFolder(path.absolute(), folder.demo).log_file(car_id)
    if zipfile.is_zipfile(path):
        work = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="setdown-")))
        return _unpacked(path, f"{folder.home.name}/cars/{car_id}/{LOG_FILE}", work)
    return None if looks_like_json(path) else path


def looks_like_json(path: Path) -> bool:
    """Tell whether a file begins as JSON does.

    Raises:
        OSError: if it cannot be read.
    """
    with path.open("rb") as file:
        return file.read(64).removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")


def _unpacked(path: Path, member: str, work: Path) -> Path:
    unpacked = work / LOG_FILE
    try:
        with zipfile.ZipFile(path) as archive, archive.open(member) as log:
            if archive.getinfo(member).file_size > MOST_LOG_BYTES:
                raise LogError(f"{path}: {member}: found more than 2 GB; wanted a log")
            with unpacked.open("xb") as file:
                copyfileobj(log, file)
    except KeyError:
        raise LogError(f"{path}: there is no {member} in this backup") from None
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError) as error:
        raise LogError(f"{path}: this backup is damaged ({error})") from None
    try:
        verified_ids(unpacked)
    except LogError as error:
        raise LogError(str(error).replace(str(unpacked), f"{path}, {member}")) from None
    return unpacked


def keep_a_copy(path: Path) -> Path:
    """Make a verified copy of a log beside it, before anything is merged into it.

    Raises:
        LogError: if the copy cannot be made, or differs.
    """
    number = 1
    while (copy := path.with_name(f"log-before-merge-{number}.sqlite3")).exists():
        number += 1
    copy_log(path, copy)
    return copy
