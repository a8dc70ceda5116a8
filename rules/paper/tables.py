"""Passes, changes and verdicts as plain tables, for a file or a printed page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from operator import itemgetter
from typing import TYPE_CHECKING, get_args

from rules.log.changes import Change, PartMade
from rules.log.other_parts import other_parts
from rules.log.said import named_symptoms, parts_changed
from rules.log.slip_words import number_words, slip_of
from rules.log.standing import known, net_text, setting_text
from rules.log.state import Run, State
from rules.moments import cell
from rules.passes.marks import Mark
from rules.passes.readings import READINGS
from rules.passes.slip import FIELDS, Slip
from rules.units import System
from rules.wording import say

if TYPE_CHECKING:
    from rules.log.noted import AsNoted

Cell = str | float | None
ChangeRow = tuple[int, str, str, str, str, str, str, str, str]


@dataclass(frozen=True)
class Table:
    """A table: the names of its columns, and its rows."""

    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def system_of(state: State) -> System:
    """Return the unit system of the car."""
    return state.car.units if state.car else "metric"


def passes_table(state: State) -> Table:
    """Return every pass of the log and every imported one, in the order of time.

    The columns of the slip and the air are named so that an import knows them again.
    """
    system = system_of(state)
    slip_names = {key: f"{one.label} [{one.unit(system)}]" for key, one in FIELDS.items()}
    air_names = {
        key: f"{one.label.removeprefix('Relative ')} [{one.units[system][0]}]".lower()
        for key, one in READINGS.items()
    }
    header = (
        "pass",
        "date",
        *slip_names.values(),
        "lane",
        "marks",
        *air_names.values(),
        "which pressure",
        "setting",
        "session",
        "meeting",
        "with change",
        "symptoms",
        "what else moved",
        "in doubt",
        "source",
    )
    rows = [(run.at, _run_row(state, run, system)) for run in state.one_by_one(state.runs)]
    for one in state.imported:
        slip = _slip_cells(one.slip, one.conditions, system)
        source = f"{one.file}, row {one.row}"
        row = (None, cell(one.when), *slip, one.setting, *([""] * 6), source)
        rows.append((one.when, row))
    return Table(header, tuple(row for _, row in sorted(rows, key=lambda pair: pair[0])))


def _run_row(state: State, run: Run, system: System) -> tuple[Cell, ...]:
    meeting = state.meetings.find(run.meeting)
    doubt = ", ".join(_label(state, key) for key in run.in_doubt)
    return (
        run.number,
        cell(run.at),
        *_slip_cells(slip_of(run), run.conditions, system),
        "",
        run.session or "",
        meeting.name if meeting else "",
        _said(state, state.change(run.change).title) if run.change else "",
        "; ".join(named_symptoms(state, run)),
        "; ".join(sorted(parts_changed(run))),
        doubt,
        "log",
    )


def _slip_cells(slip: Slip, noted: AsNoted | None, system: System) -> tuple[Cell, ...]:
    numbers = slip.numbers()
    times: list[Cell] = [
        float(number_words(key, numbers[key], system)) if key in numbers else None for key in FIELDS
    ]
    lane = slip.lane or (noted.lane if noted else None) or ""
    marks = "; ".join(mark for mark in get_args(Mark) if mark in slip.marks)
    air: list[Cell] = [getattr(noted, key, None) for key in READINGS]
    kind = noted.pressure_kind or "" if noted else ""
    if noted is not None and noted.units != system:
        air, kind = [None for _ in READINGS], ""
    return (*times, lane, marks, *air, kind)


def changes_table(state: State) -> Table:
    """Return every turn of every change: from which count to which, and how far it got."""
    header = ("change", "title", "status", "origin", "rule", "adjuster", "from", "to", "now")
    rows: list[ChangeRow] = [
        (
            number,
            _said(state, change.title),
            change.status,
            change.origin,
            change.rule or "",
            _label(state, step.turn.adjuster),
            setting_text(state, step.turn.adjuster, step.turn.before),
            setting_text(state, step.turn.adjuster, step.turn.after),
            setting_text(state, step.turn.adjuster, step.now),
        )
        for number, change in enumerate(state.one_by_one(state.changes), 1)
        for step in change.steps
    ]
    rows += [
        _part_row(state, number, change, change.part)
        for number, change in enumerate(state.changes, 1)
        if change.part is not None
    ]
    return Table(header, tuple(sorted(rows, key=itemgetter(0))))


def _part_row(state: State, number: int, change: Change, part: PartMade) -> ChangeRow:
    now = part.after if change.is_made and change.status != "withdrawn" else part.before
    said = (part.where, part.before, part.after, now)
    title = _said(state, change.title)
    return number, title, change.status, change.origin, "", *said


def change_verdict(state: State, change: Change) -> str:
    """Say what came of a change, and what its verdict is worth."""
    if change.origin == "put back":
        return "put back" if change.status in ("applied", "run", "judged") else change.status
    if change.verdict is None:
        return {
            "withdrawn": "taken back or never made, not judged",
            "run": "not judged",
        }.get(change.status, "no pass yet")
    but = [
        words
        for holds, words in (
            (change.status == "withdrawn", "taken back since"),
            (change.mixed, "mixed with another turn"),
            (bool(change.set_aside), "set aside"),
            (bool(other_parts(state, change)), "with other parts"),
            (change.in_doubt, "in doubt after a recount"),
        )
        if holds
    ]
    return f"{change.verdict}, but {' and '.join(but)}" if but else change.verdict


def counts_table(state: State) -> Table:
    """Return where every adjuster stands, and how far off the baseline."""
    rows = [
        (
            _label(state, key),
            f"{setting_text(state, key, value)}{_end(state, key)}",
            _said(state, net_text(state, key)),
            "recount" if key in state.to_recount else "",
        )
        for key, value in state.settings.items()
    ]
    return Table(("adjuster", "stands at", "from baseline", "to do"), tuple(rows))


def _end(state: State, key: str) -> str:
    one = known(state, key)
    return f" from {one.count_from}" if one and one.count_from else ""


def _label(state: State, key: str) -> str:
    one = known(state, key)
    return _said(state, one.label if one else key)


def _said(state: State, text: str) -> str:
    return say(text, system_of(state))


def by_column(table: Table) -> Iterator[Mapping[str, Cell]]:
    """Yield the rows with their cells by the names of the columns."""
    return (dict(zip(table.header, row, strict=True)) for row in table.rows)
