"""Why a log can only be looked at: one word for every cause, and what opens it again."""

from dataclasses import dataclass

from rules.log.events import Unread
from rules.log.log_format import unread_text


@dataclass(frozen=True)
class Looking:
    """Why nothing is taken, and the choice by which this window tries to take answers again.

    `way` is empty where trying again cannot help.
    """

    why: str
    way: str = ""


def looking_of(unread: tuple[Unread, ...], held: Looking | None) -> Looking | None:
    """Return why a log can only be looked at: what it holds comes before who holds it."""
    return Looking(unread_text(unread)) if unread else held
