"""A log as files for others: tables as CSV, everything as JSON, and the JSON read again."""

import csv
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from io import StringIO
from math import inf, isfinite, nan
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from profiles.durable import make_folder, write_atomically
from profiles.paths import SIMULATED
from profiles.reading import MOST_JSON_BYTES, FileFaultError, read_bytes, text_of
from profiles.tables import SIMULATED_COLUMN
from rules import __version__
from rules.book import Book
from rules.formats import EXPORT_FORMAT, FormatError, brought_up
from rules.harmless import harmless
from rules.log.events.event import Event
from rules.log.log_format import LARGEST_SEQ, fields_of, read_event, read_whole
from rules.log.merge import state_of
from rules.log.state import State
from rules.paper.import_rows import neutral
from rules.paper.tables import Cell, Table, by_column, changes_table, passes_table
from rules.paper.verdict_table import verdicts_table
from rules.plain_data import PlainDataError, json_data

PROGRAM = "setdown"
# RFC 8259, section 6, permits no infinity and no NaN: such a number stands as an object instead.
NO_NUMBER = "no JSON number"
NO_NUMBERS = {"Infinity": inf, "-Infinity": -inf, "NaN": nan}


class ExportError(OSError):
    """An export cannot be written or read; the message names the file and says why."""


def csv_files(state: State, book: Book) -> dict[str, bytes]:
    """Return the tables of a log as CSV files by name; no cell is one a spreadsheet would run."""
    tables = {
        "passes.csv": passes_table(state),
        "changes.csv": changes_table(state),
        "verdicts.csv": verdicts_table(state, book),
    }
    if state.car is not None and state.car.id.startswith(SIMULATED):
        tables = {name: _simulated(table) for name, table in tables.items()}
    return {name: _csv(table).encode("utf-8-sig") for name, table in tables.items()}


def _simulated(table: Table) -> Table:
    """Say of every row that no such pass was run, so that none is taken in as one."""
    header = (SIMULATED_COLUMN, *table.header)
    return Table(header, tuple(("yes", *row) for row in table.rows))


def _csv(table: Table) -> str:
    text = StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(table.header)
    writer.writerows([_cell(cell) for cell in row] for row in table.rows)
    return text.getvalue()


def _cell(cell: Cell) -> Cell:
    return neutral(harmless(cell)) if isinstance(cell, str) else cell


def as_json(events: Sequence[Event], book: Book) -> bytes:
    """Return a whole log as JSON: every event, and beside them what they add up to, for readers."""
    return b"".join(json_pieces(events, state_of(events), book))


def json_pieces(events: Iterable[Event], state: State, book: Book) -> Iterator[bytes]:
    """Yield what `as_json` returns piece by piece, an event or a row at a time.

    state: what the events add up to.
    """
    head = {
        "program": PROGRAM,
        EXPORT_FORMAT.key: EXPORT_FORMAT.number,
        "version": __version__,
        "car": state.car.id if state.car else None,
    }
    yield _json(head).removesuffix("\n}").encode()
    yield from _listed("events", map(_fields, events), 1)
    yield b',\n "derived": {'
    yield from _listed("passes", by_column(passes_table(state)), 2, first=True)
    yield from _listed("changes", by_column(changes_table(state)), 2)
    yield from _listed("verdicts", by_column(verdicts_table(state, book)), 2)
    yield b"\n }\n}\n"


def _fields(event: Event) -> dict[str, Any]:
    return {**event.model_dump(mode="json", exclude={"body"}), "body": fields_of(event)}


def _listed(name: str, items: Iterable[Any], deep: int, first: bool = False) -> Iterator[bytes]:
    """Yield a list under its name as it stands so deep in an object, after what is there before."""
    margin, is_empty = "\n" + deep * " ", True
    yield f"{'' if first else ','}{margin}{json.dumps(name)}: [".encode()
    for item in items:
        # No text in JSON holds the end of a line, so that the lines of an item can be moved in.
        text = f"\n{_json(item)}".replace("\n", f"{margin} ")
        yield f"{'' if is_empty else ','}{text}".encode()
        is_empty = False
    yield b"]" if is_empty else f"{margin}]".encode()


