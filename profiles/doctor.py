"""What is well with the data folder and this computer, what is not, and what can be put right.

A finding says what is so in plain words. Its cure is there only where nothing has to be guessed;
no cure deletes anything.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from glob import escape
from pathlib import Path
from typing import Literal

from profiles.files import CarFileError, load_car
from profiles.journals import ENDS, beside, has_journal, stray_write_ahead
from profiles.local_time import here
from profiles.logfile import LogError, is_torn, open_log, set_strays_aside, stray_journal
from profiles.only_read import only_events
from profiles.open_windows import who_has_open
from profiles.paths import LOG_FILE, RESTORED, DataFolder, DataFolderError
from profiles.salvage import salvage
from profiles.snapshot import cooled
from rules.book import BookError, with_own
from rules.log.log_format import unread_text
from rules.log.merge import MISFITS, state_of
from rules.moments import stamp
from rules.wording import plural

LITTLE_ROOM = 100_000_000
"""Bytes below which a disk is soon full: some thousand times what a season writes in a day."""
SLACK = timedelta(minutes=2)
FIRST_YEAR = 2024
Grade = Literal["ok", "look", "mend"]


@dataclass(frozen=True)
class LookedAt:
    """One thing looked at.

    grade: well; to be looked at by the crew; or to be put right by `cure`.
    would: what the cure does, beginning with a verb.
    cure: puts it right, and returns what it did.
    """

    what: str
    grade: Grade
    words: str
    would: str = ""
    cure: Callable[[], str] | None = None


def findings(folder: DataFolder, now: datetime) -> Iterator[LookedAt]:
    """Look at disk, clock, files and logs of a data folder; nothing is written."""
    yield _disk(folder.root)
    yield from _unfinished(folder.root)
    latest: list[datetime] = []
    for half in (folder, DataFolder(folder.root, demo=not folder.demo)):
        yield from _half(half, latest)
    yield _clock(now, max(latest, default=None))


def _disk(root: Path) -> LookedAt:
    place = next(one for one in (root, *root.parents) if one.exists())
    try:
        free = shutil.disk_usage(place).free
    except OSError as error:
        return LookedAt("disk", "look", f"{place}: cannot be read ({error.strerror or error})")
    room = f"{free / 1e6:,.0f} MB free at {place}"
    if not os.access(place, os.W_OK | os.X_OK):
        words = f"{place} may not be written: cars can be looked at, and nothing is recorded"
        return LookedAt("disk", "look", words)
    if free < LITTLE_ROOM:
        return LookedAt("disk", "look", f"only {room}: make room before the next pass")
    return LookedAt("disk", "ok", room)


def _clock(now: datetime, last: datetime | None) -> LookedAt:
    shown = stamp(now)
    if last is not None and now < last - SLACK:
        words = f"it is {shown}, before the last entry of a log, {stamp(last)}: set the clock"
        return LookedAt("clock", "look", words)
    if now.year < FIRST_YEAR:
        return LookedAt("clock", "look", f"it is {shown}, which cannot be: set the clock")
    return LookedAt("clock", "ok", shown)


def _unfinished(root: Path) -> Iterator[LookedAt]:
    """Find what a restore that was cut off left beside the data folder: only copies of a backup."""
    name = escape(root.name)
    for pattern in (f"{name}-before-restore-*{RESTORED}", f".{name}.*.tmp"):
        for one in sorted(root.parent.glob(pattern)):
            words = f"{one} is left of a restore that was cut off; it is in nobody's way"
            yield LookedAt("data folder", "look", f"{words}, and may go")


def _half(half: DataFolder, latest: list[datetime]) -> Iterator[LookedAt]:
    try:
        names = half.cars()
        pages = half.own_rules()
    except DataFolderError as error:
        yield LookedAt("data folder", "look", str(error))
        return
    if pages:
        yield _rules(pages)
    for name in names:
        yield _car_file(half, name)
    logs = [half.log_file(name) for name in names]
    others = sorted((half.home / "cars").glob(f"*/{LOG_FILE}"))
    logs += [path for path in others if path not in logs]
    for path in [*logs, half.draft_log()]:
        yield from _log(path, f"log of {_name(path, half)}", latest)


def _name(path: Path, half: DataFolder) -> str:
    if path == half.draft_log():
        return "the car being described"
    return f"{path.parent.name}{' (demonstration)' if half.demo else ''}"


def _rules(pages: dict[str, str]) -> LookedAt:
    try:
        with_own(pages)
    except BookError as error:
        first = str(error).splitlines()[0]
        return LookedAt("your rule pages", "look", f"left out, they have faults: {first}")
    return LookedAt("your rule pages", "ok", plural(len(pages), "page"))


def _car_file(half: DataFolder, name: str) -> LookedAt:
    what = f"car file of {name}{' (demonstration)' if half.demo else ''}"
    try:
        load_car(half.car_file(name))
    except CarFileError as error:
        more = f" and {len(error.faults) - 1} more" if len(error.faults) > 1 else ""
        return LookedAt(what, "look", f"{error.faults[0]}{more}: mend it in a text editor")
    except DataFolderError as error:
        return LookedAt(what, "look", str(error))
    return LookedAt(what, "ok", "no faults")


def _log(path: Path, what: str, latest: list[datetime]) -> Iterator[LookedAt]:
    try:
        if not path.exists() or path.stat().st_size == 0:
            if path.parent.exists() and any(beside(path, end).exists() for end in ENDS):
                yield LookedAt(what, "look", f"{path} is not there, and what lay beside it is")
            return
        for one in who_has_open(path.parent):
            yield LookedAt(what, "ok", f"open in a window of {one.who}, since {stamp(one.since)}")
        yield from _beside(path, what)
        yield _content(path, what, latest)
    except OSError as error:
        yield LookedAt(what, "look", str(error))


def _beside(path: Path, what: str) -> Iterator[LookedAt]:
    """Find what a crash left beside a log."""
    strays = stray_write_ahead(path)
    torn = has_journal(path) and (bool(strays) or is_torn(path))
    if torn:
        strays += stray_journal(path)
    if strays:
        names = ", ".join(one.name for one in strays)
        yield LookedAt(
            what,
            "mend",
            f"{names} beside it is of another file, and would spoil it",
            "set it aside there under the name stray-...kept",
            lambda: f"set aside: {', '.join(one.name for one in set_strays_aside(path))}",
        )
    elif torn:
        yield LookedAt(
            what,
            "mend",
            "a crash cut off its last write",
            "take it back to its last whole answer, as opening the car does",
            lambda: _mended(path),
        )


def _mended(path: Path) -> str:
    open_log(path, create=False).close()
    return "back at its last whole answer"


def _content(path: Path, what: str, latest: list[datetime]) -> LookedAt:
    try:
        with only_events(path) as events:
            state, heads = state_of(events, cooled), events.heads
    except (LogError, *MISFITS) as error:
        try:
            found = salvage(path)
        except LogError:
            return LookedAt(what, "look", str(error))
        return LookedAt(
            what,
            "look",
            f"damaged: {plural(len(found.events), 'event')} can be read, {found.rest} not. Take "
            "the last backup (setdown restore), or what can be read (setdown salvage)",
        )
    latest += [here(max(head.at for head in heads))] if heads else []
    if state.unread:
        return LookedAt(what, "look", unread_text(state.unread))
    if not os.access(path, os.W_OK):
        return LookedAt(what, "look", f"{path} may not be written: nothing is recorded")
    return LookedAt(what, "ok", f"{plural(len(heads), 'event')}, every one read")
