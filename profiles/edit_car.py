"""The tool's own edits of a car file: only the values move, the crew's comments and order stay."""

import re
from collections.abc import Iterator, Sequence
from copy import deepcopy
from itertools import pairwise
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from profiles.edit_lists import with_item, without_item
from profiles.files import CarFileError, bytes_of, keep_car, read_car, take_back
from profiles.formats import text_of_today
from profiles.paths import DataFolder
from rules.car.edits import Edit, Path, in_file
from rules.car.model import Car
from rules.car.values import TAKE_BACK
from rules.faults import Fault
from rules.formats import CAR_FORMAT
from rules.plain_data import PlainDataError, toml
from rules.units import System

Raw = dict[str, Any]
_BOM = "\ufeff"


def edit_car(folder: DataFolder, car_id: str, edits: Sequence[Edit]) -> Car:
    """Put values into the kept car file, all or none, with the file before beside it.

    The edit `TAKE_BACK` brings the file before in its place.

    Raises:
        CarFileError: with every fault of the file as it is, or as it would be; nothing is written.
        DataFolderError: if it cannot be written; the file before still stands.
    """
    if TAKE_BACK in edits:
        return take_back(folder, car_id)
    path = folder.car_file(car_id)
    data = bytes_of(path)
    car = read_car(data, path.name)
    text = text_of_today(data.decode("utf-8"), CAR_FORMAT)
    edited = edited_text(text, edits, car.units).encode()
    now = read_car(edited, path.name)
    if now.id != car.id:
        fault = Fault("id", now.id, f"{car.id}, which its log goes by")
        raise CarFileError(path.name, [fault])
    keep_car(folder, now.id, edited)
    return now


def edited_text(text: str, edits: Sequence[Edit], system: System) -> str:
    """Return a car file's text with these values in it, in the file's own units.

    Raises:
        CarFileError: if the file is laid out in a way that a value cannot be put into.
    """
    body = text.removeprefix(_BOM)
    for edit in edits:
        value = edit.value
        if isinstance(value, float | int) and not isinstance(value, bool):
            value = in_file(float(value), edit.quantity, system)
        body = _put(body, edit.path, list(value) if isinstance(value, tuple) else value)
        if all(isinstance(step, str) for step in edit.path) and len(edit.path) <= 2:
            body = _guessed(body, ".".join(map(str, edit.path)), edit.guess and value is not None)
    return text[: len(text) - len(text.removeprefix(_BOM))] + body


def _put(text: str, path: Path, value: Any) -> str:
    raw = toml(text, any_number=True)
    wanted = _with(raw, path, value)
    if wanted == raw:
        return text
    for tried in _tries(text, raw, path, value):
        try:
            if toml(tried, any_number=True) == wanted:
                return tried
        except PlainDataError:
            continue
    fault = Fault(".".join(map(str, path)), "a layout it cannot be put into", "a plain table")
    raise CarFileError("the car file", [fault])


def _with(raw: Raw, path: Path, value: Any) -> Raw:
    """Return what the file has to say afterwards."""
    wanted = deepcopy(raw)
    holder: Any = wanted
    for step, following in pairwise(path):
        if isinstance(holder, dict) and step not in holder:
            holder[str(step)] = [] if isinstance(following, int) else {}
        holder = holder[step]
    last = path[-1]
    if isinstance(holder, list) and last == len(holder):
        holder.append(value)
    elif isinstance(holder, list) and value is None:
        del holder[int(last)]
        return wanted if holder else _with(raw, path[:-1], None)
    elif value is None:
        holder.pop(last, None)
    else:
        holder[last] = value
    return wanted


def _tries(text: str, raw: Raw, path: Path, value: Any) -> Iterator[str]:
    """Yield texts that may say it, the one that looks best first."""
    if len(path) == 2 and isinstance(path[1], str) and value is not None:
        table, key = str(path[0]), path[1]
        if key not in raw.get(table, {}):
            yield from _by_line(text, table, key, tomlkit.item(value).as_string())
    if isinstance(path[-1], int):
        yield from without_item(text, path) if value is None else with_item(text, path, value)
    try:
        yield _by_kit(text, path, value)
    except (TOMLKitError, LookupError, TypeError, ValueError):
        return


def _by_line(text: str, table: str, key: str, value: str) -> Iterator[str]:
    """Yield the text with a new key: where it stood as a comment, or under its table's last key."""
    lines = text.splitlines(keepends=True)
    head = re.compile(rf"\s*\[\s*{re.escape(table)}\s*\]")
    start = next((at for at, line in enumerate(lines) if head.match(line)), None)
    if start is None:
        return
    ends = (at for at in range(start + 1, len(lines)) if lines[at].lstrip().startswith("["))
    section = range(start + 1, next(ends, len(lines)))
    commented = re.compile(rf"#\s*({re.escape(key)}\s*=)[ \t]*(?:\"\")?")
    for at in section:
        if found := commented.match(lines[at]):
            rest = lines[at][found.end() :]
            written = f"{found[1]} {value}"
            if rest.lstrip().startswith("#"):
                written = f"{written:<{len(lines[at]) - len(rest.lstrip()) - 1}} "
            if rest.strip() == "" or rest.lstrip().startswith("#"):
                changed = written + (rest.lstrip(" \t") if rest.strip() else rest)
                yield "".join([*lines[:at], changed, *lines[at + 1 :]])
    assigned = re.compile(r"\s*[A-Za-z0-9_-]+\s*=")
    last = max((at for at in section if assigned.match(lines[at])), default=start)
    end = "\r\n" if lines[last].endswith("\r\n") else "\n"
    kept = lines[last] if lines[last].endswith("\n") else lines[last] + end
    yield "".join([*lines[:last], kept, f"{key} = {value}{end}", *lines[last + 1 :]])


def _by_kit(text: str, path: Path, value: Any) -> str:
    document = tomlkit.parse(text)
    holder: Any = document
    for step, following in pairwise(path):
        if not isinstance(step, int) and step not in holder:
            holder[step] = tomlkit.aot() if isinstance(following, int) else tomlkit.table()
        holder = holder[step]
    last = path[-1]
    if isinstance(last, int) and last == len(holder):
        holder.append(value if isinstance(holder, Array) else _table(value))
    elif value is None:
        del holder[last]
    else:
        holder[last] = value
    return tomlkit.dumps(document)


def _table(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    table = tomlkit.table()
    for key, item in value.items():
        table.add(key, item)
    return table


def _guessed(text: str, key: str, guess: bool) -> str:
    """Return the text with a key among the guesses, or no more among them."""
    guesses = toml(text, any_number=True).get("guesses", [])
    if guess == (key in guesses):
        return text
    document = tomlkit.parse(text)
    if "guesses" not in document:
        return _put(text, ("guesses",), [key])
    named: Any = document["guesses"]
    if guess:
        named.append(key)
    else:
        named.remove(key)
    return tomlkit.dumps(document)
