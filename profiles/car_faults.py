"""What is wrong with single fields of a car file, in plain words."""

import difflib
import unicodedata
from collections.abc import Iterable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from rules.car.body import CarPart
from rules.car.checks import Fault
from rules.car.model import Car
from rules.part import Field
from rules.units import System

Raw = dict[str, Any]
Loc = tuple[str | int, ...]

_REORDERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_LARGEST = 1e300


@dataclass(frozen=True)
class FaultyPlaces:
    """The single-field faults of a file, and every place that cannot be used as it stands.

    `system` is the file's own, or the likelier one where the file names none.
    """

    system: System
    faults: list[Fault]
    spoilt: frozenset[Loc]


def strict_car(raw: Raw, system: System) -> Car:
    """Read a car and take no text for a number, nor a number for true or false.

    Raises:
        pydantic.ValidationError: with every fault of every single field.
    """
    return Car.model_validate(_frozen(raw), strict=True, context={"units": system})


def read_fields(raw: Raw) -> FaultyPlaces:
    """Return what is wrong with the single fields of a parsed file.

    Raises:
        RecursionError: if it is nested too deep to be looked through.
    """
    units = raw.get("units")
    if units in ("us", "metric"):
        faults = _faults(raw, units)
        return FaultyPlaces(units, list(faults.values()), frozenset(faults))
    us, metric = _faults(raw, "us"), _faults(raw, "metric")
    certain = [_either(us[loc], metric[loc]) for loc in us if loc in metric]
    system: System = "us" if len(us) <= len(metric) else "metric"
    return FaultyPlaces(system, certain, frozenset(us if system == "us" else metric))


def _either(us: Fault, metric: Fault) -> Fault:
    if us == metric:
        return us
    return us._replace(wanted=f"{us.wanted} or {metric.wanted}")


def _faults(raw: Raw, system: System) -> dict[Loc, Fault]:
    """Return the faults by place.

    A missing key is tried again as None, so that its fault says what belongs there; a list that
    is too long is tried again cut, because pydantic looks no further into it.
    """
    tried = deepcopy(raw)
    errors = _errors(tried, system)
    too_long = [error for error in errors if error["type"] == "too_long"]
    for error in errors:
        if error["type"] == "missing":
            at(tried, error["loc"][:-1])[error["loc"][-1]] = None
    for error in too_long:
        found = at(tried, error["loc"])
        if isinstance(found, list):
            del found[error["ctx"]["max_length"] :]
    if len(errors) > 0:
        errors = [one for one in _errors(tried, system) if not _echoes(one, tried)] + too_long
    faults: dict[Loc, Fault] = {}
    for error in errors:
        loc, model, field = _resolve(error["loc"])
        fault = Fault(_where(loc, raw), *_words(error, loc, raw, model, field))
        known = faults.get(loc)
        faults[loc] = _either(known, fault) if known else fault
    for loc, text in _texts(raw):
        if any(_is_control(character) for character in text):
            faults[loc] = Fault(_where(loc, raw), show(text), "text without control characters")
    return faults


def _echoes(error: ErrorDetails, tried: Raw) -> bool:
    """Tell whether a list is called too short only because of its entries' own faults."""
    found = at(tried, error["loc"]) if error["type"] == "too_short" else None
    return isinstance(found, list) and len(found) >= error["ctx"]["min_length"]


def _errors(raw: Raw, system: System) -> list[ErrorDetails]:
    try:
        strict_car(raw, system)
    except ValidationError as error:
        return error.errors(include_url=False)
    return []


def _frozen(value: Any) -> Any:
    """Make tuples of lists, as strict reading wants them, and infinities of numbers too large."""
    if isinstance(value, dict):
        return {key: _frozen(item) for key, item in value.items()}
    if isinstance(value, list):
        return tuple(_frozen(item) for item in value)
    if isinstance(value, int) and not -(2**63) <= value < 2**63:
        return float("inf")
    if isinstance(value, float) and abs(value) > _LARGEST:
        return float("inf")
    return value


def at(raw: Any, loc: Loc) -> Any:
    """Return what stands at a place of the file.

    Raises:
        LookupError: if there is no such place.
    """
    for step in loc:
        raw = raw[step]
    return raw


def fields_of(part: type[CarPart]) -> dict[str, Field]:
    """Return a part's fields by the keys of the file."""
    return {field.key: field for field in part.fields.values()}


