"""Why a log takes no answer of this window now."""

from profiles.logfile import LogError
from profiles.only_looking import held_by
from profiles.open_windows import Window

MOVED = (
    "another window answered for this car meanwhile; nothing was written here: look, then answer"
)


class LogMovedError(LogError):
    """Another window added to the log meanwhile: look at the new state, then answer again."""


class ReadOnlyLogError(LogError):
    """The log can only be looked at: the state says why."""


class HeldElsewhereError(ReadOnlyLogError):
    """The window `holder` takes the answers of this log."""

    def __init__(self, name: str, holder: Window) -> None:
        super().__init__(f"{held_by(holder).why} ({name})")
        self.holder = holder
