"""Every single value of the car file: where it stands, what it takes, how it is told."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Literal, get_args, get_origin

from rules.car.body import CarPart
from rules.car.edits import Edit, Path, edited_car
from rules.car.fact import quantity_of
from rules.car.model import TABLES, Car
from rules.car.usual import TYPICAL
from rules.part import Field
from rules.typed import Wanted, written
from rules.units import Quantity, System

_Words = tuple[str, ...]
Kind = Literal["number", "whole", "text", "choice", "yes or no", "list"]
_FIXED = frozenset({"format", "id", "units", "invented", "guesses", "corner"})
TAKE_BACK = Edit(("the file before",), "as it was before", "The whole file")
"""The edit that puts the car file before the last edit in place of the one now."""
_NAMES = {"dampers": "Damper", "levers": "Lever", "stock": "In stock"}


@dataclass(frozen=True)
class Value:
    """One value of the file.

    path: in the file.  table, name: in words.  now: SI, None where the file does not say it.
    """

    path: Path
    table: str
    name: str
    now: Any
    quantity: Quantity | None
    kind: Kind
    choices: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The value's own key, as "geometry.cg_height"."""
        return ".".join(map(str, self.path))

    def shown(self, system: System) -> str:
        """Write the value as it stands, in the crew's units."""
        return value_words(self.now, self.quantity, system)


def value_words(value: Any, quantity: Quantity | None, system: System) -> str:
    """Write a value in the crew's units, to six figures: as fine as a file says it."""
    if value is None:
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return written(float(value), Wanted("", quantity), system)
    if isinstance(value, tuple | list):
        return ", ".join(map(str, value)) or "none"
    return str(value)


@lru_cache(maxsize=32)
def car_values(car: Car) -> tuple[Value, ...]:
    """Return every value, and every list of names, in the order of the file."""
    return tuple(_values_of(car))


def _values_of(car: Car) -> Iterator[Value]:
    yield from _of(car, (), "Car")
    for name in TABLES:
        yield from _of(getattr(car, name), (name,), name.capitalize())
    for at, damper in enumerate(car.dampers):
        yield from _of(damper, ("dampers", at), f"{damper.corner.capitalize()} damper")
        for number, knob in enumerate(damper.knobs):
            table = f"{damper.corner.capitalize()} {knob.id}"
            yield from _of(knob, ("dampers", at, "knobs", number), table)
    for name in ("levers", "stock"):
        for at, one in enumerate(getattr(car, name)):
            called = getattr(one, "id", None) or one.name
            yield from _of(one, (name, at), f"{_NAMES[name]}: {called}")


def _of(part: CarPart, path: Path, table: str) -> Iterator[Value]:
    for attribute, field in part.fields.items():
        (kind, choices), key = _kind(field), field.key
        if attribute in _FIXED or kind is None:
            continue
        words = ".".join(str(step) for step in (*path, key))
        name = TYPICAL[words].name if words in TYPICAL else key.replace("_", " ")
        now, quantity = getattr(part, attribute), _quantity(field)
        yield Value((*path, key), table, name, now, quantity, kind, choices)


_quantity = cache(quantity_of)


@cache
def _kind(field: Field) -> tuple[Kind | None, _Words]:
    """Return what a value is, None for what is no single value nor a list of names."""
    if get_origin(field.kind) is tuple:
        return ("list", ()) if _is_text(get_args(field.kind)[0]) else (None, ())
    kinds = [one for one in (field.kind, *get_args(field.kind)) if one is not None]
    for one in kinds:
        if get_origin(one) is Literal:
            return "choice", tuple(map(str, get_args(one)))
    if get_origin(field.kind) is Literal:
        return "choice", tuple(map(str, get_args(field.kind)))
    if bool in kinds:
        return "yes or no", ()
    if int in kinds:
        return "whole", ()
    if float in kinds or any(get_args(one)[:1] == (float,) for one in kinds):
        return ("text", ()) if str in kinds else ("number", ())
    return ("text", ()) if any(_is_text(one) for one in kinds) else (None, ())


def _is_text(kind: Any) -> bool:
    return kind is str or get_args(kind)[:1] == (str,)


def changes(car: Car, edits: Iterable[Edit]) -> list[tuple[Edit, str, str]]:
    """Return the edits that say something new, with the value before and after in words.

    Each is held against the car as the edits before it leave it.
    """
    found = []
    for edit in edits:
        value = next((one for one in car_values(car) if one.path == edit.path), None)
        was, now = _told(edit, value, car)
        if was != now:
            found.append((edit, was, now))
        car = edited_car(car, [edit])
    return found


def _told(edit: Edit, value: Value | None, car: Car) -> tuple[str, str]:
    """Say what an edit finds, and what it leaves; a guess is told from the same number measured."""
    if edit == TAKE_BACK:
        return "as it is now", str(edit.value)
    if isinstance(edit.path[-1], int) and edit.value is None:
        return "in the file", "taken out"
    if isinstance(edit.value, dict):
        return "not there", "new"
    was = value_words(value.now if value else None, edit.quantity, car.units)
    now = value_words(edit.value, edit.quantity, car.units)
    guessed = value is not None and value.key in car.guesses
    return was + ", a guess" * guessed, now + ", a guess" * edit.guess


def differences(before: Car, after: Car) -> list[str]:
    """Return what two descriptions of a car say differently: where, before and after."""
    said = [
        {(value.table, value.name): value for value in car_values(car)} for car in (before, after)
    ]
    rows = []
    for key in dict.fromkeys((*said[0], *said[1])):
        was, now = (one[key].shown(after.units) if key in one else "not there" for one in said)
        if was != now:
            rows.append(f"{key[0]}, {key[1]}: {was} -> {now}")
    for name, one in (("Units", "units"), ("Guesses", "guesses"), ("Invented", "invented")):
        was, now = (value_words(getattr(car, one), None, after.units) for car in (before, after))
        if was != now:
            rows.append(f"{name}: {was} -> {now}")
    if not rows and before != after:
        rows.append("A curve or a link")
    return rows
