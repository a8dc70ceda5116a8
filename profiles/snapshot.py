"""Where the log of a car stood, kept beside it, so that opening it does not read it from its start.

Only the log counts. A snapshot is thrown away on any doubt: of itself (its own digest), of the log
(its number, its first event and the last one folded), of the program that folds (its sources, its
clock's zone). Passes long past are read from it when they are wanted.
"""

import json
import sqlite3
import zlib
from contextlib import suppress
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from profiles.durable import write_atomically
from profiles.program import program
from profiles.reading import read_bytes
from profiles.state_text import FAULTS, digest, from_text, to_text
from rules.growing_sequence import LENGTH, GrowingSequence, Part
from rules.log.state import State
from rules.register import Register

FORMAT = "setdown fold 1"
MOST_BYTES = 200_000_000
WORTH_IT = 500
"""Events; so few are folded as fast as they are read from here."""
_SHARING = tuple(
    name for name, value in vars(State()).items() if isinstance(value, GrowingSequence)
)


class Snapshot(NamedTuple):
    """A state, the place of the last event in it, and whether its log took in another."""

    state: State
    position: int
    is_merged: bool


class _Kept(NamedTuple):
    """A part as it lies in a snapshot: its text, and the ids of its items where they have any."""

    text: bytes
    ids: tuple[str, ...]


def snapshot_file(log: Path) -> Path:
    """Return where the snapshot of a log lies; hidden, so that no backup takes it along."""
    return log.with_name(f".{log.name}.fold")


def load(path: Path, log: sqlite3.Connection) -> Snapshot | None:
    """Return the snapshot of a log; None where there is none, or any doubt of it."""
    try:
        return _read(read_bytes(path, MOST_BYTES), log)
    except (*FAULTS, sqlite3.Error):
        return None


def save(path: Path, log: sqlite3.Connection, snapshot: Snapshot) -> None:
    """Keep a snapshot, whole or not at all; a disk that takes nothing keeps none."""
    with suppress(OSError, sqlite3.Error):
        # A power cut may leave it half written, which its digest finds out.
        write_atomically(path, _text(log, snapshot), to_disk=False)


def _text(log: sqlite3.Connection, snapshot: Snapshot) -> bytes:
    parts = {name: _cold(getattr(snapshot.state, name)).parts for name in _SHARING}
    head = {
        "log": _as_of(log, snapshot.position),
        "position": snapshot.position,
        "merged": snapshot.is_merged,
        "parts": {name: [_listed(part) for part in ones] for name, ones in parts.items()},
        "state": to_text(_without_parts(snapshot.state)).decode(),
    }
    packed = zlib.compress(json.dumps(head).encode(), 1)
    texts = [_kept(part).text for ones in parts.values() for part in ones]
    data = b"".join([len(packed).to_bytes(8, "big"), packed, *texts])
    return b"\n".join([_stamp(), digest(data).encode(), data])


def cooled(state: State) -> State:
    """Return a state whose whole parts lie as text until they are wanted."""
    cold: dict[str, Any] = {name: _cold(getattr(state, name)) for name in _SHARING}
    return replace(state, **cold)


def _read(data: bytes, log: sqlite3.Connection) -> Snapshot | None:
    stamp, known, data = data.split(b"\n", 2)
    if stamp != _stamp() or known != digest(data).encode():
        return None
    at = 8 + int.from_bytes(data[:8], "big")
    head = json.loads(zlib.decompress(data[8:at]))
    if head["log"] != _as_of(log, head["position"]):
        return None
    told = from_text(head["state"].encode())
    for name in _SHARING:
        parts = []
        for length, ids, answers in head["parts"][name]:
            parts.append(_part(data[at : at + length], tuple(ids), answers))
            at += length
        told[name] = _sequence(type(getattr(State(), name)), parts, told[name])
    return Snapshot(State(**told), head["position"], head["merged"])


def answers(state: State) -> int:
    """Return how much is known of the whole parts of a state without reading them."""
    return sum(len(part.told) for name in _SHARING for part in getattr(state, name).parts)


def _sequence(
    kind: type[GrowingSequence[Any]], parts: list[Part[Any]], tail: tuple[Any, ...]
) -> GrowingSequence[Any]:
    if issubclass(kind, Register):
        ids = [key for part in parts for key in _kept(part).ids]
        return kind.named(parts, tail, (*ids, *(one.id for one in tail)))
    return kind.of_parts(parts, tail)


def _without_parts(state: State) -> dict[str, Any]:
    """Return the fields of a state, of what is shared only what fills no whole part."""
    told = {one.name: getattr(state, one.name) for one in fields(state)}
    return {**told, **{name: told[name].tail for name in _SHARING}}


def _cold(whole: GrowingSequence[Any]) -> GrowingSequence[Any]:
    return whole.with_parts(map(_unread, whole.parts))


def _unread(part: Part[Any]) -> Part[Any]:
    if not isinstance(part.kept, _Kept):
        return _put(part)
    return Part(read=partial(_items, part.kept.text), told=part.told, kept=part.kept)


def _put(part: Part[Any]) -> Part[Any]:
    ids = tuple(getattr(one, "id", "") for one in part.items)
    return _part(zlib.compress(to_text(part.items), 1), ids, part.told)


def _part(text: bytes, ids: tuple[str, ...], told: dict[str, Any]) -> Part[Any]:
    answers = {key: tuple(one) if isinstance(one, list) else one for key, one in told.items()}
    return Part(read=partial(_items, text), told=answers, kept=_Kept(text, ids))


def _items(text: bytes) -> tuple[Any, ...]:
    items = from_text(zlib.decompress(text))
    if not isinstance(items, tuple) or len(items) != LENGTH:
        raise ValueError("found no whole part of a snapshot; wanted one")
    return items


def _kept(part: Part[Any]) -> _Kept:
    if not isinstance(part.kept, _Kept):
        raise TypeError("found a part that is not kept; wanted one that is")
    return part.kept


def _listed(part: Part[Any]) -> list[Any]:
    kept = _kept(part)
    return [len(kept.text), kept.ids, part.told]


def _stamp() -> bytes:
    return f"{FORMAT} {program()}".encode()


def _as_of(log: sqlite3.Connection, position: int) -> str:
    """Return what a log is known by up to an event: its number, its first event and that one."""
    number = log.execute("PRAGMA schema_version").fetchone()
    query = (
        "SELECT position, id, device, seq, at, body FROM events "
        "WHERE position IN ((SELECT min(position) FROM events), ?) ORDER BY position"
    )
    rows = log.execute(query, (position,)).fetchall()
    return digest(repr([number, *rows]).encode())
