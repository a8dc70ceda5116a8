"""Where things live: one folder for the crew's own cars, another for the demonstration."""

import errno
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path
from typing import NamedTuple
from uuid import UUID, uuid4

from platformdirs import user_data_path

from profiles.durable import make_folder, write_atomically
from profiles.formats import text_of_today
from profiles.reading import MOST_TOML_BYTES, FileFaultError, read_text
from rules.faults import Fault
from rules.formats import RULE_FORMAT

CAR_FILE = "car.toml"
LOG_FILE = "log.sqlite3"
DEVICE_FILE = "device"
RESTORED = ".restored"
"""Ends the name of an unpacked backup that waits for the data folder to be out of its way."""
SIMULATED = "simulated-"
"""Begins the id of every car of a practice day; no real car has such an id."""
_CAR_ID = re.compile(r"[a-z0-9]+([ -][a-z0-9]+)*")
_DEVICES = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]")


class DataFolderError(OSError):
    """The data folder cannot be used; the message names the path and says why."""


class DataFolder(NamedTuple):
    """A data folder. Real and demonstration data stand side by side in it and never mix."""

    root: Path
    demo: bool = False

    @property
    def home(self) -> Path:
        """The half of the folder in use."""
        return self.root / ("demo" if self.demo else "real")

    def cars(self) -> list[str]:
        """Return the ids of the cars that have a file here.

        Raises:
            DataFolderError: if the folder cannot be read.
        """
        cars = self.home / "cars"
        with _explained(cars):
            if not cars.exists():
                return []
            return sorted(one.name for one in cars.iterdir() if (one / CAR_FILE).is_file())

    def car_file(self, car_id: str) -> Path:
        """Return where a car's description is kept.

        Raises:
            DataFolderError: if `car_id` cannot be the id of a car.
        """
        return self._car_folder(car_id) / CAR_FILE

    def log_file(self, car_id: str) -> Path:
        """Return where a car's log is kept.

        Raises:
            DataFolderError: if `car_id` cannot be the id of a car.
        """
        return self._car_folder(car_id) / LOG_FILE

    def draft_log(self) -> Path:
        """Return where the log of a car that is being described is kept."""
        return self.home / "draft" / LOG_FILE

    def own_rules(self) -> dict[str, str]:
        """Return the crew's own rule pages, text by file name.

        Raises:
            DataFolderError: if one cannot be read, or is not UTF-8.
        """
        pages, unread = self.own_pages()
        for name, fault in unread.items():
            raise DataFolderError(f"{self.home / 'rules' / name}: {fault}")
        return pages

    def own_pages(self) -> tuple[dict[str, str], dict[str, Fault]]:
        """Return the crew's own rule pages by file name, and why others cannot be read.

        Raises:
            DataFolderError: if their folder cannot be read.
        """
        pages: dict[str, str] = {}
        unread: dict[str, Fault] = {}
        with _explained(self.home / "rules"):
            paths = sorted(self.home.glob("rules/*.toml"))
        for path in paths:
            try:
                if path.exists() and not path.is_file():  # A pipe would keep the car waiting.
                    raise FileFaultError(Fault("the file", "something else than one", "a file"))
                pages[path.name] = text_of_today(read_text(path, MOST_TOML_BYTES), RULE_FORMAT)
            except (FileFaultError, OSError) as error:
                why = Fault("the file", f"that it cannot be read ({error})", "a file to read")
                unread[path.name] = getattr(error, "fault", why)
        return pages, unread

    def device_id(self) -> str:
        """Return this device's random name in the logs, made on first need.

        Raises:
            DataFolderError: if it can be neither read nor written.
        """
        path = self.root / DEVICE_FILE
        with _explained(path):
            try:
                return UUID(hex=_first_bytes(path).decode("ascii").strip()).hex
            except (FileNotFoundError, ValueError):
                # A fresh id is always safe, because each device counts its own events.
                device = uuid4().hex
                make_folder(self.root)
                write_atomically(path, f"{device}\n".encode())
                return device

    def _car_folder(self, car_id: str) -> Path:
        if not _CAR_ID.fullmatch(car_id):
            raise DataFolderError(f"{car_id[:40]!r} is not the id of a car")
        if _DEVICES.fullmatch(car_id):  # Data made anywhere must unpack anywhere.
            raise DataFolderError(f"{car_id!r}: Windows can have no folder of this name")
        if car_id.startswith(SIMULATED) and not self.demo:
            raise DataFolderError(
                f"{car_id!r} is a car of a practice day, which never meets real data: "
                "setdown practice opens it"
            )
        return self.home / "cars" / car_id


def data_folder(
    override: Path | None = None, demo: bool = False, *, write: bool = True
) -> DataFolder:
    """Return the data folder, created where it is missing and is to be written.

    Args:
        override: a folder to use in place of the user's own.
        demo: whether the demonstration half is meant.
        write: whether anything will be written; what only reads can read a folder on a disk that
            takes no more writes.

    Raises:
        DataFolderError: if it is no folder, or cannot be created or written where `write` is set.
    """
    root = override if override is not None else user_data_path("setdown", appauthor=False)
    folder = DataFolder(root.absolute(), demo)
    finish_restore(folder.root)
    cars = folder.home / "cars"
    with _explained(cars if write else folder.root):
        if not write:
            if folder.root.exists() and not folder.root.is_dir():
                raise NotADirectoryError(errno.ENOTDIR, "Not a folder")
            return folder
        make_folder(cars)
        if not os.access(cars, os.W_OK | os.X_OK):
            raise PermissionError("it is read-only")
    return folder


def finish_restore(root: Path) -> None:
    """Put a restored folder in place where a crash came after the one before was set aside.

    Without that folder beside it, the crew took the folder away themselves, and nothing is done.
    """
    with suppress(OSError):
        root = root.resolve()
        if root.exists() or not root.parent.is_dir():
            return
        ready = sorted(root.parent.glob(f"{escape(root.name)}-before-restore-*{RESTORED}"))
        if ready and ready[-1].with_name(ready[-1].name.removesuffix(RESTORED)).is_dir():
            ready[-1].rename(root)


def _first_bytes(path: Path) -> bytes:
    """Return as much of a file as a device's name can take."""
    with path.open("rb") as file:
        return file.read(64)


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except DataFolderError:
        raise
    except UnicodeError as error:
        raise DataFolderError(f"{path}: this file is not UTF-8 text") from error
    except OSError as error:
        where = error.filename or path
        raise DataFolderError(f"{where}: cannot be used ({error.strerror or error})") from error
