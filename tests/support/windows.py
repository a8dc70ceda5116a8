"""A window on a car, opened as the program opens it."""

from collections.abc import Iterator
from contextlib import contextmanager

from profiles.logbook import Logbook
from profiles.open_windows import Window, open_window
from profiles.opened_log import open_or_look
from profiles.paths import DataFolder


@contextmanager
def opened(folder: DataFolder, me: Window, car: str = "demo") -> Iterator[Logbook]:
    """Open a car's log in a window; it ends with it."""
    with (
        open_window(folder.log_file(car).parent, me.since, me.who),
        open_or_look(folder, car, me) as log,
    ):
        yield log