def _resolve(loc: Loc) -> tuple[Loc, type[CarPart] | None, Field | None]:
    """Return the place without pydantic's additions, the part that holds it, and its field."""
    place: list[str | int] = []
    holder: type[CarPart] | None = None
    model: type[CarPart] | None = Car
    field: Field | None = None
    for step in loc:
        if isinstance(step, str):
            if model is None:
                break
            holder, field = model, fields_of(model).get(step)
            inner = (field.kind, *get_args(field.kind)) if field else ()
            model = next((a for a in inner if isinstance(a, type) and issubclass(a, CarPart)), None)
        place.append(step)
    return tuple(place), holder, field


def _where(loc: Loc, raw: Raw) -> str:
    words = ""
    for depth, step in enumerate(loc):
        if isinstance(step, int):
            words += f" {step + 1}{_label(at(raw, loc[: depth + 1]))}"
            continue
        name = step if step.isprintable() and len(step) <= 40 else show(step)
        after_item = depth > 0 and isinstance(loc[depth - 1], int)
        words += (", " if after_item else "." if words else "") + name
    return words


def _label(item: object) -> str:
    """Name a list's item by what the crew calls it."""
    if not isinstance(item, dict):
        return ""
    name = item.get("corner", item.get("id"))
    fits = isinstance(name, str) and name.isprintable() and 0 < len(name) <= 32
    return f" ({name})" if fits else ""


def show(value: object) -> str:
    """Write a value of the file on one short line, nothing in it unprintable."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, int) and abs(value) >= 2**63:
        return "a number too large to hold"
    if isinstance(value, int | float):
        return repr(value)
    if not isinstance(value, str):
        return str(value)
    if len(value) > 40:
        return f"{value[:30]!r}... ({len(value)} characters)"
    return repr(value)


def _words(
    error: ErrorDetails, loc: Loc, raw: Raw, model: type[CarPart] | None, field: Field | None
) -> tuple[str, str]:
    """Return what was found and what is wanted."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "extra_forbidden":
        return "an unknown key", _known_keys(loc, raw, model)
    if kind == "too_long":
        return f"{context['actual_length']} entries", f"at most {context['max_length']}"
    if kind == "too_short":
        return f"{context['actual_length']} entries", f"at least {context['min_length']}"
    try:
        found = show(at(raw, loc))
    except KeyError:
        found = "nothing"
    return found, _wanted(kind, context, loc, field)


def _wanted(kind: str, context: dict[str, Any], loc: Loc, field: Field | None) -> str:
    match kind:
        case "value_error":
            return str(context["error"]).removeprefix("wanted ")
        case "literal_error":
            return str(context["expected"])
        case "bool_type":
            return "true or false"
        case "tuple_type":
            return f"[[{loc[-1]}]] tables" if loc[-1] in _TABLES else "a list"
        case "model_type":
            return "a table"
        case "string_type":
            return "text in quotes"
        case "string_too_short":
            return f"at least {context['min_length']} character"
        case "string_too_long":
            return f"at most {context['max_length']} characters"
        case "string_pattern_mismatch" if "\\x00" in context["pattern"]:
            return "text without control characters"
        case "string_pattern_mismatch":
            return "letters and digits, with single - or space between"
        case _ if field is not None:
            return _number(field)
        case _:
            return "what the shipped cars show here"


_TABLES = ("dampers", "knobs", "levers")


def _number(field: Field) -> str:
    types = (field.kind, *get_args(field.kind))
    words = "a whole number" if int in types else "a number"
    names = {"ge": "from", "gt": "above", "le": "up to", "lt": "below"}
    for bound, name in names.items():
        if bound in field.limits:
            words += f" {name} {field.limits[bound]:g}"
    return words


def _known_keys(loc: Loc, raw: Raw, model: type[CarPart] | None) -> str:
    known = list(fields_of(model)) if model else []
    free = [key for key in known if key not in at(raw, loc[:-1])]
    near = difflib.get_close_matches(str(loc[-1])[:40], free or known, n=1)
    return f"a known key, perhaps {near[0]}" if near else "one of " + ", ".join(known)


def _texts(value: object, loc: Loc = ()) -> Iterator[tuple[Loc, str]]:
    items: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, str):
        yield loc, value
    elif isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value)
    for step, item in items:
        yield from _texts(item, (*loc, step))


def _is_control(character: str) -> bool:
    """Tell whether a character could move the cursor or turn the text around it."""
    return unicodedata.category(character) in ("Cc", "Zl", "Zp") or character in _REORDERING
