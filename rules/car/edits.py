"""A car as edits of its file would leave it, and what would be wrong with it then."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from rules.car.adjusters import adjusters
from rules.car.checks import Fault, cross_faults
from rules.car.model import Car
from rules.typed import Wanted, written
from rules.units import Quantity, System, from_si

Path = tuple[str | int, ...]


Plain = str | float | bool | list[str] | dict[str, object]


@dataclass(frozen=True)
class Edit:
    """A value for the car file: where it stands, in SI where it has a quantity.

    value: None takes the key out.  label: what it is, in words.  guess: it goes among the guesses.
    """

    path: Path
    value: Plain | None
    label: str
    quantity: Quantity | None = None
    guess: bool = False


_REFUSED = (LookupError, TypeError, ValueError)
_NAMED = {"id": "car", "name": "car"}


def edited_car(car: Car, edits: Iterable[Edit]) -> Car:
    """Return the car after the edits; one that no car can have is left out.

    Values are in SI, a new table's are plain numbers.
    """
    for edit in edits:
        try:
            car = _edited(car, edit)
        except _REFUSED:
            continue
    return car


def set_faults(car: Car, edits: Iterable[Edit]) -> list[Fault]:
    """Return everything wrong with the car after all of the edits.

    Values that no car can have are told first; what lies between values, once there are none.
    """
    single = []
    for edit in edits:
        try:
            car = _edited(car, edit)
        except _REFUSED as error:
            single.append(_single(car, edit, error))
    return single or cross_faults(car)


def _edited(car: Car, edit: Edit) -> Car:
    raw = car.model_dump(by_alias=True)
    _put(raw, edit)
    edited = Car.parse(raw)
    adjusters(edited)
    return edited


def _single(car: Car, edit: Edit, error: Exception) -> Fault:
    """Say what an edit's value should have been, in the crew's units where it stands in a table."""
    value = edit.value
    if not isinstance(error, ValidationError) or not isinstance(value, float):
        return Fault(edit.label, str(value), "a value that the file has a place for")
    found = written(value, Wanted(edit.label, edit.quantity), car.units)
    table, *rest = edit.path
    if edit.quantity is not None and len(rest) == 1:
        alone = {str(table): {str(rest[0]): from_si(value, edit.quantity, car.units)}}
        try:
            Car.parse(_NAMED | {"units": car.units} | alone, car.units)
        except ValidationError as in_units:
            error = in_units
    wanted = error.errors(include_url=False)[0]["msg"].removeprefix("Value error, ")
    return Fault(edit.label, found, wanted.removeprefix("Input should be ").removeprefix("wanted "))


def _put(raw: dict[str, Any], edit: Edit) -> None:
    holder: Any = raw
    for step, following in pairwise(edit.path):
        if isinstance(holder[step], tuple):
            holder[step] = list(holder[step])
        if holder[step] is None:
            holder[step] = [] if isinstance(following, int) else {}
        holder = holder[step]
    last, value = edit.path[-1], edit.value
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(holder, list) and last == len(holder):
        holder.append(value)
    elif isinstance(holder, list) and value is None:
        del holder[int(last)]
    elif value is None:
        holder.pop(last)
    else:
        holder[last] = value
    named = ".".join(map(str, edit.path))
    guesses = [one for one in raw["guesses"] if one != named]
    raw["guesses"] = [*guesses, named] if edit.guess and value is not None else guesses


def in_file(value: float, quantity: Quantity | None, system: System) -> int | float:
    """Return an SI value as a file in these units writes it, to six figures."""
    number = from_si(value, quantity, system) if quantity else value
    rounded = float(f"{number:.6g}")
    return int(rounded) if rounded.is_integer() else rounded
