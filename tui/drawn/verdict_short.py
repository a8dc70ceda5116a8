"""The verdict of a change in few words: keep it or not, what was foretold and came, the clock."""

from collections.abc import Iterator

from textual.content import Content

from rules.advice.decision import follow_up
from rules.advice.forecasts import Foretold, foretold_of
from rules.book import Book
from rules.car.adjusters import Turn
from rules.launch.forecast_words import range_words, unit_of
from rules.launch.proposed_change import Range
from rules.log.advice import Advice, Evidence
from rules.log.changes import Change
from rules.log.state import State
from rules.units import System
from tui.drawn.forecast import NAMES
from tui.drawn.plate import Plate
from tui.drawn.ranges import Bar, bars, in_ten
from tui.drawn.short_advice import turns_plate
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
    turns = [
        Turn(adjuster=step.turn.adjuster, before=step.turn.before, after=step.now)
        for step in change.steps
        if step.moved and step.turn.adjuster in state.fitted
    ]
    return turns_plate(state, turns, "done", KEEP) if turns else None


def verdict_rows(state: State, advice: Advice, change: Change, width: int) -> list[Content]:
    """Return what was foretold and what came of it, each on its bar, then what the clock says."""
    units = system(state)
    rows = [
        row for one in foretold_of(state, change) for row in _foretold(one, state, units, width)
    ]
    told = advice.basis.evidence
    return [*rows, *(_clock(told) if told is not None else ())]


def _foretold(one: Foretold, state: State, units: System, width: int) -> Iterator[Content]:
    came = Range(low=one.found, middle=one.found, high=one.found)
    place = "inside" if one.held else "OUTSIDE"
    said = range_words(one.range, one.measure, units).replace(" to ", "–")
    found = f"{range_words(came, one.measure, units)} {unit_of(one.measure, units)}"
    yield Content.assemble(
        spoken(state, NAMES.get(one.name, one.name)),
        (f"  █ {found}", "bold $measured"),
        (f"  ▒ {said}", "$forecast"),
        f", {place}",
    )
    yield bars([Bar("", one.range.low, one.range.high, "", "$forecast", mark=one.found)],
               width, 0, 0)[0]  # fmt: skip


def _clock(told: Evidence) -> Iterator[Content]:
    """Say whether the 60-foot helped: its word first, then the chance."""
    way = "quicker" if told.effect_s < 0 else "slower"
    chance = told.quicker if told.effect_s < 0 else 1.0 - told.quicker
    word = "cannot tell yet" if told.word == "cannot tell" else told.word
    yield Content.assemble("60-foot: ", (word, "bold"))
    yield Content.assemble(
        (in_ten(chance), "$measured"),
        f" {round(10 * chance)} in 10 {way}, best guess {abs(told.effect_s):.3f} s",
    )
