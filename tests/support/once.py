"""Dear answers that many tests ask for: worked out once, for whoever asks the same."""

from collections.abc import Callable, Mapping
from typing import Any

FOUND: dict[Any, Any] = {}


def key_of(value: Any) -> Any:
    """Return what stands for an argument: its items where it is a mapping."""
    return tuple(sorted(value.items())) if isinstance(value, Mapping) else value


def once(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return the function with its answers kept; an error is raised anew each time."""

    def asked(*args: Any, **named: Any) -> Any:
        given = (*map(key_of, args), *((name, key_of(one)) for name, one in sorted(named.items())))
        key = (function.__module__, function.__qualname__, *given)
        if key not in FOUND:
            FOUND[key] = function(*args, **named)
        return FOUND[key]

    return asked
