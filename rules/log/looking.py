"""Why a log can only be looked at: one word for every cause, and what opens it again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rules.log.events.whole_log import Unread


@dataclass(frozen=True)
class Looking:
    """Why nothing is taken, and the choice by which this window tries to take answers again.

    `way` is empty where trying again cannot help.
    """

    why: str
    way: str = ""


def looking_of(unread: tuple[Unread, ...], held: Looking | None) -> Looking | None:
    """Return why a log can only be looked at: what it holds comes before who holds it."""
    if not unread:
        return held
    # What names the kinds of events is not needed for a log that is read whole.
    from rules.log.log_format import unread_text

    return Looking(unread_text(unread))