def _json(value: Any) -> str:
    return json.dumps(_strict(value), indent=1, allow_nan=False)


def _strict(value: Any) -> Any:
    """Return a value in which every number is one that JSON has; `_number` gives it back."""
    match value:
        case dict():
            return {key: _strict(one) for key, one in value.items()}
        case list() | tuple():
            return [_strict(one) for one in value]
        case float() if not isfinite(value):
            named = "NaN" if value != value else "Infinity" if value > 0 else "-Infinity"
            return {NO_NUMBER: named}
    return value


def _number(raw: dict[str, Any]) -> Any:
    named = raw.get(NO_NUMBER)
    if len(raw) == 1 and isinstance(named, str) and named in NO_NUMBERS:
        return NO_NUMBERS[named]
    return raw


def read_export(path: Path) -> list[Event]:
    """Read the events of a JSON export.

    Raises:
        ExportError: if it cannot be read, is none, of a newer version, or damaged.
    """
    try:
        return read_json(read_bytes(path, MOST_JSON_BYTES), str(path))
    except FileFaultError as error:
        raise ExportError(f"{path}: {error.fault}") from None


def read_json(data: bytes, name: str) -> list[Event]:
    """Read the events of a JSON export; `name` is what to call it in a message.

    Raises:
        ExportError: if it is none, of a newer version, or any event of it is damaged.
    """
    try:
        whole = json_data(text_of(data), _number)
    except FileFaultError as error:
        raise ExportError(f"{name}: not JSON ({error.fault})") from None
    except PlainDataError as error:
        raise ExportError(f"{name}: {error.fault}") from None
    if not isinstance(whole, dict) or whole.get("program") != PROGRAM:
        raise ExportError(f"{name}: found no export of Setdown; wanted one, with all its events")
    try:
        brought_up(whole, EXPORT_FORMAT)
    except FormatError as error:
        raise ExportError(f"{name}: {error}") from None
    raw = whole.get("events")
    if not isinstance(raw, list):
        raise ExportError(f"{name}: events: found none; wanted the list of them")
    events = [_event(one, number, name) for number, one in enumerate(raw, 1)]
    if len({event.id for event in events}) < len(events):
        raise ExportError(f"{name}: events: found one id twice; wanted each event once")
    return events


def _event(raw: Any, number: int, name: str) -> Event:
    body = raw.get("body") if isinstance(raw, dict) else None
    if not isinstance(body, dict):
        raise ExportError(f"{name}: event {number}: body: found none; wanted its fields")
    try:
        event = read_event({key: raw[key] for key in raw if key != "body"}, json.dumps(body))
        read_whole(event)
    except (ValueError, RecursionError) as error:
        where, why = "body", str(error)
        if isinstance(error, ValidationError):
            first = error.errors()[0]
            place = first["loc"] if error.title == Event.__name__ else ("body", *first["loc"])
            where, why = ".".join(map(str, place)), first["msg"]
        raise ExportError(f"{name}: event {number}: {where}: {why}"[:300]) from None
    if event.at.tzinfo is None:
        raise ExportError(f"{name}: event {number}: at: found no time zone; wanted one")
    if event.seq > LARGEST_SEQ:
        wanted = f"at most {LARGEST_SEQ}"
        raise ExportError(f"{name}: event {number}: seq: found {event.seq}; wanted {wanted}")
    return event


def write_files(files: Mapping[Path, bytes | Iterable[bytes]], *, force: bool) -> None:
    """Write files, each whole or not at all; an existing one only where `force` is set.

    files: what stands in each, whole or piece by piece as it is made.

    Raises:
        ExportError: if one exists, before any is written; or it cannot be written.
    """
    there = [path for path in files if path.exists()]
    if there and not force:
        raise ExportError(f"{there[0]}: is there already; nothing was written (--force replaces)")
    for path, data in files.items():
        try:
            make_folder(path.absolute().parent)
            write_atomically(path, data)
        except OSError as error:
            raise ExportError(f"{path}: cannot be written ({error.strerror or error})") from None
