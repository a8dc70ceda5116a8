"""What is known of a row of the log: a few lines below the table, or a page of its own."""

from rules.advice.forecasts import Foretold, foretold_on
from rules.launch.forecast_words import foretold_text
from rules.log import conditions
from rules.log.changes import Change
from rules.log.state import Run, State
from rules.moments import stamp
from rules.passes.slip_entry import told as told_slip
from rules.units import UNITS, Quantity, from_si
from tui.desk import Desk
from tui.lines import labelled, spoken, system
from tui.pages.log import pass_page
from tui.pages.log_rows import (
    LogRow,
    change_outcome,
    change_words,
    moved_words,
    spoilt_words,
)  # fmt: skip
from tui.visible import visible

Parts = list[tuple[str, str]]


def headline(row: LogRow) -> str:
    """Return what a row is, in a word, and when it was."""
    name = f"PASS {row.number}" if row.number else row.kind.upper()
    return f"{name} · {stamp(row.at)}"


def glance(state: State, row: LogRow, width: int) -> list[str]:
    """Return what matters of a row, a label and a line each."""
    parts: Parts = [("", row.what)]
    if row.kind == "pass":
        parts = pass_parts(state, state.run(row.run), row.what)
    elif row.kind == "change":
        parts = _change_parts(state, state.change(row.key))
    return [line for label, text in parts for line in labelled(label, text, width)]


def pass_parts(state: State, run: Run, did: str) -> Parts:
    """Return what a pass did, its times, what followed, its air, and what was foretold of it."""
    spoilt = spoilt_words(run)
    parts = [("did", f"{did}; {spoilt}" if spoilt else did)]
    if run.slip is not None:
        parts.append(("slip", told_slip(run.slip, system(state))))
    if run.change is not None:
        parts.append(("with", change_words(state, state.change(run.change))))
    advice = run.advice or run.followed
    if advice is not None:
        word = "advised" if run.advice else "then"
        parts.append((word, spoken(state, advice.title)))
    parts += [("air", air)] if (air := _air(state, run)) else []
    parts += [("foretold", foretold_words(state, one)) for one in foretold_on(state, run)]
    return parts


def foretold_words(state: State, one: Foretold) -> str:
    """Say what was foretold, what came, and whether it lay inside."""
    told = foretold_text(one.name, one.measure, one.range, one.found, system(state))
    return spoken(state, f"{told}, {'inside' if one.held else 'OUTSIDE'}")


def everything(desk: Desk, row: LogRow) -> list[str]:
    """Return the page of the pass that a row is or followed: all that is known of it."""
    state, told = desk.state, pass_page(desk, row.run)
    if not row.run:
        return told
    told += labelled(" The car", stood(state, state.run(row.run)))
    for number, one in enumerate(foretold_on(state, state.run(row.run))):
        told += labelled("" if number else " Foretold", foretold_words(state, one))
    return told


def stood(state: State, run: Run) -> str:
    """Say what of the car was off the baseline in force on a pass."""
    goals = state.baseline.settings if state.baseline else {}
    off = [
        (key, goals[key], value)
        for key, value in run.settings.items()
        if key in goals and goals[key] != value
    ]
    name = visible(state.baseline.name) if state.baseline else "none"
    said = moved_words(state, off) if off else "all at it"
    return f"against the baseline {name}: {said}"


def _change_parts(state: State, change: Change) -> Parts:
    mark, word, _ = change_outcome(state, change)
    parts = [("changed", change_words(state, change)), ("now", f"{mark} {word}")]
    runs = [f"{run.number}" for run in state.runs_of(change)]
    parts += [("passes", ", ".join(runs))] if runs else []
    parts += [("off", spoken(state, change.off_why))] if change.off_why else []
    parts.append(("title", spoken(state, change.title)))
    return parts


def _air(state: State, run: Run) -> str:
    noted = [] if run.conditions is None else conditions.shown(run.conditions)
    air = conditions.air_at(run)
    if air is not None:
        unit = UNITS[Quantity.ELEVATION, system(state)].name
        height = from_si(air.density_altitude_m, Quantity.ELEVATION, system(state))
        noted = [f"density altitude {height:,.0f} {unit}", *noted]
    return spoken(state, ", ".join(noted))
