"""One table of keys, from which bindings, the footer, the palette and the help are made."""

from typing import NamedTuple


class Key(NamedTuple):
    """One key that works from anywhere on the pit screen; `form` opens a chain of questions.

    `typing_key` works as well while a line is being typed, where letters are text. `footer` is its
    place at the foot of the screen, where the window has room; 0 for none.
    """

    key: str
    id: str
    label: str
    help: str
    form: str = ""
    typing_key: str = ""
    footer: int = 0


KEYS: tuple[Key, ...] = (
    Key("w", "why", "all of it", "Why, and why not the others", footer=1),
    Key("s", "slip", "slip", "Time slip, digits only", footer=2),
    Key("v", "verdict", "verdict", "Verdict of each change", footer=6),
    Key("k", "counts", "counts", "Every count, and its net", footer=7),
    Key("l", "log", "log", "The log: all that was recorded", footer=5),
    Key(
        "n",
        "note",
        "note",
        "Write a note (F2 while typing)",
        form="note",
        typing_key="f2",
        footer=8,
    ),
    Key(
        "p",
        "put-back",
        "put back",
        "Put back one change, or all",
        form="put back",
        footer=4,
    ),
    Key("j", "shop", "shop", "The shop: weigh, survey, fit"),
    Key("f", "what-if", "what if", "What if: drawn, not made", footer=9),
    Key("h", "measured", "measured", "Measured: film, O-ring, scrape", form="measure"),
    Key("r", "recount", "recount", "Recount a knob or a lever", form="recount"),
    Key("t", "turned", "turned", "We already changed something", "already turned"),
    Key("x", "damage", "damage", "Damage, a leak, a loose part", form="report damage"),
    Key("b", "baseline", "baseline", "Declare a baseline", "declare baseline"),
    Key("o", "override", "override", "Override, with a reason", form="override"),
    Key("c", "correct", "correct", "Correct or take back an answer", form="correct"),
    Key("e", "session", "session", "Test, qualifying, eliminations", form="session"),
    Key("g", "meeting", "event", "Begin another event", form="meeting"),
    Key("i", "call", "call", "Minutes to the next call", form="minutes to call"),
    Key("a", "air", "air", "Lane, air and track", footer=10),
    Key("m", "day", "day", "The day in pictures", footer=11),
    Key("y", "worth", "worth", "Smallest gain worth a change", form="worth"),
    Key("u", "learnt", "learnt", "What was learnt; start it afresh"),
    Key("z", "papers", "files", "Print, export, back up, cars"),
    Key("d", "theme", "dark", "Sunlight or dark"),
    Key("question_mark", "help", "keys", "Help: the keys that work", typing_key="f1", footer=3),
    Key("q", "quit", "quit", "Leave; everything is kept"),
)

LOOKING = frozenset({"counts", "put-back", "log", "papers", "help", "theme", "quit"})
"""What works on a log that can only be looked at: the rest records, or says what to do next."""


def bound(key: Key) -> str:
    """Return what a binding listens to: Caps Lock makes no difference."""
    keys = [key.key, "" if key.key == "question_mark" else key.key.upper(), key.typing_key]
    return ",".join(filter(None, keys))


def shown(key: str) -> str:
    """Return the key as it is printed."""
    return "?" if key == "question_mark" else key


def in_footer_order() -> list[Key]:
    """Return all keys, those at the foot of the screen first and in their order."""
    return sorted(KEYS, key=lambda key: key.footer or len(KEYS))
