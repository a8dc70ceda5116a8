"""The commands that carry a log out and join two: export, sheet, merge. Imports come late."""

import argparse
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.carried import (
    NO_LOG,
    add_car,
    begun_log,
    car_left_out,
    events_at,
    folder_of,
    state_at,
)
from tui.commands.model import AddCommand
from tui.commands.stop import LOG_FAULTS, OK, USAGE, Stop

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.book import Book
    from rules.log.ids import Ids
    from rules.log.merge import Merge
    from rules.log.state import State


def add_carry_commands(command: AddCommand) -> None:
    """Add `export`, `sheet` and `merge`."""
    export = command("export", _export, "write passes, changes and verdicts for other programs")
    add_car(export)
    export.add_argument("--csv", type=Path, metavar="FOLDER", help="three tables as CSV")
    export.add_argument("--json", type=Path, metavar="FILE", help="the whole log as JSON")
    _add_force(export)
    sheet = command("sheet", _sheet, "write one page about a car, to print")
    add_car(sheet)
    sheet.add_argument("--md", type=Path, metavar="FILE", help="as Markdown")
    sheet.add_argument("--html", type=Path, metavar="FILE", help="as one self-contained HTML file")
    _add_force(sheet)
    merge = command("merge", _merge, "take in another laptop's log of the same car")
    add_car(merge)
    merge.add_argument(
        "other",
        type=Path,
        metavar="OTHER",
        help="a data folder, a log file, a backup file or a JSON export",
    )
    merge.add_argument("--store", action="store_true", help="write; without it, only show")


def _add_force(command: argparse.ArgumentParser) -> None:
    command.add_argument("--force", action="store_true", help="replace files that are there")


def _export(args: argparse.Namespace) -> int:
    from profiles.exports import ExportError, csv_files, json_pieces, write_files
    from profiles.logfile import LogError
    from profiles.only_read import only_read

    if args.csv is None and args.json is None:
        raise Stop(USAGE, "export: wanted --csv FOLDER, --json FILE, or both")
    folder = folder_of(args, write=False)
    book = _book(folder)
    files: dict[Path, bytes | Iterable[bytes]] = {}
    try:
        with only_read(begun_log(folder, args.car)) as log:
            if not log.state.events:
                raise Stop(LOG_FAULTS, NO_LOG.format(car=args.car))
            if args.csv is not None:
                tables = csv_files(log.state, book)
                files |= {args.csv / name: data for name, data in tables.items()}
            if args.json is not None:
                files[args.json] = json_pieces(log.each_event(), log.state, book)
            write_files(files, force=args.force)
    except (ExportError, LogError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    print("\n".join(f"Wrote {path}" for path in files))
    return OK


def _sheet(args: argparse.Namespace) -> int:
    from profiles.exports import ExportError, write_files
    from rules.log.log_format import unread_text
    from rules.paper.event_sheet import event_sheet
    from rules.paper.page import as_html, as_markdown

    folder = folder_of(args, write=False)
    state = state_at(folder, args.car)
    if state is None:
        raise Stop(LOG_FAULTS, NO_LOG.format(car=args.car))
    if state.unread:  # The sheet says what to try next, which may hang on what is not understood.
        raise Stop(LOG_FAULTS, unread_text(state.unread))
    page = event_sheet(state, _book(folder))
    files = {}
    if args.md is not None:
        files[args.md] = as_markdown(page).encode()
    if args.html is not None:
        files[args.html] = as_html(page).encode()
    try:
        write_files(files, force=args.force)
    except ExportError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    print("\n".join(f"Wrote {path}" for path in files) if files else as_markdown(page))
    return OK


def _book(folder: "DataFolder") -> "Book":
    from tui.opening import sound_book

    return sound_book(folder)[0]


def _merge(args: argparse.Namespace) -> int:
    from uuid import uuid4

    from profiles.exports import ExportError
    from profiles.local_time import now_here
    from profiles.log_refusals import MOVED
    from profiles.logbook import Logbook
    from profiles.logfile import LogError
    from profiles.other_logs import keep_a_copy
    from rules.log.merge import MergeError

    car_left_out(args, "other")
    folder = folder_of(args, write=args.store)
    try:
        found, known = _joined(folder, args)
        print("\n".join(_told(found, len(known))))
        if not found.events:
            return OK
        if not args.store:
            print("Dry run: nothing was written. Add --store to take this in.")
            return OK
        path = folder.log_file(args.car)
        copy = keep_a_copy(path)
        with Logbook.open(path, folder.device_id(), create=False) as log:
            if log.whole().heads.ids != known:
                raise LogError(f"{path}: {MOVED}")
            log.take_in(found.events, found.closing, now=now_here(), ids=uuid4)
    except (MergeError, ExportError, LogError) as error:
        where = f"{args.other}: " if isinstance(error, MergeError) else ""
        raise Stop(LOG_FAULTS, f"{where}{error}") from None
    print(f"Merged. The log as it was is kept in {copy}.")
    return OK


def _joined(folder: "DataFolder", args: argparse.Namespace) -> "tuple[Merge, Ids]":
    """Return what the other log adds, and the ids of the events that this one has."""
    from profiles.other_logs import other_events
    from profiles.snapshot import cooled
    from rules.log.long_log import heads_of
    from rules.log.merge import merge

    with (
        events_at(folder, args.car) as ours,
        other_events(args.other, folder, args.car) as theirs,
    ):
        return merge(ours, theirs, cooled), heads_of(ours).ids


def _told(found: "Merge", events: int) -> list[str]:
    """Return what a merge brings in, row by row."""
    from profiles.local_time import here
    from rules.log.events.changes import ChangeProposed, PartChange
    from rules.log.events.meeting import NoteAdded
    from rules.log.events.passes import PassImported, PassRun
    from rules.moments import stamp
    from rules.wording import plural
    from tui.lines import spoken
    from tui.visible import visible

    if not found.events:
        return ["Nothing new: this log holds all of the other one."]
    state = found.state
    rows = [f"{plural(len(found.events), 'event')} to take in, beside {events} here:"]
    imported = 0
    for event in found.events:
        body = event.body
        match body:
            case PassRun() if (run := state.runs.find(body.run)) is not None:
                rows.append(f"  pass {run.number}, {stamp(here(event.at))}")
            case ChangeProposed() | PartChange():
                rows.append(f"  change: {spoken(state, body.title)}")
            case NoteAdded():
                rows.append(f"  note: {visible(body.text, 60)}")
            case PassImported():
                imported += 1
    if imported:
        rows.append(f"  {plural(imported, 'slip')} imported there")
    if found.closing is None:
        rows.append("The other log holds all of this one: it is simply further on.")
    rows += _disputes(state)
    rows += [f"Pass {number} was still open: it is closed as it stands." for number in found.closed]
    for one in state.unfitting:
        why = visible(f"{one.event.body.kind}, {stamp(here(one.event.at))}: {one.why}")
        rows.append(f"Kept in the log but without effect, because it does not fit: {why}")
    return rows


def _disputes(state: "State") -> list[str]:
    from rules.crew.work_prompts import disputed_text
    from rules.log.standing import known
    from tui.lines import spoken

    rows = []
    for key in state.disputed:
        one = known(state, key)
        if one is not None:
            rows.append(spoken(state, f"{one.label}: {disputed_text(one, state)}"))
    return rows
