"""The help of the screen in front: what it is for, how to answer, and every key that works there.

The keys are those of the one registry, as at the foot and in the palette, so that nothing is
listed that does nothing here.
"""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from rules.question import Prompt
from tui.lines import PAGE
from tui.named_actions import named_actions
from tui.widgets.asker import Asker
from tui.widgets.key_row import place

if TYPE_CHECKING:
    from textual.screen import Screen

FIRST_OF_ALL = "Rulebook, makers and qualified people come before what this tool says."
MARGIN, KEY, GAP = 2, 7, 2
TWO_COLUMNS_FROM = 76
TYPED = ("text", "number")


def help_lines(screen: "Screen[object]", width: int) -> list[str]:
    """Return the help of a screen in so many cells."""
    room = width - MARGIN
    said = [screen.HELP or ""]
    for asker in screen.query(Asker):
        if asker.display and asker.region.area:
            said.append(answering(asker.prompt))
    told = [row for one in (FIRST_OF_ALL, *said) for row in wrap(one, room)]
    return [*told, "", *_columns(list(_keys(screen)), room)]


def answering(prompt: Prompt) -> str:
    """Say how the open question is answered."""
    more = ["9 shows more choices."] if len(prompt.choices) > PAGE else []
    more += ["0 is don't know."] if prompt.unknown and prompt.kind not in TYPED else []
    return " ".join((*_how(prompt), *more))


def _how(prompt: Prompt) -> Iterator[str]:
    if prompt.digits is not None:
        yield "Digits alone are typed, the point comes by itself; Enter goes on without."
    elif prompt.kind in TYPED:
        what = "number" if prompt.kind == "number" else "line"
        yield f"Type the {what}, Enter takes it. Letters are text here; the keys below still work."
    elif prompt.asks_back:
        yield "A letter answers; Enter takes the marked one."
    elif prompt.kind == "many":
        yield "A digit marks or unmarks; Enter takes what is marked."
    elif prompt.kind == "tick":
        yield "A digit once is ok, twice BAD, three times not fitted; Enter closes the list."
    elif prompt.claims:
        yield "Only a digit says what a hand did: Enter claims nothing."
    elif prompt.choices:
        yield "A digit answers at once; up and down mark another, Enter takes the marked one."


def _keys(screen: "Screen[object]") -> Iterator[tuple[str, str]]:
    """Yield each key that works now with what it does, in the order of the foot."""
    every = sorted(named_actions(screen), key=lambda one: place(one[1].binding))
    for name, one in every:
        yield screen.app.get_key_display(one.binding), name


def _columns(keys: list[tuple[str, str]], room: int) -> list[str]:
    """Lay keys out, two to a row where both are short enough, in their order down the rows."""
    lines = [(key, row) for key, name in keys for row in _wrapped(key, name, room)]
    if room < TWO_COLUMNS_FROM:
        return [row for _, row in lines]
    half = room // 2
    short = [row for _, row in lines if len(row) <= half - GAP]
    long = [row for _, row in lines if len(row) > half - GAP]
    rows = -(-len(short) // 2)
    left, right = short[:rows], [*short[rows:], ""]
    return [*(f"{a:<{half}}{b}".rstrip() for a, b in zip(left, right, strict=False)), *long]


def _wrapped(key: str, name: str, room: int) -> list[str]:
    """Return a key and its name in as many rows as it takes."""
    rows = wrap(name, room - KEY)
    return [f"{key if not number else '':<{KEY - 1}} {row}" for number, row in enumerate(rows)]
