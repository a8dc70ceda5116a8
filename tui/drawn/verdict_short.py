"""The verdict of a change in few words: keep it or not, what was foretold and came, the clock."""

from collections.abc import Iterator

from textual.content import Content

from rules.advice.decision import follow_up
from rules.advice.forecasts import Foretold, foretold_of
from rules.book import Book
from rules.car.adjusters import Turn
from rules.launch.forecast_words import number_words, range_words, unit_of
from rules.log.advice import Advice
from rules.log.changes import Change
from rules.log.state import State
from rules.units import System
from tui.drawn.forecast import NAMES
from tui.drawn.plate import Plate
from tui.drawn.ranges import Bar, bars, in_ten
from tui.drawn.short_advice import stays_plate
from tui.lines import spoken, system

KEEP = "KEEP IT"


def judged(state: State) -> Change | None:
    """Return the change that the open pass judged; None where it judged none."""
    run = state.open_run
    change = state.change(run.change) if run is not None and run.change else None
    return change if change is not None and change.verdict is not None else None


def keep_plate(state: State, book: Book, change: Change, advice: Advice) -> Plate | None:
    """Return the plate of a change that stays and is all there is to say; None otherwise."""
    if advice.kind != "leave":
        return None
    decided = follow_up(state, book, change)
    if decided is None or decided.act != "keep":
        return None
    turns = turns_made(state, change)
    return stays_plate(state, turns, KEEP) if turns else None


def turns_made(state: State, change: Change) -> list[Turn]:
    """Return the turns that a change has made, of what is fitted still."""
    return [
        Turn(adjuster=step.turn.adjuster, before=step.turn.before, after=step.now)
        for step in change.steps
        if step.moved and step.turn.adjuster in state.fitted
    ]


def verdict_parts(state: State, advice: Advice, change: Change, width: int) -> list[list[Content]]:
    """Return what was foretold and what came of it, each on its bar, then what the clock says."""
    units = system(state)
    parts = [list(foretold_rows(one, state, units, width)) for one in foretold_of(state, change)]
    told = advice.basis.evidence
    if told is not None:
        parts.append(list(clock_rows(told.word, told.effect_s, told.quicker, width)))
    return parts


def foretold_rows(one: Foretold, state: State, units: System, width: int) -> Iterator[Content]:
    """Say what came of a number, and where it lies in the range that was foretold."""
    place = "as foretold" if one.held else "NOT as foretold"
    said = range_words(one.range, one.measure, units).replace(" to ", "–")
    found = f"{number_words(one.found, one.measure, units)} {unit_of(one.measure, units)}"
    name = spoken(state, NAMES.get(one.name, one.name))
    whole = Content.assemble(
        name, (f"  █ {found}", "bold $measured"), (f"  ▒ {said}", "$forecast"), f", {place}"
    )
    words = "" if whole.cell_length <= width else f"█ {found} ▒ {said}"
    yield Content(f"{name}: {place}") if words else whole
    bar = Bar("", one.range.low, one.range.high, words, "$forecast", mark=one.found)
    yield bars([bar], width, 0, len(words))[0]


def clock_rows(word: str, effect_s: float, quicker: float, width: int) -> Iterator[Content]:
    """Say whether the 60-foot helped: its word first, then the chance.

    effect_s: best guess [s], below 0 is quicker.  quicker: the chance that it is [-].
    """
    from rules.evidence.verdict_words import short_chance

    way = "quicker" if effect_s < 0 else "slower"
    chance = quicker if effect_s < 0 else 1.0 - quicker
    told = "cannot tell yet" if word == "cannot tell" else word
    yield Content.assemble("60-foot: ", (told, "bold"))
    said = f" {short_chance(chance)} {way}, best guess {abs(effect_s):.3f} s"
    squares = in_ten(int(10.0 * chance + 1e-9) / 10.0)
    if len(squares + said) > width:
        yield Content(said.strip())
    else:
        yield Content.assemble((squares, "$measured"), said)
