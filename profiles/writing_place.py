"""Which window of a car takes the answers: one at a time, named in a file beside the log.

The file is read and written inside a transaction of the log alone, whose lock keeps every other
window from writing meanwhile: no answer falls between two windows, and none is taken by both. A
window that was closed or killed holds nothing, because its lock of `open_windows` ended with it.
"""

from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from profiles.durable import write_atomically
from profiles.open_windows import Window, who_has_open
from profiles.reading import read_bytes

# A name with a leading point stays out of backups.
_NAME = ".answering"
_MOST_BYTES = 4096


class WritingPlace(NamedTuple):
    """The place of the window that answers for the car of `folder`, as `me` sees it."""

    folder: Path
    me: Window

    def claim(self) -> Window | None:
        """Take the place if nobody holds it; return the open window that does.

        Raises:
            OSError: if it is free and cannot be taken.
        """
        named = self._named()
        if named == self.me:
            return None
        others = [one for one in who_has_open(self.folder) if one != self.me]
        # A window of an older version names nobody: who came first answers.
        holder = named or min([self.me, *others], key=lambda one: one.since)
        if holder in others:
            return holder
        self.take()
        return None

    def take(self) -> None:
        """Take the place, whoever holds it.

        Raises:
            OSError: if it cannot be taken.
        """
        # A power cut ends every window, so it need not outlive one.
        data = f"{self.me.since.isoformat()}\n{self.me.who}".encode()
        write_atomically(self.folder / _NAME, data, to_disk=False)

    def _named(self) -> Window | None:
        try:
            text = read_bytes(self.folder / _NAME, _MOST_BYTES).decode()
            since, who = text.split("\n", 1)
            return Window(who, datetime.fromisoformat(since))
        except (OSError, ValueError):
            return None
