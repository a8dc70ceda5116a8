"""Sequences that never change: one more, or another item in its place, shares all that stays."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import blake2b
from itertools import chain, islice, zip_longest
from typing import Any, Generic, NamedTuple, Self, TypeVar, overload
from weakref import ReferenceType, ref

T = TypeVar("T")
LENGTH = 64
"""Items of a part: copied where one of them changes, passed over where none does."""

Told = str | tuple[int, ...] | tuple[str, ...]


class Part(Generic[T]):
    """So many items that never change, read when they are wanted, and what is known of them.

    An item that somebody holds is the same one when it is read again.

    told: by question what was found out of the items before; it holds as long as they do.
    kept: what its items can be read from again, for who keeps them.
    """

    __slots__ = ("_items", "_known", "_read", "_some", "kept", "told")

    def __init__(
        self,
        items: tuple[T, ...] | None = None,
        read: Callable[[], tuple[T, ...]] = tuple,
        told: dict[str, Told] | None = None,
        kept: object = None,
    ) -> None:
        self._items = items
        self._known: tuple[ReferenceType[Any], ...] = ()
        self._some: dict[int, T] = {}
        self._read = read
        self.told = {} if told is None else told
        self.kept = kept

    @property
    def items(self) -> tuple[T, ...]:
        """The items."""
        items = self._items
        if items is None:
            items = self._items = self._again()
        return items

    def _again(self) -> tuple[T, ...]:
        items = self._read()
        if not self._known:
            return items
        known = zip(items, self._known, strict=True)
        return tuple(one if (held := known_as()) is None else held for one, known_as in known)

    @property
    def is_held(self) -> bool:
        """Whether all of its items are held."""
        return self._items is not None

    def at(self, places: Iterable[int]) -> list[T]:
        """Return the items at some places; of a part that nobody holds they alone are held then."""
        if self._items is None and not all(place in self._some for place in places):
            items = self.items
            self._some |= {place: items[place] for place in places}
            self.let_go()
        held = self._some if self._items is None else self._items
        return [held[place] for place in places]

    def told_of(self, question: str, tell: Callable[[tuple[T, ...]], Told]) -> Told:
        """Return what is found out of the items, which nobody holds after it who did not before."""
        if (known := self.told.get(question)) is None:
            was_held = self.is_held
            known = self.told[question] = tell(self.items)
            if not was_held:
                self.let_go()
        return known

    def look_at(self, asked: "Iterable[Passing[T] | Keyed[T]]") -> None:
        """Answer several questions, as `told_of` answers one."""
        was_held = self.is_held
        _ = self.items
        for one in asked:
            self.told_of(one.question, one.tell)
        if not was_held:
            self.let_go()

    def let_go(self) -> None:
        """Hold no items that can be read again."""
        items = self._items
        if self.kept is not None and items is not None:
            self._known = tuple(map(ref, items))
            self._items = None

    def is_like(self, other: "Part[T]") -> bool:
        """Tell whether it holds the same items; two kept alike are not read for it."""
        alike = self.kept is not None and self.kept == other.kept
        return self is other or alike or self.items == other.items


class Passing(NamedTuple, Generic[T]):
    """A question of each item that names the test and all it depends on but the item."""

    question: str
    test: Callable[[T], bool]

    def tell(self, items: tuple[T, ...]) -> Told:
        """Return the places of those that pass."""
        return tuple(place for place, one in enumerate(items) if self.test(one))


class Keyed(NamedTuple, Generic[T]):
    """A question that names what makes a key of an item, which looks at nothing else."""

    question: str
    key_of: Callable[[T], str]

    def tell(self, items: tuple[T, ...]) -> Told:
        """Return the keys there are."""
        return tuple(dict.fromkeys(map(self.key_of, items)))


class GrowingSequence(Sequence[T]):
    """An immutable sequence. A longer or a changed one takes the same short time at any length."""

    __slots__ = ("_parts", "_tail")

    def __init__(self, items: Iterable[T] = ()) -> None:
        """Hold these items."""
        every = tuple(items)
        whole = len(every) - len(every) % LENGTH
        self._parts = tuple(Part(every[at : at + LENGTH]) for at in range(0, whole, LENGTH))
        self._tail = every[whole:]

    @classmethod
    def of(cls, items: Iterable[T]) -> Self:
        """Return the items as such a sequence; one that is one already is kept as it is."""
        return items if isinstance(items, cls) else cls(items)

    @classmethod
    def of_parts(cls, parts: Iterable[Part[T]], tail: Iterable[T]) -> Self:
        """Return the sequence of whole parts, each of `LENGTH` items, and the rest."""
        return cls()._with(tuple(parts), tuple(tail))

    def with_parts(self, parts: Iterable[Part[T]]) -> Self:
        """Return the sequence with parts in the place of its own that hold the same items."""
        return self._with(tuple(parts), self._tail)

    @property
    def parts(self) -> tuple[Part[T], ...]:
        """The items as far as they fill whole parts; those after them are the `tail`."""
        return self._parts

    @property
    def tail(self) -> tuple[T, ...]:
        """The items behind the last whole part."""
        return self._tail

    def plus(self, item: T) -> Self:
        """Return the sequence with one more item at its end."""
        tail = (*self._tail, item)
        if len(tail) < LENGTH:
            return self._with(self._parts, tail)
        return self._with((*self._parts, Part(tail)), ())

    def put(self, place: int, item: T) -> Self:
        """Return the sequence with another item at a place, counted from 0.

        Raises:
            IndexError: there is no such place.
        """
        number, at = divmod(place, LENGTH)
        if not 0 <= place < len(self):
            raise IndexError(place)
        if number == len(self._parts):
            return self._with(self._parts, _changed(self._tail, at, item))
        part = Part(_changed(self._parts[number].items, at, item))
        return self._with((*self._parts[:number], part, *self._parts[number + 1 :]), self._tail)

    def but_last(self) -> Self:
        """Return the sequence without its last item.

        Raises:
            IndexError: it is empty.
        """
        if self._tail:
            return self._with(self._parts, self._tail[:-1])
        *parts, last = self._parts or (Part(()),)
        if not last.items:
            raise IndexError("nothing to leave out")
        return self._with(tuple(parts), last.items[:-1])

    def let_go(self) -> None:
        """Hold nothing of what can be read again: a walk through a long log is through with it."""
        for part in self._parts:
            part.let_go()

    def where(self, question: str, test: Callable[[T], bool]) -> Iterator[T]:
        """Yield the items that pass a test, which looks at nothing but the item.

        question: names the test and all it depends on, so that no whole part is tested twice.
        """
        for part in self._parts:
            # A part of which it is known that none passes is passed over in few steps.
            if part.told.get(question) != ():
                yield from _passing(part, question, test)
        yield from filter(test, self._tail)

    def last_where(self, question: str, test: Callable[[T], bool]) -> Iterator[T]:
        """Yield the items that pass a test as `where` does, the last one first."""
        yield from filter(test, reversed(self._tail))
        for part in reversed(self._parts):
            if part.told.get(question) != ():
                yield from reversed(_passing(part, question, test))

    def how_many(self, question: str, test: Callable[[T], bool]) -> int:
        """Return how many items pass a test, which looks at nothing but the item.

        question: as for `where`; the number alone is kept of a whole part.
        """
        return sum(_count(one, question, test) for one in self._parts) + sum(map(test, self._tail))

    def last_ones(self, question: str, test: Callable[[T], bool], most: int) -> list[T]:
        """Return the last items that pass a test, at most so many, the last one first.

        question: as for `how_many`.
        """
        found = list(islice(filter(test, reversed(self._tail)), most))
        for part in reversed(self._parts):
            if len(found) == most:
                break
            if _count(part, question, test):
                found += islice(filter(test, reversed(part.items)), most - len(found))
        return found

    def last_from(self, question: str, number_of: Callable[[T], int], least: int) -> Iterator[T]:
        """Yield the items with a number from `least` on, the last one first.

        question: names what makes a number of an item, and looks at nothing else.
        """
        yield from (one for one in reversed(self._tail) if number_of(one) >= least)
        for part in reversed(self._parts):
            if _largest(part, question, number_of) >= least:
                yield from (one for one in reversed(part.items) if number_of(one) >= least)

    def under(self, question: str, key_of: Callable[[T], str], key: str) -> Iterator[T]:
        """Yield the items of a key; a whole part that has none is passed over.

        question: names what makes a key of an item, and looks at nothing else.
        """
        for part in self._parts:
            if key in _keys(part, question, key_of):
                yield from (one for one in part.items if key_of(one) == key)
        yield from (one for one in self._tail if key_of(one) == key)

    def last_under(self, question: str, key_of: Callable[[T], str], key: str) -> T | None:
        """Return the last item of a key, None where there is none."""
        last = next((one for one in reversed(self._tail) if key_of(one) == key), None)
        if last is not None:
            return last
        for part in reversed(self._parts):
            if key in _keys(part, question, key_of):
                return next(one for one in reversed(part.items) if key_of(one) == key)
        return None

    def look_through(self, *asked: "Passing[T] | Keyed[T]") -> None:
        """Answer several questions in one look at each whole part of which one is not known."""
        for part in self._parts:
            if any(one.question not in part.told for one in asked):
                part.look_at(asked)

    def told(self, question: str, tell: Callable[[tuple[T, ...]], str]) -> Iterator[str]:
        """Yield what is told of each whole part, of none twice, and of the rest."""
        for part in self._parts:
            yield str(part.told_of(question, tell))
        yield tell(self._tail)

    def changed_from(self, before: "GrowingSequence[T]") -> Iterator[tuple[T | None, T | None]]:
        """Yield what stood at a place before and what stands there now, where that is another."""
        pairs = enumerate(zip_longest(before._parts, self._parts))
        apart = [number for number, (one, other) in pairs if one is not other]
        ends = {len(before._parts), len(self._parts)}
        for number in sorted({*apart, *ends}):
            for one, other in zip_longest(before._at(number), self._at(number)):
                if one is not other:
                    yield one, other

    def _at(self, number: int) -> tuple[T, ...]:
        if number < len(self._parts):
            return self._parts[number].items
        return self._tail if number == len(self._parts) else ()

    def _with(self, parts: tuple[Part[T], ...], tail: tuple[T, ...]) -> Self:
        other = object.__new__(type(self))
        other._parts, other._tail = parts, tail
        return other

    def __len__(self) -> int:
        return len(self._parts) * LENGTH + len(self._tail)

    def __iter__(self) -> Iterator[T]:
        for part in self._parts:
            yield from part.items
        yield from self._tail

    def __reversed__(self) -> Iterator[T]:
        yield from reversed(self._tail)
        for part in reversed(self._parts):
            yield from reversed(part.items)

    @overload
    def __getitem__(self, at: int) -> T: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[T, ...]: ...
    def __getitem__(self, at: int | slice) -> T | tuple[T, ...]:
        if isinstance(at, slice):
            first, end, step = at.indices(len(self))
            if step != 1:
                return tuple(self[place] for place in range(first, end, step))
            begun, end = first // LENGTH, max(first, end)
            touched = range(begun, min(-(-end // LENGTH), len(self._parts) + 1))
            items = chain.from_iterable(self._at(number) for number in touched)
            return tuple(islice(items, first - begun * LENGTH, end - begun * LENGTH))
        place = at + len(self) if at < 0 else at
        number, inside = divmod(place, LENGTH)
        if number < 0 or number > len(self._parts):
            raise IndexError(at)
        return (self._tail if number == len(self._parts) else self._parts[number].items)[inside]

    def __eq__(self, other: Any) -> bool:
        if isinstance(other, GrowingSequence):
            return (
                len(self) == len(other)
                and self._tail == other._tail
                and all(
                    one.is_like(another)
                    for one, another in zip(self._parts, other._parts, strict=True)
                )
            )
        if not isinstance(other, tuple | list):
            return NotImplemented
        return list(self) == list(other)

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return f"{type(self).__name__}({list(self)!r})"


def digest(*said: object) -> str:
    """Return a short name of what is said, the same in every process."""
    return blake2b(repr(said).encode(), digest_size=16).hexdigest()


def _changed(items: tuple[T, ...], at: int, item: T) -> tuple[T, ...]:
    return (*items[:at], item, *items[at + 1 :])


def _keys(part: Part[T], question: str, key_of: Callable[[T], str]) -> Told:
    return part.told_of(question, Keyed(question, key_of).tell)


def _passing(part: Part[T], question: str, test: Callable[[T], bool]) -> list[T]:
    places = part.told_of(question, Passing(question, test).tell)
    return part.at(tuple(map(int, places)))


def _count(part: Part[T], question: str, test: Callable[[T], bool]) -> int:
    told = part.told_of(f"how many {question}", lambda items: str(sum(map(test, items))))
    return int(str(told))


def _largest(part: Part[T], question: str, number_of: Callable[[T], int]) -> int:
    told = part.told_of(f"largest {question}", lambda items: str(max(map(number_of, items))))
    return int(str(told))
