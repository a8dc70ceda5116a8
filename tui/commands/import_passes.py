"""The command that takes passes in: a table of any make, or the JSON of an export."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.carried import add_car, car_left_out, folder_of, state_at
from tui.commands.model import AddCommand
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE, Stop
from tui.outlet import is_terminal

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from profiles.tables import FileTable
    from rules.paper.columns import Column
    from rules.paper.import_rows import Row
    from rules.units import System

SAMPLES = 3


def add_import_command(command: AddCommand) -> None:
    """Add `import`."""
    one = command("import", _import, "take in passes from a CSV table, or a log from an export")
    add_car(one)
    one.add_argument("file", type=Path, metavar="FILE", help="CSV, or the JSON of an export")
    one.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="THEIRS=OURS",
        help='what a column holds, such as "Top end=quarter speed in mph" or "Crew=skip"',
    )
    one.add_argument("--store", action="store_true", help="write; without it, only show")
    one.add_argument("--skip-faulty", action="store_true", help="store the rows without faults")


def _import(args: argparse.Namespace) -> int:
    from profiles.other_logs import looks_like_json

    car_left_out(args, "file")
    folder = folder_of(args, write=args.store)
    try:
        is_json = looks_like_json(args.file)
    except OSError as error:
        why = error.strerror or error
        raise Stop(CAR_FAULTS, f"{args.file}: cannot be read ({why})") from None
    return _import_log(args, folder) if is_json else _import_table(args, folder)


def _import_log(args: argparse.Namespace, folder: "DataFolder") -> int:
    from uuid import uuid4

    from profiles.exports import ExportError, read_export
    from profiles.local_time import now_here
    from profiles.logbook import Logbook
    from profiles.logfile import LogError
    from rules.log.log_format import unread_text
    from rules.log.merge import MISFITS, state_of

    try:
        events = read_export(args.file)
        state = state_of(events)
    except ExportError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except MISFITS as error:
        raise Stop(CAR_FAULTS, f"{args.file}: its events do not fit together ({error})") from None
    found = state.car.id if state.car else ""
    if found != args.car:
        raise Stop(CAR_FAULTS, f"{args.file}: car: found {found!r}; wanted {args.car!r}")
    here = state_at(folder, args.car)
    if here is not None:
        raise Stop(
            LOG_FAULTS,
            f"{folder.log_file(args.car)}: found a log with {here.events} events; wanted none yet. "
            "To join two logs of one car: setdown merge",
        )
    print(f"{len(events)} events: {len(state.runs)} passes, {len(state.changes)} changes.")
    if state.unread:
        print(unread_text(state.unread))
    if not args.store:
        print("Dry run: nothing was written. Add --store to take this in.")
        return OK
    try:
        with Logbook.open(folder.log_file(args.car), folder.device_id()) as log:
            log.take_in(events, None, now=now_here(), ids=uuid4)
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    print("Stored.")
    return OK


def _import_table(args: argparse.Namespace, folder: "DataFolder") -> int:
    from uuid import uuid4

    from profiles.files import CarFileError, load_car
    from profiles.tables import TableFileError, read_table
    from rules.log.state import State
    from rules.paper.import_rows import read_rows
    from rules.paper.row_doubts import held_against_their_day

    try:
        table = read_table(args.file)
        car = load_car(folder.car_file(args.car))
    except (TableFileError, CarFileError) as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    told = _columns(args, folder, table)
    here = state_at(folder, args.car)
    rows = read_rows(
        table.rows,
        told,
        here or State(car=car),
        file=args.file.name,
        new_id=lambda: uuid4().hex,
        at_home=lambda when: when.astimezone(),
    )
    for row in held_against_their_day(rows):
        print(_row_text(row, car.units))
    faulty = sum(bool(row.faults) for row in rows)
    fresh = [row.imported for row in rows if row.imported and not row.same_as]
    there = sum(bool(row.same_as) for row in rows)
    left = sum(bool(row.left_out) for row in rows)
    without = f", {left} without times left out" if left else ""
    print(f"{len(fresh)} to store, {faulty} faulty, {there} there already{without}.")
    if not args.store:
        print("Dry run: nothing was stored. Add --store to store them.")
        return CAR_FAULTS if faulty else OK
    if faulty and not args.skip_faulty:
        raise Stop(
            CAR_FAULTS,
            f"{args.file}: {faulty} rows have faults; nothing was stored. Mend them, or add "
            "--skip-faulty",
        )
    if not fresh:
        print("Nothing new: nothing was stored.")
        return OK
    if here is None:
        raise Stop(LOG_FAULTS, f"{args.car}: found no log yet; wanted one: setdown open {args.car}")
    _store(folder, args.car, fresh)
    print(f"Stored {len(fresh)} as history: in the tables and on the sheet, in no verdict.")
    return OK


def _store(folder: "DataFolder", car_id: str, fresh: Sequence[object]) -> None:
    from uuid import uuid4

    from profiles.local_time import now_here
    from profiles.logbook import Logbook
    from profiles.logfile import LogError
    from rules.log.events.passes import PassImported

    bodies = [one for one in fresh if isinstance(one, PassImported)]
    try:
        with Logbook.open(folder.log_file(car_id), folder.device_id(), create=False) as log:
            log.append(bodies, now=now_here(), ids=uuid4)
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def _columns(
    args: argparse.Namespace, folder: "DataFolder", table: "FileTable"
) -> "dict[str, Column | None]":
    """Find out what each column holds, show it, and keep what was not guessed."""
    from profiles.told_columns import remember, remembered
    from rules.paper.columns import mapping_faults

    before = remembered(folder, table.header)
    told = dict(before) if before else {name: _guessed(table, name) for name in table.header}
    given = _given(args.column, table)
    told |= given
    asked = not before and may_ask() and _ask(table, told, given)
    if before:
        print("Columns as they were told before for this header:")
    for name, one in told.items():
        if one is not None:
            print(f"  {_quoted(name)}: {one}")
    left = [name for name, one in told.items() if one is None]
    if left:
        more = f" and {len(left) - 8} more" if len(left) > 8 else ""
        print(f"  left out: {', '.join(map(_quoted, left[:8]))}{more}")
    faults = mapping_faults(told)
    if faults:
        how = 'Tell them: --column "THEIRS=OURS", such as "Top end=quarter speed in mph"'
        raise Stop(USAGE, "\n".join([f"{args.file}: columns:", *faults, how]))
    if given or asked:
        try:
            remember(folder, told)
        except OSError as error:
            print(f"setdown: what the columns hold is not kept ({error})", file=sys.stderr)
    return told


def _quoted(name: str) -> str:
    from tui.visible import visible

    return f'"{visible(name, 40)}"'


def _cells(table: "FileTable", name: str) -> list[str]:
    at = table.header.index(name)
    return [cells[at] for _, cells in table.rows if at < len(cells) and cells[at].strip()]


def _guessed(table: "FileTable", name: str) -> "Column | None":
    from rules.paper.columns import guess

    return guess(name, _cells(table, name))


def _given(texts: Sequence[str], table: "FileTable") -> "dict[str, Column | None]":
    from dataclasses import replace

    from rules.paper.columns import ColumnError, column, date_order

    given = {}
    for text in texts:
        name, sign, ours = text.rpartition("=")
        if not sign or name not in table.header:
            names = ", ".join(map(_quoted, table.header[:20]))
            raise Stop(USAGE, f"--column: found {text!r}; wanted NAME=FIELD of a column: {names}")
        try:
            one = column(ours)
        except ColumnError as error:
            raise Stop(USAGE, f"--column {name!r}: {error}") from None
        if one is not None and one.field.kind == "date" and not one.unit:
            one = replace(one, unit=date_order(_cells(table, name)))
        given[name] = one
    return given


def may_ask() -> bool:
    """Whether somebody sits at a terminal who can be asked."""
    return is_terminal(sys.stdin) and is_terminal(sys.stdout)


def _ask(
    table: "FileTable", told: "dict[str, Column | None]", given: "dict[str, Column | None]"
) -> bool:
    """Ask what the columns hold that were neither told nor guessed; tell whether any was asked."""
    from dataclasses import replace

    from rules.paper.columns import FIELDS, UNITS, Column

    asked = False
    for name in [name for name, one in told.items() if one is None and name not in given]:
        used = {one.field.name for one in told.values() if one is not None}
        free = [one for one in FIELDS.values() if one.name not in used]
        chosen = _choose(
            f"Column {_sampled(table, name)}: what does it hold?",
            [one.name for one in free],
            "0 leave it out, Enter leave out this and the rest",
        )
        asked = True
        if chosen is None:
            break
        if chosen:
            field = free[chosen - 1]
            units = UNITS[field.kind]
            told[name] = Column(field, units[0] if len(units) == 1 else "")
    for name, one in told.items():
        if one is not None and one.lacks_unit:
            units = UNITS[one.field.kind]
            text = f"Column {_sampled(table, name)}: {one.field.name}, written how?"
            chosen = _choose(text, list(units), "Enter stop here")
            asked = True
            if chosen:
                told[name] = replace(one, unit=units[chosen - 1])
    return asked


def _sampled(table: "FileTable", name: str) -> str:
    samples = ", ".join(map(_quoted, _cells(table, name)[:SAMPLES]))
    return f"{_quoted(name)} ({samples or 'empty'})"


def _choose(question: str, words: list[str], rest: str) -> int | None:
    """Return the number that was typed, 0 for none of them, None for Enter alone."""
    print(question)
    print("  " + "  ".join(f"{number} {word}" for number, word in enumerate(words, 1)))
    while True:
        try:
            typed = input(f"  {rest}: ").strip()
        except EOFError:
            return None
        if not typed:
            return None
        if typed.isdecimal() and len(typed) <= 4 and int(typed) <= len(words):
            return int(typed)
        print(f"  found {typed[:20]!r}; wanted a number from 0 to {len(words)}")


def _row_text(row: "Row", units: "System") -> str:
    from rules.moments import stamp
    from rules.passes.slip_entry import told
    from tui.visible import visible

    if row.left_out:
        return f"row {row.number}: {row.left_out}"
    if row.imported is None:
        return visible(f"FAULT {'; '.join(map(str, row.faults))}")
    one = row.imported
    words = told(one.slip, units)
    setting = f", setting {one.setting}" if one.setting else ""
    text = f"row {row.number}: {stamp(one.when)} {words}{setting}"
    if row.same_as:
        text = f"{text} - THERE ALREADY: {row.same_as}"
    if row.doubts:
        text = f"{text} - look again: {'; '.join(row.doubts)}"
    return visible(text)
