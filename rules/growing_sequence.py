"""A sequence that grows at its end and never changes: each longer one shares what it grew from."""

from collections.abc import Iterable, Iterator
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class GrowingSequence(Generic[T]):
    """An immutable sequence. Adding one item takes the same short time however long it is."""

    def __init__(self, items: Iterable[T] = ()) -> None:
        """Hold these items."""
        self._shared = list(items)
        self._length = len(self._shared)

    def plus(self, item: T) -> "GrowingSequence[T]":
        """Return the sequence with one more item at its end."""
        # Only the first to grow from here may write into what is shared; others begin a copy.
        shared = self._shared if len(self._shared) == self._length else self._shared[: self._length]
        shared.append(item)
        longer: GrowingSequence[T] = GrowingSequence()
        longer._shared, longer._length = shared, self._length + 1
        return longer

    def __len__(self) -> int:
        return self._length

    def __iter__(self) -> Iterator[T]:
        return iter(self._shared[: self._length])

    def __getitem__(self, at: int) -> T:
        return self._shared[: self._length][at]

    def __eq__(self, other: Any) -> bool:
        if not isinstance(other, GrowingSequence | tuple | list):
            return NotImplemented
        return list(self) == list(other)

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return f"GrowingSequence({list(self)!r})"
