"""A car as edits of its file would leave it, and what would be wrong with it then."""

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from rules.car import Car
from rules.car_checks import Fault, cross_faults
from rules.shop.sheet import Edit


def edited_car(car: Car, edits: Iterable[Edit]) -> Car:
    """Return the car after the edits; one that no car can have is left out.

    Values are in SI, a new table's are plain numbers.
    """
    for edit in edits:
        car = _edited(car, edit) or car
    return car


def set_faults(car: Car, edits: Iterable[Edit]) -> list[Fault]:
    """Return what would be wrong between the values of the car after all of the edits.

    Empty where a single value is one that no car can have: the file's own check names that.
    """
    for edit in edits:
        after = _edited(car, edit)
        if after is None:
            return []
        car = after
    return cross_faults(car)


def _edited(car: Car, edit: Edit) -> Car | None:
    raw = car.model_dump(by_alias=True)
    try:
        _put(raw, edit)
        return Car.parse(raw)
    except (LookupError, TypeError, ValidationError):
        return None


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
