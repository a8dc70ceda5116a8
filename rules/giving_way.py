"""Where long work lets others on: who runs it beside something says how, and no result changes."""

from collections.abc import Callable
from contextvars import ContextVar


def _nobody_waits() -> None:
    """Go on at once."""


letting_on: ContextVar[Callable[[], None]] = ContextVar("letting_on", default=_nobody_waits)
"""What lets others on in this thread."""


def give_way() -> None:
    """Let others on, where somebody waits; called between two steps of what takes long."""
    letting_on.get()()
