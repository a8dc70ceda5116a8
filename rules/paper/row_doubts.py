"""Rows of a table held against the other rows of their day, as a slip is against its setting's."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from rules.crew.own_times import own_numbers
from rules.log.events.passes import PassImported
from rules.log.noted import Conditions
from rules.log.state import Run, State
from rules.paper.import_rows import Row
from rules.passes.slip import questions
from rules.register import Register


def held_against_their_day(rows: Iterable[Row]) -> list[Row]:
    """Return the rows with what is strange beside the other passes of the same day."""
    every = list(rows)
    days: dict[date, list[Run]] = {}
    for row in every:
        if row.imported is not None:
            days.setdefault(row.imported.when.date(), []).append(_as_run(row.imported))
    return [_doubted(row, days) for row in every]


def _doubted(row: Row, days: Mapping[date, Sequence[Run]]) -> Row:
    one = row.imported
    if one is None:
        return row
    day = State(runs=Register(days[one.when.date()]))
    asked = questions(one.slip, own_numbers(day, day.run(one.imported)))
    return replace(row, doubts=(*row.doubts, *(odd.why for odd in asked if odd.spoilt)))


def _as_run(one: PassImported) -> Run:
    """Return an imported pass as one of a log, its setting the word that the table has for it."""
    day = str(one.when.date())
    run = Run(one.imported, one.row, one.when, day, None, None, slip=one.slip)
    noted = Conditions.of(one.conditions) if one.conditions is not None else None
    return replace(run, settings={one.setting: 0.0}, conditions=noted)
