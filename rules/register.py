"""Items by place and by id, in a sequence that shares what stays."""

from collections.abc import Iterable
from typing import Protocol, Self, TypeVar

from rules.growing_sequence import GrowingSequence, Part


class Named(Protocol):
    """What goes by an id."""

    @property
    def id(self) -> str:
        """The id."""


N = TypeVar("N", bound=Named)


class Register(GrowingSequence[N]):
    """Items by place and by id, each id once."""

    # Shared by all that grew from one another, and so only a hint: a place is looked at before it
    # is believed, and every id ever added has one.
    __slots__ = ("_hints",)

    def __init__(self, items: Iterable[N] = ()) -> None:
        """Hold these items."""
        super().__init__(items)
        self._hints = {one.id: place for place, one in enumerate(self)}

    @classmethod
    def named(cls, parts: Iterable[Part[N]], tail: Iterable[N], ids: Iterable[str]) -> Self:
        """Return the register of whole parts and a rest of which the ids are known, in order."""
        made = cls()
        made._hints = {key: place for place, key in enumerate(ids)}
        return made._with(tuple(parts), tuple(tail))

    def place(self, key: str) -> int:
        """Return the place of an id, counted from 0.

        Raises:
            KeyError: there is none.
        """
        hint = self._hints.get(key)
        if hint is None:
            raise KeyError(key)
        if hint < len(self) and self[hint].id == key:
            return hint
        for place, one in zip(range(len(self) - 1, -1, -1), reversed(self), strict=True):
            if one.id == key:
                return place
        raise KeyError(key)

    def by_id(self, key: str) -> N:
        """Return the item of an id.

        Raises:
            KeyError: there is none.
        """
        return self[self.place(key)]

    def find(self, key: str | None) -> N | None:
        """Return the item of an id, None where there is none."""
        try:
            return None if key is None else self.by_id(key)
        except KeyError:
            return None

    def plus(self, item: N) -> Self:
        """Return the register with one more item at its end."""
        self._hints[item.id] = len(self)
        return super().plus(item)

    def having(self, item: N) -> Self:
        """Return the register with an item in the place of the one that has its id.

        Raises:
            KeyError: there is none.
        """
        return self.put(self.place(item.id), item)

    def without(self, key: str) -> Self:
        """Return the register without the item of an id.

        Raises:
            KeyError: there is none.
        """
        if self.place(key) == len(self) - 1:
            return self.but_last()
        return type(self)(one for one in self if one.id != key)

    def _with(self, parts: tuple[Part[N], ...], tail: tuple[N, ...]) -> Self:
        other = super()._with(parts, tail)
        other._hints = self._hints
        return other
