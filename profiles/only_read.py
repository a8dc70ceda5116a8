"""A log that is only read: a copy of it is opened, so that its disk may take no more writes."""

from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

from profiles.log_on_disk import LogOnDisk, whole_log
from profiles.logbook import Logbook
from profiles.logfile import LogError, connect, copy_log, explained
from profiles.paths import LOG_FILE
from profiles.snapshot import snapshot_file
from rules.log.events.event import Event
from rules.log.state import State

_READER = "reader"


@contextmanager
def _copy_of(path: Path, *, number_too: bool = False) -> Iterator[Path]:
    """Make a checked copy of a log, which is gone afterwards; `number_too` as for `copy_log`."""
    with TemporaryDirectory(prefix="setdown-") as work:
        copy = Path(work) / LOG_FILE
        copy_log(path, copy, number_too=number_too)
        yield copy


@contextmanager
def only_read(path: Path) -> Iterator[Logbook]:
    """Open a log file only to be read, with the snapshot beside it where that holds.

    Raises:
        LogError: if there is no sound log.
    """
    with _copy_of(path, number_too=True) as copy:
        with suppress(OSError):
            copyfile(snapshot_file(path), snapshot_file(copy))
        try:
            with Logbook.open(copy, _READER, create=False) as log:
                yield log
        except LogError as error:
            raise LogError(str(error).replace(str(copy), str(path))) from None


@contextmanager
def only_events(path: Path) -> Iterator[LogOnDisk]:
    """Open the events of a log file, each read when it is wanted; nothing is made of them.

    Raises:
        LogError: if there is no sound log.
    """
    with _copy_of(path) as copy, closing(connect(copy, "ro")) as log, explained(str(path)):
        yield whole_log(log, str(path))


def read_log(path: Path) -> list[Event]:
    """Return the events of a log file, which add up to a state.

    Raises:
        LogError: if there is no sound log.
    """
    with only_read(path) as log:
        return log.events()


def read_state(path: Path) -> State:
    """Return where a log stands.

    Raises:
        LogError: if there is no sound log.
    """
    with only_read(path) as log:
        return log.state
