"""Dear answers that many tests ask for: worked out once, for whoever asks the same."""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

FOUND: dict[Any, Any] = {}


def key_of(value: Any) -> Any:
    """Return what stands for an argument: all it holds, where it is made of parts."""
    if isinstance(value, Mapping):
        return tuple(sorted((name, key_of(one)) for name, one in value.items()))
    if isinstance(value, tuple):
        return tuple(map(key_of, value))
    if is_dataclass(value) and not isinstance(value, type):
        return (type(value), *(key_of(getattr(value, one.name)) for one in fields(value)))
    return value


def once(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return the function with its answers kept; an error is raised anew each time."""

    def asked(*args: Any, **named: Any) -> Any:
        given = (*map(key_of, args), *((name, key_of(one)) for name, one in sorted(named.items())))
        key = (function.__module__, function.__qualname__, *given)
        if key not in FOUND:
            FOUND[key] = function(*args, **named)
        return FOUND[key]

    return asked
