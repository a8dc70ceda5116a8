"""A state as plain JSON and back: what a snapshot keeps. Nothing of it is ever run.

An object is told by its class and its fields; only dataclasses, models and parts of a file are made
again, each one of the rules. A car stands once in a table, because every pass holds the one it was
run with; an advice or a model that is held twice is told once.
"""

import json
import re
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from functools import cache, lru_cache
from hashlib import blake2b
from importlib import import_module
from math import isfinite
from sys import intern
from types import MappingProxyType
from typing import Any
from uuid import UUID

from rules.car.model import Car
from rules.part import FilePart

FAULTS = (
    OSError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    RecursionError,
    zlib.error,
)
"""Whatever reading a kept text may raise that was not written whole by this program."""
ROOM = "rules."
_MODULE = re.compile(r"rules(?:\.[a-z_]+)+")
TAG = "!"
STORED = "stored"
"""The field of what keeps plain data as it was stored."""


class StateTextError(ValueError):
    """This is no text of a state that this program wrote."""


def to_text(value: Any) -> bytes:
    """Return a value as JSON, with a table of its cars.

    Raises:
        TypeError: it is of a kind that a state does not hold.
    """
    writer = _Writer()
    plain = writer.plain(value)
    return _json([list(writer.cars.values()), plain]).encode()


def from_text(text: bytes) -> Any:
    """Return the value of a text.

    Raises:
        ValueError, LookupError, TypeError, AttributeError: no program of this version wrote it.
    """
    cars, plain = json.loads(text)
    return _Reader(cars).value(plain)


def digest(data: bytes) -> str:
    """Return what a kept text is known by, in hexadecimal digits."""
    return blake2b(data, digest_size=32).hexdigest()


