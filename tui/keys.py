"""One table of keys, from which bindings, the footer and the help screen are made."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Key:
    """One key that works from anywhere on the pit screen; `form` opens a chain of questions."""

    key: str
    id: str
    label: str
    help: str
    form: str = ""
    footer: bool = False


KEYS: tuple[Key, ...] = (
    Key("w", "why", "why", "Why this advice, and why not the others", footer=True),
    Key("k", "counts", "counts", "Every knob: count, and net from the baseline", footer=True),
    Key("l", "log", "log", "Passes, changes, verdicts and notes"),
    Key("n", "note", "note", "Write a note", form="note", footer=True),
    Key(
        "p",
        "put-back",
        "put back",
        "Undo the last change, or put everything back",
        "put back",
        True,
    ),
    Key("r", "recount", "recount", "Record what was found on a knob", form="recount"),
    Key("t", "turned", "turned", "We already turned something, or only one side", "already turned"),
    Key("x", "damage", "damage", "Report a leak, damage or something loose", form="report damage"),
    Key(
        "b", "baseline", "baseline", "Declare the settings of now as a baseline", "declare baseline"
    ),
    Key("o", "override", "override", "Go on without a verdict or control pass", form="override"),
    Key("c", "correct", "correct", "Correct an answer of an earlier pass", form="correct"),
    Key("e", "session", "session", "Test, qualifying or eliminations", form="session"),
    Key("g", "meeting", "meeting", "Begin another race meeting", form="meeting"),
    Key("i", "call", "call", "Minutes to the next call", form="minutes to call"),
    Key("d", "theme", "dark", "Sunlight or dark"),
    Key("question_mark", "help", "help", "All keys", footer=True),
    Key("q", "quit", "quit", "Leave; everything is kept"),
)

ANSWER_KEYS = (
    ("1-8", "Choose"),
    ("9", "More choices"),
    ("0", "Don't know"),
    ("Enter", "Take the marked one"),
    ("Backspace", "The question before"),
    ("Escape", "Leave a form or a page"),
)


def shown(key: str) -> str:
    """Return the key as it is printed."""
    return "?" if key == "question_mark" else key


def footer() -> str:
    """Return the footer: at most six keys fit in 80 columns."""
    keys = [f"{shown(key.key)} {key.label}" for key in KEYS if key.footer]
    return " Enter take | Bksp back | " + " | ".join(keys)
