"""What is worked out of one thing that never changes is worked out once, until another is asked."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from functools import lru_cache, partial, update_wrapper
from threading import Lock
from typing import Concatenate, Generic, ParamSpec, TypeVar, cast

Of = TypeVar("Of")
P = ParamSpec("P")
R = TypeVar("R")
Work = Callable[Concatenate[Of, P], R]


class AsFound(Generic[R]):
    """What a search finds: each thing when it is first asked for, and none of them twice.

    Any thread may look through it. Where the search fails, every look comes to the same error.
    """

    def __init__(self, search: Iterator[R]) -> None:
        """Begin nothing yet."""
        self._search, self._found, self._lock = search, list[R](), Lock()
        self._error: Exception | None = None

    def __iter__(self) -> Iterator[R]:
        """Yield what was found, then what is found next."""
        at = 0
        while True:
            with self._lock:
                if at == len(self._found):
                    if self._error is not None:
                        raise self._error
                    try:
                        self._found.append(next(self._search))
                    except StopIteration:
                        return
                    except Exception as error:
                        self._error = error
                        raise
            yield self._found[at]
            at += 1


class LatestKept(Generic[R]):
    """The last so many things that were worked out, by what they were worked out of; any thread."""

    def __init__(self, most: int) -> None:
        """Hold nothing yet, and never more than `most`."""
        self._kept, self._most, self._lock = OrderedDict[Hashable, R](), most, Lock()

    def get(self, of: Hashable) -> R | None:
        """Return what was worked out of this; None where it is not held."""
        with self._lock:
            if of in self._kept:
                self._kept.move_to_end(of)
            return self._kept.get(of)

    def keep(self, of: Hashable, found: R) -> R:
        """Hold and return what was worked out, in place of what was asked for longest ago."""
        with self._lock:
            self._kept[of] = found
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return found


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
