"""The commands for a bad day: restore, salvage, doctor. What they use is imported late."""

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.model import AddCommand
from tui.commands.stop import LOG_FAULTS, OK, USAGE, Stop

if TYPE_CHECKING:
    from profiles.doctor import LookedAt
    from profiles.paths import DataFolder
    from profiles.salvage import Salvaged
    from rules.car.model import Car

WIDE, HIGH = 80, 24
MARKS = {"ok": "ok  ", "look": "LOOK", "mend": "MEND"}


def add_mending_commands(command: AddCommand) -> None:
    """Add `restore`, `salvage` and `doctor`."""
    restore = command(
        "restore", _restore, "put a backup in place; the data folder is kept whole beside it"
    )
    restore.add_argument("backup", type=Path, metavar="BACKUP")
    salvage = command("salvage", _salvage, "read what can be read of a damaged log")
    salvage.add_argument("log", metavar="CAR", help="a car's id, or a log file")
    salvage.add_argument("--json", type=Path, metavar="FILE", help="write it as an export")
    salvage.add_argument(
        "--with",
        type=Path,
        dest="older",
        metavar="BACKUP",
        help="take from an older copy what it has",
    )
    salvage.add_argument(
        "--store", action="store_true", help="put a log of it in place; the damaged one is kept"
    )
    doctor = command("doctor", _doctor, "look at log, files, terminal, clock and disk")
    doctor.add_argument(
        "--repair", action="store_true", help="put right what needs no guessing; deletes nothing"
    )


def _folder(args: argparse.Namespace, *, write: bool = False) -> "DataFolder":
    from profiles.paths import DataFolderError, data_folder

    try:
        return data_folder(args.data, write=write)
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def _restore(args: argparse.Namespace) -> int:
    from profiles.local_time import now_here
    from profiles.restore import RestoreError, restore, told

    try:
        report = restore(_folder(args), args.backup, now_here())
    except RestoreError as error:
        raise Stop(LOG_FAULTS, _visible(str(error))) from None
    print("\n".join(map(_visible, told(report))))
    return OK


def _salvage(args: argparse.Namespace) -> int:
    from uuid import uuid4

    from profiles.exports import ExportError, as_json, write_files
    from profiles.local_time import now_here
    from profiles.logfile import LogError
    from profiles.other_logs import other_events
    from profiles.salvage import filled_up, put_in_place, salvage, with_ends
    from rules.book import shipped

    folder = _folder(args, write=args.store)
    path = _log_meant(folder, args)
    try:
        found = salvage(path)
        if args.older is not None:
            half = _half_of(path, folder)
            with other_events(args.older, half, path.parent.name) as older:
                found = filled_up(found, list(older), str(args.older))
        print("\n".join(map(_visible, _told(found))))
        events = with_ends(found, _car_beside(path), now_here(), uuid4)
        if args.json is not None:
            write_files({args.json: as_json(events, shipped())}, force=False)
            print(_visible(f"Wrote {args.json}"))
        if args.store:
            _refuse_well(path)
            kept = put_in_place(path, events, uuid4)
            print(_visible(f"A log of what was read is in place. The damaged one is kept: {kept}"))
            print("Every count is asked for again when the car is opened.")
        elif args.json is None:
            print("Nothing was written. Add --json FILE to keep it, --store to put it in place.")
    except (LogError, ExportError) as error:
        raise Stop(LOG_FAULTS, _visible(str(error))) from None
    return OK


def _half_of(path: Path, folder: "DataFolder") -> "DataFolder":
    """Return the half of a data folder to which a log belongs by where it lies."""
    from profiles.paths import DataFolder

    return DataFolder(folder.root, demo="demo" in (one.name for one in path.parents[2:3]))


def _car_beside(path: Path) -> "Car | None":
    """Return the car whose file lies beside a log; None where there is none without faults."""
    from profiles.files import CarFileError, load_car
    from profiles.paths import CAR_FILE

    try:
        return load_car(path.with_name(CAR_FILE))
    except CarFileError:
        return None


