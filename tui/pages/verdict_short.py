"""The verdict of a change in few words: a plate, what was foretold and came, the clock, why.

All of it is on `w`. What warns stands whole, outside the nine lines.
"""

from collections.abc import Iterator
from itertools import groupby
from textwrap import wrap
from typing import TYPE_CHECKING

from textual.content import Content

from rules.advice.decision import FollowUp, follow_up
from rules.advice.forecasts import foretold_of
from rules.advice.safety.gates import open_blocks
from rules.book import Book
from rules.log.state import State
from rules.wording import capital, plural
from tui.drawn.plate import Kind, Plate, drawn
from tui.drawn.ranges import Bar, bars
from tui.drawn.short_advice import (
    MOST_LINES,
    Labelled,
    as_content,
    first_sentence,
    laid_out,
    turns_plate,
)
from tui.drawn.verdict_short import KEEP, clock_rows, foretold_rows, turns_made
from tui.lines import spoken, system
from tui.pages.verdict import cautions, seen_words

if TYPE_CHECKING:
    from rules.advice.change_evidence import ChangeVerdict

MOST_FORETOLD = 2
CLOCK_LINES = 2
CANNOT_TELL = "CANNOT TELL YET"
HEADS: dict[str | None, tuple[str, Kind]] = {
    "keep": (KEEP, "done"),
    "put back": ("PUT IT BACK", "open"),
    "go further": ("SAME WAY AGAIN", "open"),
    "half back": ("HALF OF IT BACK", "open"),
    "repeat": (CANNOT_TELL, "forecast"),
    None: (CANNOT_TELL, "forecast"),
}


def short_verdict(state: State, known: "ChangeVerdict", book: Book, width: int) -> Content:
    """Return the verdict of a change as it stands on its page."""
    decided = follow_up(state, book, known.change)
    blocks: list[Content] = [drawn(_plate(state, known, book, decided), width)]
    for text in _warnings(state, known, book, decided):
        blocks += [Content.styled(row, "bold $danger") for row in wrap(f"! {text}", width)]
    foretold = foretold_of(state, known.change)[:MOST_FORETOLD]
    lines = tuple(one for one in _lines(state, known, book, decided) if one.text)
    most = MOST_LINES - len(foretold) - CLOCK_LINES
    blocks.append(as_content(laid_out(lines, width, most).rows))
    for one in foretold:
        blocks += foretold_rows(one, state, system(state), width)
    return Content("\n").join([*blocks, *_clock(known, width)])


def _plate(state: State, known: "ChangeVerdict", book: Book, decided: FollowUp | None) -> Plate:
    """Return the decision on its plate, the turns of the change below it."""
    head, kind = HEADS[decided.act if decided else None]
    if known.was_put_back:
        head, kind = "PUT BACK ALREADY", "done"
    elif decided is not None and decided.act is None:
        head, kind = "THE ADVICE GOES FIRST", "open"
    if open_blocks(state, book):
        then = f", THEN {head}" if decided is not None and decided.act else ""
        head, kind = f"INSPECT FIRST{then}", "danger"
    turns = turns_made(state, known.change)
    if decided is not None and decided.act == "keep" and kind == "done" and turns:
        return turns_plate(state, turns, kind, head)
    # The figures of a turn beside any other decision would read as the turn to make now.
    return Plate(kind, head, below=(spoken(state, f"It was: {known.change.title}"),))


def _warnings(
    state: State, known: "ChangeVerdict", book: Book, decided: FollowUp | None
) -> Iterator[str]:
    """Yield what is never cut: a list to tick, a danger seen, what the way back runs into."""
    for block in open_blocks(state, book)[:1]:
        yield spoken(state, f"Inspect: {block.says}")
    if known.danger is not None:
        yield spoken(state, f"Danger, pass {known.danger.number}: {known.danger.what}.")
    for caution in decided.cautions if decided else ():
        yield spoken(state, caution)


def _lines(
    state: State, known: "ChangeVerdict", book: Book, decided: FollowUp | None
) -> Iterator[Labelled]:
    yield Labelled("Why", _why(state, known, decided))
    seen = spoken(state, seen_words(known, book))
    yield Labelled("Seen", capital(seen))
    worse = [one.name for one in known.measured if one.says == "worse"]
    better = [one.name for one in known.measured if one.says == "better"]
    said = [f"{word}: {', '.join(of)}" for word, of in (("worse", worse), ("better", better)) if of]
    yield Labelled("Read", spoken(state, "; ".join(said)), late=1)
    yield Labelled("Times", _why_not(known), late=2)
    yield Labelled("Next", _next_pass(known), late=2)
    for label, text in cautions(state, known):
        yield Labelled("But", first_sentence(state, f"{label}: {text}"))


def _why(state: State, known: "ChangeVerdict", decided: FollowUp | None) -> str:
    if known.was_put_back:
        return ""
    if decided is not None:
        return first_sentence(state, decided.reason)
    if known.change.verdict is not None:
        return "It cannot be judged alone. A repeat pass, then one change."
    return "Judge it first: your own eyes come before the times."


def _next_pass(known: "ChangeVerdict") -> str:
    """Say which passes would likely tell, or nothing."""
    if known.more is None or known.danger is not None or not known.compared:
        return ""
    passes = plural(len(known.more.settings), "more pass")
    if not known.more.would_tell:
        return f"{passes} would hardly tell."
    runs = [
        (known.names.get(one, one), len(list(same))) for one, same in groupby(known.more.settings)
    ]
    order = ", then ".join(f"{count} {name}" for name, count in runs)
    return f"{passes} would tell: {order}."


def _clock(known: "ChangeVerdict", width: int) -> Iterator[Content]:
    """Yield what the 60-foot says: the word, its chance, its range as a bar."""
    times = known.times
    if times is None:
        yield Content("60-foot: none in the log; s notes the slip.")
        return
    if not known.compared:
        missing = "without" if "A" not in times.design.letters else "with"
        yield Content(f"60-foot: no clean pass {missing} it yet.")
        return
    yield from clock_rows(times.word, times.effect.mean, times.quicker, width)
    low, high = times.effect.range
    words = f"{_way(low)} to {_way(high)}"
    bar = Bar("", low, high, words, "$measured", mark=times.effect.mean)
    yield bars([bar], width, 0, len(words))[0]


def _why_not(known: "ChangeVerdict") -> str:
    """Say in a few words why the times do not decide; empty where they do, or say nothing."""
    times = known.times
    if times is None or not known.compared or times.word != "cannot tell":
        return ""
    if not times.design.returned and not times.drift_ruled_out:
        return "Never back on the old setting, so the day can do this."
    if times.no_matter:
        return f"Whatever it does is small beside {times.worth_s:.3f} s."
    return "Passes differ by that much anyway."


def _way(seconds: float) -> str:
    if abs(seconds) < 0.0005:
        return "0.000 s"
    return f"{abs(seconds):.3f} s {'quicker' if seconds < 0 else 'slower'}"
