"""What is worked out of one thing that never changes is worked out once, until another is asked."""

from collections.abc import Callable
from functools import lru_cache, partial, update_wrapper
from typing import Concatenate, ParamSpec, TypeVar, cast

Of = TypeVar("Of")
P = ParamSpec("P")
R = TypeVar("R")
Work = Callable[Concatenate[Of, P], R]


def once_for_each(most: int) -> Callable[[Work[Of, P, R]], Work[Of, P, R]]:
    """Keep the last `most` results of what is asked of one thing, until another thing is asked.

    The thing is known by its identity, which costs nothing at any size; what else is asked with
    must be hashable. Only the last thing is held, and any thread may ask.
    """

    def kept_by(work: Work[Of, P, R]) -> Work[Of, P, R]:
        kept: list[tuple[Of, Callable[..., R]]] = []

        def asked(of: Of, *args: P.args, **named: P.kwargs) -> R:
            now = kept[:]
            if not now or now[0][0] is not of:
                now = [(of, lru_cache(maxsize=most)(partial(work, of)))]
                kept[:] = now
            return now[0][1](*args, **named)

        return cast("Work[Of, P, R]", update_wrapper(asked, work))

    return kept_by
