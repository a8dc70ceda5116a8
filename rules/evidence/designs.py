"""In which order the old and the new setting were run, and what that order is worth."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from rules.evidence.passes import PassTime, counted

# Three fours, each free of a steady drift.
FOURS = "ABBAABBABAAB"


@dataclass(frozen=True)
class Design:
    """An order of passes in letters, A the old setting, and how it is labelled."""

    letters: str
    label: str
    returned: bool


def letters_of(passes: Sequence[PassTime], old: str, new: str) -> str:
    """Write the clean passes of the two settings as letters: AABA."""
    names = {old: "A", new: "B"}
    return "".join(names[one.setting] for one in counted(passes) if one.setting in names)


def design_of(letters: str) -> Design:
    """Label an order of passes. Returned: one setting was run before and after the other."""
    runs = "".join(key for key, _ in groupby(letters))
    returned = len(runs) >= 3
    if "B" not in letters or "A" not in letters:
        label = "no comparison yet: both settings need a clean pass"
    elif len(letters) == 2:
        label = "A-B alone: worth little, drift or luck can do this"
    elif not returned:
        label = "changed once and never back: drift can do this"
    elif runs == "ABA" and letters.count("B") == 1:
        label = "A-B-A: changed and put back, steady drift falls out"
    elif letters == "ABBA":
        label = "A-B-B-A: two of each, steady drift falls out"
    else:
        label = f"changed and put back, {letters.count('A')} old and {letters.count('B')} new"
    return Design(letters, label, returned)


def next_letter(done: str) -> str:
    """Return the letter that goes on from these, A-B-B-A, A-B-B-A, B-A-A-B and again.

    In each four a steady drift falls out, and a turn is made every other pass only; what curves
    falls out over the three, because one of them is turned round (systematic orders: Cox,
    Biometrika 38:312, 1951, from memory). It begins with the last pass before the first B.
    """
    after = done.lstrip("A")
    return FOURS[(len(after) + (len(done) > len(after))) % len(FOURS)]


@dataclass(frozen=True)
class Offer:
    """An order to run on from here, in letters, with what it is good for."""

    letters: str
    words: str


def offers(done: str, minutes_left: float | None, minutes_a_pass: float) -> list[Offer]:
    """Return the orders that still fit, the most telling first; all where no time is known.

    done: the letters run so far, as `letters_of` writes them.

    Raises:
        ValueError: minutes for a pass that are not above zero.
    """
    if not minutes_a_pass > 0.0:
        raise ValueError(f"minutes a pass: found {minutes_a_pass:g}; wanted above 0")
    fits = None if minutes_left is None else int(minutes_left // minutes_a_pass)
    known = [
        Offer("ABBA", "A-B-B-A: two passes of each, and drift falls out"),
        Offer("ABA", "A-B-A: put back once, and drift falls out"),
        Offer("AB", "A-B alone: worth little, drift or luck can do this"),
    ]
    after = done.lstrip("A")
    start = "A" * (len(done) > len(after)) + after
    rest = [
        Offer(one.letters[len(start) :], one.words)
        for one in known
        if one.letters.startswith(start) and len(one.letters) > len(start)
    ]
    return [one for one in rest if fits is None or len(one.letters) <= fits]