def _log_meant(folder: "DataFolder", args: argparse.Namespace) -> Path:
    """Return the log of a car, or the file named."""
    from tui.commands.car_names import car_named

    known = car_named(args.log, [one.parent.name for one in folder.home.glob("cars/*/log.sqlite3")])
    if known is not None:
        return folder.log_file(known)
    if args.store:
        raise Stop(USAGE, f"--store: found {args.log!r}; wanted the id of a car that has a log")
    if not Path(args.log).is_file():
        raise Stop(LOG_FAULTS, f"{args.log!r}: found neither a car's log nor a file of this name")
    return Path(args.log)


def _refuse_well(path: Path) -> None:
    """Refuse to make anew a log that is sound, or that somebody has open.

    Raises:
        Stop: saying which.
    """
    from profiles.logfile import LogError
    from profiles.only_read import only_events
    from profiles.open_windows import who_has_open
    from profiles.snapshot import cooled
    from rules.log.merge import MISFITS, state_of

    for one in who_has_open(path.parent):
        raise Stop(LOG_FAULTS, f"{path}: open in a window of {one.who}; close it with q first")
    try:
        with only_events(path) as events:
            state_of(events, cooled)
    except (LogError, *MISFITS):
        return
    raise Stop(LOG_FAULTS, f"{path}: this log is sound and stays as it is; nothing was written")


def _told(found: "Salvaged") -> list[str]:
    """Say what was read, name what was not, and count the rest."""
    from rules.moments import stamp
    from rules.wording import plural

    state = found.state
    rows = [f"{plural(len(found.events), 'event')} read, {found.rest} not."]
    if found.events:
        first, last = found.events[0].at, found.events[-1].at
        car = state.car.name if state.car else "a car whose description is not among them"
        rows.append(f"{car}: from {stamp(first)} to {stamp(last)}.")
        rows.append(f"{len(state.runs)} passes, {len(state.changes)} changes.")
    rows += [
        f"  not read: event {one.position}, {one.kind or 'of a kind that cannot be read'}"
        for one in found.lost
    ]
    if found.gone:
        rows.append(f"  not found at all: {plural(found.gone, 'event')}")
    rows += [
        f"  does not fit those before it: {one.event.body.kind}, {stamp(one.event.at)}"
        for one in state.unfitting
    ]
    rows.append("A letter or a number in what was read may be wrong: count every knob.")
    return rows


def _doctor(args: argparse.Namespace) -> int:
    from profiles.doctor import findings
    from profiles.local_time import now_here

    left = False
    ready = False
    folder = _folder(args)
    print(_visible(f"Data folder: {folder.root}"))
    for one in (terminal(), *findings(folder, now_here())):
        print(_visible(f"{MARKS[one.grade]} {one.what}: {one.words}"))
        if one.cure is None:
            left |= one.grade != "ok"
        elif args.repair:
            left |= not _cured(one.would, one.cure)
        else:
            print(_visible(f"     would {one.would}"))
            ready = True
    if ready:
        print("Nothing was changed. To do what it would: setdown doctor --repair")
    return LOG_FAULTS if left or ready else OK


def _cured(would: str, cure: Callable[[], str]) -> bool:
    try:
        print(_visible(f"     {would}: done, {cure()}"))
    except OSError as error:
        print(_visible(f"     could not: {error}"))
        return False
    return True


def terminal() -> "LookedAt":
    """Look at the terminal: whether there is one, its size, and which letters it takes."""
    from profiles.doctor import LookedAt

    if not sys.stdout.isatty() or not sys.stdin.isatty():
        return LookedAt("terminal", "ok", "none here; without a screen: setdown consult")
    size = os.get_terminal_size(sys.stdout.fileno())
    name = os.environ.get("TERM", "")
    shown = f"{size.columns} by {size.lines}, {sys.stdout.encoding}{f', {name}' if name else ''}"
    if size.columns < WIDE or size.lines < HIGH:
        return LookedAt("terminal", "look", f"{shown}: make it {WIDE} by {HIGH} or larger")
    if name == "dumb":
        return LookedAt("terminal", "look", f"{shown}: it cannot place a cursor; use another")
    if (sys.stdout.encoding or "").lower().replace("-", "") != "utf8":
        return LookedAt("terminal", "look", f"{shown}: wanted UTF-8, for lines and large figures")
    return LookedAt("terminal", "ok", shown)


def _visible(text: str) -> str:
    from tui.visible import visible

    return visible(text)
