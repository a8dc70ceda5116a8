"""TOML and JSON from outside as plain data, within limits of size, depth and numbers.

The limits stand here alone, so that no reader behind this door meets what it cannot hold.
"""

import json
import re
from collections.abc import Callable, Iterator
from math import isfinite
from typing import Any

from rules.faults import Fault

Table = dict[str, Any]

MOST_TOML_CHARACTERS = 2_000_000
"""Of a file that people write; the longest shipped page has 20,000, a dyno sheet 100,000."""
MOST_JSON_CHARACTERS = 256_000_000
"""Of a file that a program writes; a season of passes has some millions."""
DEEPEST = 64
LARGEST = 1e300
_MOST_DIGITS = 20

_TOO_LARGE = Fault("the file", "a number too large to hold", "numbers that a car can have")
_LONG = Fault("the file", "a number with thousands of digits", "numbers a car can have")
_DEEP = Fault("the file", "tables or lists nested too deep", "those of the shipped cars")

# Each alternative ends at the end of the text at the latest, so that none is tried twice.
_TOML_TEXT = re.compile(
    r'"""(?:[^\\]|\\.)*?(?:"""|\Z)|'
    r"'''.*?(?:'''|\Z)|"
    r'"(?:[^"\\\n]|\\.)*"?|'
    r"'[^'\n]*'?|\#[^\n]*",
    re.DOTALL,
)
_LONG_NUMBER = re.compile(r"(?<![\w.-])(?:0[xob][0-9a-fA-F_]{999}|[0-9][0-9_]{999})")
_LONG_KEY = re.compile(rf"(?<![\w.-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{DEEPEST}}}")


class PlainDataError(ValueError):
    """Text that is no such data, or goes beyond the limits; `fault` says where and what."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def toml(text: str, *, any_number: bool = False, ours: bool = False) -> Table:
    """Read TOML.

    any_number: leave numbers too large to hold to the reader, who tells them with all others.
    ours: it came with the program, whose tests hold it within the limits.

    Raises:
        PlainDataError: if it is not TOML, or goes beyond the limits.
    """
    # Most starts find every file read already, and do without the reader.
    import tomllib

    if len(text) > MOST_TOML_CHARACTERS:
        raise PlainDataError(_long_text(len(text), MOST_TOML_CHARACTERS))
    if not ours:
        _look_over(text)
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PlainDataError(_toml_fault(str(error))) from None
    except RecursionError:
        raise PlainDataError(_DEEP) from None
    except (ValueError, OverflowError):
        raise PlainDataError(_LONG) from None
    if not ours:
        _walk(raw, numbers=not any_number)
    return raw


def json_data(text: str, object_hook: Callable[[Table], Any] | None = None) -> Any:
    """Read JSON.

    object_hook: what to make of each object.

    Raises:
        PlainDataError: if it is not JSON, or goes beyond the limits.
    """
    if len(text) > MOST_JSON_CHARACTERS:
        raise PlainDataError(_long_text(len(text), MOST_JSON_CHARACTERS))
    try:
        raw = json.loads(text, object_hook=object_hook, parse_float=_float, parse_int=_int)
    except PlainDataError:
        raise
    except RecursionError:
        raise PlainDataError(Fault("the file", f"not JSON ({_DEEP.found})", _DEEP.wanted)) from None
    except ValueError as error:
        fault = Fault("the file", f"not JSON ({error})", "JSON as a program writes it")
        raise PlainDataError(fault) from None
    _walk(raw, numbers=False)
    return raw


def _look_over(text: str) -> None:
    """Refuse what costs more than it can say, before it is read: outside texts and comments."""
    plain = _TOML_TEXT.sub("''", text)
    depth = 0
    for bracket in re.findall(r"[\[\]{}]", plain):
        depth += 1 if bracket in "[{" else -1
        if depth > DEEPEST:
            raise PlainDataError(_DEEP)
    if _LONG_KEY.search(plain.replace("''", "q")):
        raise PlainDataError(_DEEP)
    if _LONG_NUMBER.search(plain):
        raise PlainDataError(_LONG)


def _walk(raw: Any, *, numbers: bool) -> None:
    """Look through data without recursion, which what is nested too deep would end."""
    level: list[tuple[str, Any]] = [("", raw)]
    for _ in range(DEEPEST):
        below = []
        for where, one in level:
            for step, value in _steps(one):
                if isinstance(value, dict | list):
                    below.append((f"{where}{step}.", value))
                elif numbers and _is_too_large(value):
                    place = Fault(f"{where}{step}", _TOO_LARGE.found, _TOO_LARGE.wanted)
                    raise PlainDataError(place)
        if not below:
            return
        level = below
    raise PlainDataError(_DEEP)


def _steps(one: Any) -> Iterator[tuple[str | int, Any]]:
    if isinstance(one, dict):
        yield from one.items()
    elif isinstance(one, list):
        yield from enumerate(one)


def _is_too_large(value: object) -> bool:
    if isinstance(value, int):
        return not -(2**63) <= value < 2**63
    return isinstance(value, float) and not abs(value) <= LARGEST


def _float(text: str) -> float:
    value = float(text)
    if not isfinite(value):
        raise PlainDataError(_number(text))
    return value


def _int(text: str) -> int:
    if len(text) > _MOST_DIGITS or not -(2**63) <= (value := int(text)) < 2**63:
        raise PlainDataError(_number(text))
    return value


def _number(text: str) -> Fault:
    found = text if len(text) <= _MOST_DIGITS else f"{text[:_MOST_DIGITS]}..."
    return Fault("the file", f"the number {found}, too large to hold", _TOO_LARGE.wanted)


def _long_text(found: int, most: int) -> Fault:
    return Fault("the file", f"{found:,} characters", f"at most {most:,}")


def _toml_fault(message: str) -> Fault:
    """Turn 'Invalid value (at line 3, column 5)' into a fault at its place."""
    place = re.search(r" \(at (.*)\)$", message)
    where = place.group(1) if place else "the file"
    what = message[: place.start()] if place else message
    wanted = 'key = value, with text in "quotes", [table] or [[tables]]'
    return Fault(where, f"what is not TOML ({what[:1].lower()}{what[1:]})", wanted)
