"""What can still be read of a damaged log, row by row, without SQLite.

SQLite gives up at the first page that it finds wrong. Every row of a log begins alike, though, with
the id of its event, and is found by that wherever it lies. A row that is not whole to the last
letter of its fields is not guessed at: it is counted.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID, uuid4

from profiles.durable import sync_folder, write_atomically
from profiles.journals import ENDS, beside, free_name
from profiles.local_time import here
from profiles.logbook import Logbook
from profiles.logfile import LogError, explained, verified_ids
from rules.car.adjusters import starts
from rules.car.model import Car
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.log.events.event import Body, Event
from rules.log.events.meeting import NoteAdded
from rules.log.events.whole_log import LogsMerged, Unread
from rules.log.log_format import read_event, read_whole
from rules.log.merge import state_of
from rules.log.state import State

_UUID = re.compile(rb"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
# The row that counts the rows: a head of three bytes, the table's name, and a whole number.
_LAST = re.compile(rb"\x03\x19([\x01-\x06])events")
_WIDTHS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
_ID, _COLUMNS = 13 + 2 * 36, 7
_LARGEST_HEAD, _LONGEST_NUMBER = 24, 9
_SMALLEST_ROW = 80
_USUAL_PAGE = 4096


@dataclass(frozen=True)
class Lost:
    """A row that is there and cannot be read; kind as far as that could be, else empty."""

    position: int
    kind: str


@dataclass(frozen=True)
class Salvaged:
    """What a damaged log still holds.

    events: what was read, in the order of the log.
    lost: rows that were found and not read.
    gone: how many rows of the log, as far as it says, are not to be found at all.
    """

    events: list[Event]
    lost: list[Lost]
    gone: int

    @property
    def state(self) -> State:
        """What the events add up to; one that does not fit those before it is listed there."""
        return state_of([*self.events, *_closing(self.events, {}, "", datetime.now(UTC), uuid4)])

    @property
    def rest(self) -> int:
        """How many events of the log are not among those that were read."""
        return len(self.lost) + self.gone


@dataclass(frozen=True)
class _Row:
    position: int
    columns: tuple[bytes | int | None, ...]


def salvage(path: Path) -> Salvaged:
    """Read what can be read of a log, which is not touched.

    Raises:
        LogError: if the file cannot be read, or nothing of a log is in it.
    """
    with explained(str(path)):
        data = path.read_bytes()
    read: dict[UUID, tuple[int, Event]] = {}
    lost: dict[int, Lost] = {}
    for row in _rows(data):
        event = _event(row)
        if event is None:
            kind = row.columns[5]
            named = kind.decode("ascii", "replace") if isinstance(kind, bytes) else ""
            lost[row.position] = Lost(row.position, named if re.fullmatch("[a-z-]+", named) else "")
        else:
            read.setdefault(event.id, (row.position, event))
    if not read and not lost:
        raise LogError(f"{path}: nothing of a log of Setdown can be found in this file")
    there = {position for position, _ in read.values()}
    lost = {position: one for position, one in lost.items() if position not in there}
    last = max([*there, *lost, _last(data)])
    return Salvaged(
        events=_once(sorted(read.values(), key=lambda one: (one[0], one[1].seq))),
        lost=[lost[position] for position in sorted(lost)],
        gone=last - len(there | lost.keys()),
    )


def _once(rows: list[tuple[int, Event]]) -> list[Event]:
    """Return the events of rows, the first of those that go by one device and number."""
    found: dict[tuple[str, int], Event] = {}
    for _, event in rows:
        found.setdefault((event.device, event.seq), event)
    return list(found.values())


def _event(row: _Row) -> Event | None:
    _, key, device, seq, at, kind, body = row.columns
    try:
        named = [one.decode() for one in (key, device, at, kind, body) if isinstance(one, bytes)]
        header = {"id": named[0], "device": named[1], "seq": seq, "at": named[2]}
        event = read_event(header, named[4])
        read_whole(event)
        # A kind that nobody knows, and that its own column does not name, is a changed letter.
        if event.at.tzinfo is None or (
            isinstance(event.body, Unread) and event.body.found != named[3]
        ):
            return None
        return event.model_copy(update={"at": here(event.at)})
    except (ValueError, LookupError, RecursionError, OverflowError):
        return None


def _rows(data: bytes) -> Iterator[_Row]:
    """Yield every row of the table of events, by the head that SQLite writes before it [1].

    References:
        [1] SQLite, Database File Format, sections 1.6 and 2.1,
            https://www.sqlite.org/fileformat2.html
    """
    size = _page_size(data)
    for found in _UUID.finditer(data):
        for head in range(_COLUMNS + 1, _LARGEST_HEAD + 1):
            at = found.start() - head
            if at < 2 or data[at] != head or data[at + 1] != 0:
                continue
            types = _types(data[at + 1 : found.start()])
            widths = [_width(one) for one in types]
            if len(types) != _COLUMNS or types[1] != _ID or None in widths:
                continue
            total = head + sum(width for width in widths if width is not None)
            position = _position(data, at, total)
            if position is not None:
                payload = _payload(data, at, total, size)
                yield _Row(position, _columns(payload[head:], types))
                break


def _columns(content: bytes, types: list[int]) -> tuple[bytes | int | None, ...]:
    """Cut a row into its columns; one whose end was not found is left out."""
    columns: list[bytes | int | None] = []
    at = 0
    for one in types:
        width = _width(one) or 0
        part = content[at : at + width]
        at += width
        if len(part) < width:
            columns.append(None)
        elif one >= 13:
            columns.append(part)
        else:
            columns.append(_whole(one, part))
    return tuple(columns)


def _whole(one: int, part: bytes) -> int | None:
    return {0: None, 8: 0, 9: 1}[one] if not part else int.from_bytes(part, "big", signed=True)


def _width(one: int) -> int | None:
    """Return how many bytes a value takes by its type; None for one that no log has."""
    if one >= 13 and one % 2:
        return (one - 13) // 2
    return 0 if one in (0, 8, 9) else _WIDTHS.get(one)


def _types(head: bytes) -> list[int]:
    types, at = [], 0
    while at < len(head):
        value, width = _number(head, at)
        types.append(value)
        at += width
    return types


def _number(data: bytes, at: int) -> tuple[int, int]:
    """Read a number of one to nine bytes; return it with its width."""
    value = 0
    for width, byte in enumerate(data[at : at + 8], 1):
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, width
    return value << 8 | (data[at + 8] if at + 8 < len(data) else 0), _LONGEST_NUMBER


def _position(data: bytes, at: int, total: int) -> int | None:
    """Return the position before a row's head, where the length before it is the row's own."""
    for width in range(1, _LONGEST_NUMBER + 1):
        for wide in range(1, 6):
            start = at - width - wide
            if start < 0 or _number(data, start) != (total, wide):
                continue
            position, read = _number(data, at - width)
            if read == width and 0 < position <= len(data) // _SMALLEST_ROW:
                return position
    return None


def _payload(data: bytes, at: int, total: int, size: int) -> bytes:
    """Return a row, gathered from the pages on which it goes on."""
    most = size - 35
    if total <= most:
        return data[at : at + total]
    least = (size - 12) * 32 // 255 - 23
    local = least + (total - least) % (size - 4)
    local = local if local <= most else least
    parts, missing = [data[at : at + local]], total - local
    page = int.from_bytes(data[at + local : at + local + 4], "big")
    while missing > 0 and 0 < page <= len(data) // size:
        start = (page - 1) * size
        part = data[start + 4 : start + 4 + min(missing, size - 4)]
        page = int.from_bytes(data[start : start + 4], "big")
        missing -= len(part)
        parts.append(part)
    return b"".join(parts)


def _page_size(data: bytes) -> int:
    """Return the size of a page, the usual one where the head is spoilt."""
    size = int.from_bytes(data[16:18], "big")
    if size not in {2**power for power in range(9, 16)}:
        size = 65536 if size == 1 and len(data) % 65536 == 0 else _USUAL_PAGE
    if len(data) % size and len(data) % _USUAL_PAGE == 0:
        size = _USUAL_PAGE
    return size


def _last(data: bytes) -> int:
    """Return the last position that the log says it gave; 0 where it does not say."""
    most = len(data) // _SMALLEST_ROW
    said = [
        int.from_bytes(data[one.end() : one.end() + _WIDTHS[one[1][0]]], "big")
        for one in _LAST.finditer(data)
    ]
    return max((number for number in said if number <= most), default=0)


def filled_up(found: Salvaged, older: list[Event], name: str) -> Salvaged:
    """Take what an older copy of a log holds from there, and only the rest from the damaged one.

    A log only grows, so an older copy is its beginning. `name` is what to call it in a message.

    Raises:
        LogError: if it is not an older copy of this log.
    """
    known = {event.id for event in older}
    if found.events and not any(event.id in known for event in found.events):
        raise LogError(f"{name}: this is no older copy of the damaged log; nothing was written")
    return Salvaged(
        events=[*older, *(event for event in found.events if event.id not in known)],
        lost=[one for one in found.lost if one.position > len(older)],
        gone=max(0, found.rest + len(found.events) - len(older) - _rest_after(found, known, older)),
    )


def _rest_after(found: Salvaged, known: set[UUID], older: list[Event]) -> int:
    """Return how many rows after an older copy were found, read or not."""
    return sum(event.id not in known for event in found.events) + sum(
        one.position > len(older) for one in found.lost
    )


def with_ends(
    found: Salvaged, car: Car | None, now: datetime, ids: Callable[[], UUID]
) -> list[Event]:
    """Return the salvaged events, and what a log that is made of them begins and ends with.

    A damaged file cannot vouch for its numbers, so every count is asked for again; and what does
    not fit, because something before it is gone, is listed and not dropped, as in a merged log.

    Args:
        found: what was read.
        car: begins the log where no description of the car was read.
        now: when it is made.
        ids: gives each event its id.
    """
    events = found.events
    if found.state.car is None and car is not None:
        began = events[0].at if events else now
        bodies: list[Body] = [CarDescribed(car=car)]
        if not found.state.baselines:
            bodies.append(
                BaselineDeclared(baseline=ids().hex, name="Car file", settings=starts(car))
            )
        events = [*_numbered(bodies, began, ids), *events]
    whole = Salvaged(events, found.lost, found.gone)
    counts = {key: (count, count) for key, count in whole.state.settings.items()}
    why = (
        f"This log was damaged and is made anew of what could be read: {len(found.events)} events; "
        f"{found.rest} could not. Letters and numbers in it may be wrong: count every knob."
    )
    return [*events, *_closing(events, counts, why, now, ids)]


def _closing(
    events: list[Event],
    counts: dict[str, tuple[float, float]],
    why: str,
    now: datetime,
    ids: Callable[[], UUID],
) -> list[Event]:
    merges = [at for at, event in enumerate(events) if isinstance(event.body, LogsMerged)]
    chain = tuple(event.id for event in events[merges[-1] if merges else 0 :])
    return _numbered(
        [LogsMerged(ours=chain, theirs=(), counts=counts), NoteAdded(text=why)], now, ids
    )


def _numbered(bodies: list[Body], now: datetime, ids: Callable[[], UUID]) -> list[Event]:
    """Return events of a device that wrote nothing else."""
    device = f"salvaged~{ids().hex[:12]}"
    return [
        Event(id=ids(), device=device, seq=seq, at=here(now), body=body)
        for seq, body in enumerate(bodies, 1)
    ]


def put_in_place(path: Path, events: list[Event], ids: Callable[[], UUID]) -> Path:
    """Make a log of events where a damaged one lies, whole or not at all.

    Return where the damaged one is kept, byte for byte, what lay beside it still beside it.

    Raises:
        LogError: if the log cannot be made; the damaged one lies where it lay.
    """
    made = path.with_name(f".{path.name}.{ids().hex}.tmp")
    kept = free_name(path.parent, "log-damaged", ".sqlite3")
    with explained(str(path)):
        try:
            with Logbook.open(made, "salvage") as log:
                log.take_in(events, None, now=events[-1].at, ids=ids)
            if verified_ids(made) != [str(event.id) for event in events]:
                raise LogError(f"{path}: the log made of it came out different")
            write_atomically(kept, path.read_bytes())
            for end in ENDS:
                if (journal := beside(path, end)).exists():
                    journal.replace(beside(kept, end))
            sync_folder(path.parent)
            made.replace(path)
            sync_folder(path.parent)
        finally:
            made.unlink(missing_ok=True)
    return kept
