"""One table of keys, from which bindings, the footer and the help screen are made."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Key:
    """One key that works from anywhere on the pit screen; `form` opens a chain of questions.

    `typing_key` works as well while a line is being typed, where letters are text.
    """

    key: str
    id: str
    label: str
    help: str
    form: str = ""
    typing_key: str = ""
    footer: bool = False


KEYS: tuple[Key, ...] = (
    Key("w", "why", "why", "Why this advice, and why not the others", footer=True),
    Key("s", "slip", "slip", "Time slip, digits only", footer=True),
    Key("v", "verdict", "verdict", "Verdict of each change", footer=True),
    Key("k", "counts", "counts", "Every knob: count, and net from the baseline"),
    Key("l", "log", "log", "Passes, changes, and all that was recorded"),
    Key(
        "n",
        "note",
        "note",
        "Write a note (F2 while typing)",
        form="note",
        typing_key="f2",
    ),
    Key(
        "p",
        "put-back",
        "put back",
        "Undo the last change, or put everything back",
        form="put back",
        footer=True,
    ),
    Key("j", "shop", "shop", "The shop: weigh, survey, fit"),
    Key("f", "what-if", "what if", "What if: a turn drawn, not made"),
    Key("h", "measured", "measured", "Measured: film, O-ring, scrape", form="measure"),
    Key("r", "recount", "recount", "Record what was found on a knob", form="recount"),
    Key("t", "turned", "turned", "We already turned something, or only one side", "already turned"),
    Key("x", "damage", "damage", "Report a leak, damage or something loose", form="report damage"),
    Key(
        "b", "baseline", "baseline", "Declare the settings of now as a baseline", "declare baseline"
    ),
    Key("o", "override", "override", "Go on without a verdict or control pass", form="override"),
    Key("c", "correct", "correct", "Correct or take back an answer", form="correct"),
    Key("e", "session", "session", "Test, qualifying or eliminations", form="session"),
    Key("g", "meeting", "event", "Begin another event", form="meeting"),
    Key("i", "call", "call", "Minutes to the next call", form="minutes to call"),
    Key("a", "air", "air", "Lane, air and track"),
    Key("m", "day", "day", "The day in pictures"),
    Key("y", "worth", "worth", "Smallest gain worth a change", form="worth"),
    Key("u", "learnt", "learnt", "What was learnt; start it afresh"),
    Key("z", "papers", "files", "Print, export, back up, other cars"),
    Key("d", "theme", "dark", "Sunlight or dark"),
    Key(
        "question_mark", "help", "help", "All keys (F1 while typing)", typing_key="f1", footer=True
    ),
    Key("q", "quit", "quit", "Leave; everything is kept"),
)

LOOKING = frozenset({"counts", "put-back", "log", "papers", "help", "theme", "quit"})
"""What works on a log that can only be looked at: the rest records, or says what to do next."""

ANSWER_KEYS = (
    ("1-8", "Choose"),
    ("9", "More choices"),
    ("0", "Don't know"),
    ("Enter", "Take the marked one"),
    ("Backspace", "The question before"),
    ("Escape", "Leave a form or a page"),
)


def bound(key: Key) -> str:
    """Return what a binding listens to: Caps Lock makes no difference."""
    keys = [key.key, "" if key.key == "question_mark" else key.key.upper(), key.typing_key]
    return ",".join(filter(None, keys))


def shown(key: str) -> str:
    """Return the key as it is printed."""
    return "?" if key == "question_mark" else key


def footer(width: int = 80, *, typing: bool = False) -> str:
    """Return the footer; where it is too wide, the keys before help go.

    typing: a line is being typed, where letters are text and only these keys are keys.
    """
    keys = ["Enter take", "Bksp back"]
    if typing:
        keys += [f"{key.typing_key.upper()} {key.label}" for key in KEYS if key.typing_key]
    else:
        keys += [f"{shown(key.key)} {key.label}" for key in KEYS if key.footer]
    while len(" | ".join(keys)) > width - 2 and len(keys) > 1:
        del keys[-2]
    return " " + " | ".join(keys)