class StoredText(Mapping[str, Any]):
    """What was stored as plain data, as the text it is until it is asked: that takes a quarter."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __getitem__(self, key: str) -> Any:
        return self._plain()[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._plain())

    def __len__(self) -> int:
        return len(self._plain())

    def _plain(self) -> dict[str, Any]:
        plain: dict[str, Any] = json.loads(self.text)
        return plain


class _Writer:
    def __init__(self) -> None:
        self.cars: dict[int, str] = {}
        self._written: dict[int, int] = {}
        self._held: list[Any] = []  # So that no other comes to have the id of one.

    def plain(self, value: Any) -> Any:
        """Return a value as plain data.

        Raises:
            TypeError: it is of a kind that a state does not hold.
        """
        match value:
            case None | bool() | int() | str():
                return value
            case float():
                return value if isfinite(value) else {TAG: ["number", repr(value)]}
            case tuple():
                return [self.plain(one) for one in value]
            case list():
                return {TAG: ["json", value]}
            case bytes():
                return {TAG: ["bytes", value.hex()]}
            case frozenset() | set():
                # In the order of their texts, because a set's own is another in each process.
                return {TAG: ["set", *map(self.plain, sorted(value, key=to_text))]}
            case datetime():
                return {TAG: ["at", value.isoformat()]}
            case date():
                return {TAG: ["day", value.isoformat()]}
            case UUID():
                return {TAG: ["id", value.hex]}
            case Mapping():
                return self._mapping(value)
            case Car():
                return {TAG: ["car", self._car(value)]}
            case _:
                return self._object(value)

    def _mapping(self, value: Mapping[Any, Any]) -> Any:
        keys = all(isinstance(key, str) and key != TAG for key in value)
        if keys and all(map(_is_simple, value.values())):
            return dict(value)
        return {TAG: ["map", *([self.plain(k), self.plain(v)] for k, v in value.items())]}

    def _car(self, car: Car) -> int:
        if id(car) not in self.cars:
            self._held.append(car)
            self.cars[id(car)] = _json(_Writer()._object(car))
        return list(self.cars).index(id(car))

    def _object(self, value: Any) -> Any:
        kind = type(value)
        name = f"{kind.__module__}:{kind.__qualname__}"
        if not kind.__module__.startswith(ROOM):
            raise TypeError(f"a state holds no {name}")
        if isinstance(value, FilePart):
            return {TAG: [name, {key: self.plain(one) for key, one in value.told().items()}]}
        if is_dataclass(value) and not _holds_text(kind):
            return {TAG: [name, *(self.plain(getattr(value, one.name)) for one in fields(value))]}
        if not is_dataclass(kind) and not _is_model(kind):
            raise TypeError(f"a state holds no {name}")
        if (number := self._written.get(id(value))) is not None:
            return {TAG: ["same", number]}
        told = {key: self._field(key, value.__dict__[key]) for key in _told_fields(value)}
        self._written[id(value)] = len(self._written)
        self._held.append(value)
        return {TAG: [name, told]}

    def _field(self, key: str, value: Any) -> Any:
        # What was stored as plain data stays as it is, whatever lies in it.
        if key != STORED:
            return self.plain(value)
        return {TAG: ["stored", value.text if isinstance(value, StoredText) else _json(value)]}


class _Reader:
    def __init__(self, cars: list[str]) -> None:
        self._cars = cars
        self._read: list[Any] = []
        self._plain: dict[tuple[Any, ...], dict[str, Any]] = {}
        self._told: dict[tuple[str, ...], set[str]] = {}

    def value(self, plain: Any) -> Any:
        """Return the value of plain data.

        Raises:
            StateTextError: no writer made this.
        """
        if isinstance(plain, list):
            return tuple([self.value(one) for one in plain])
        if isinstance(plain, str):
            return intern(plain)
        if not isinstance(plain, dict):
            return plain
        if TAG not in plain:
            return self._held_once(plain)
        kind, *said = plain[TAG]
        match kind:
            case "number":
                return float(said[0])
            case "json":
                return said[0]
            case "bytes":
                return bytes.fromhex(said[0])
            case "stored":
                return StoredText(said[0])
            case "set":
                return frozenset(map(self.value, said))
            case "at":
                return datetime.fromisoformat(said[0])
            case "day":
                return date.fromisoformat(said[0])
            case "id":
                return UUID(hex=said[0])
            case "map":
                return {self.value(key): self.value(one) for key, one in said}
            case "same":
                return self._read[said[0]]
            case "car":
                return _car(self._cars[said[0]])
            case _:
                return self._object(kind, said)

    def _held_once(self, plain: dict[str, Any]) -> dict[str, Any]:
        """Return the same for what says the same: most passes run with the settings before."""
        says = (*plain.items(), *map(type, plain.values()))
        return self._plain.setdefault(says, plain)

    def _object(self, name: str, said: list[Any]) -> Any:
        kind = _class(name)
        if is_dataclass(kind) and not _holds_text(kind):
            return kind(*map(self.value, said))
        told = {key: self.value(one) for key, one in said[0].items()}
        if issubclass(kind, FilePart):
            return kind(**told)
        if is_dataclass(kind):
            made: Any = kind(**told)
        else:
            # One set for all that tell the same, which a model copies before it changes it.
            names = self._told.setdefault(tuple(told), set(told))
            made = _constructed(kind, told, names)
        self._read.append(made)
        return made


# Every pass of a season holds the same car: it is made once.
@lru_cache(maxsize=32)
def _car(text: str) -> Car:
    car = _Reader([]).value(json.loads(text))
    if not isinstance(car, Car):
        raise StateTextError("found no car where one was wanted")
    return car


def _json(plain: Any) -> str:
    return json.dumps(plain, separators=(",", ":"))


def _is_simple(value: Any) -> bool:
    return (
        value is None
        or type(value) in (str, int, bool)
        or (type(value) is float and isfinite(value))
    )


def _constructed(kind: Any, told: dict[str, Any], names: set[str]) -> Any:
    """Make a model of values that were checked when it was made first."""
    made = kind.__new__(kind)
    values = {**_defaults(kind), **told}
    object.__setattr__(made, "__dict__", values)
    object.__setattr__(made, "__pydantic_fields_set__", names)
    object.__setattr__(made, "__pydantic_extra__", None)
    object.__setattr__(made, "__pydantic_private__", None)
    return made


@cache
def _defaults(kind: Any) -> Mapping[str, Any]:
    known = kind.model_fields.items()
    told = {key: one.get_default(call_default_factory=True) for key, one in known}
    return MappingProxyType(told)


def _told_fields(value: Any) -> list[str]:
    """Return which fields are told, in the order of the class: of a model those that were given."""
    kind: Any = type(value)
    if is_dataclass(kind):
        return [one.name for one in fields(kind)]
    return [key for key in _defaults(kind) if key in value.model_fields_set]


def _holds_text(kind: Any) -> bool:
    """Tell whether a dataclass keeps what was stored, which is told once."""
    return STORED in kind.__dataclass_fields__


def _is_model(kind: type) -> bool:
    from pydantic import BaseModel

    return issubclass(kind, BaseModel)


@cache
def _class(name: str) -> type[Any]:
    module, _, path = name.partition(":")
    try:
        found: Any = import_module(module) if _MODULE.fullmatch(module) else None
    except ImportError:
        found = None
    for part in path.split("."):
        found = getattr(found, part, None)
    is_ours = isinstance(found, type) and found.__module__ == module
    if not is_ours or not (issubclass(found, FilePart) or is_dataclass(found) or _is_model(found)):
        raise StateTextError(f"found a value of the kind {name[:80]!r}; wanted one of the rules")
    return found  # type: ignore[no-any-return]
