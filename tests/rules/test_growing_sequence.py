"""Sequences that share: what one grew or was changed from stays as it was, at any length."""

from dataclasses import dataclass, replace

from hypothesis import given
from hypothesis import strategies as st

from rules.growing_sequence import LENGTH, GrowingSequence, Keyed, Part, Passing
from rules.register import Register


@dataclass(frozen=True)
class Item:
    id: str
    value: int


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["plus", "plus", "put", "but_last"]),
        st.integers(0, 20),
        st.integers(0, 300),
    ),
    max_size=30,
)
LENGTHS = st.sampled_from([0, 1, LENGTH - 1, LENGTH, LENGTH + 1, 2 * LENGTH, 3 * LENGTH - 1])


@given(LENGTHS, STEPS)
def test_each_stays_as_it_was_whichever_grew_from_it(
    length: int, steps: list[tuple[str, int, int]]
) -> None:
    first = list(range(length))
    pairs = [(GrowingSequence(first), first)]
    for what, which, number in steps:
        grown, plain = pairs[which % len(pairs)]
        if what == "plus":
            pairs.append((grown.plus(number), [*plain, number]))
        elif plain and what == "put":
            at = number % len(plain)
            pairs.append((grown.put(at, -1), [*plain[:at], -1, *plain[at + 1 :]]))
        elif plain:
            pairs.append((grown.but_last(), plain[:-1]))
    for grown, plain in pairs:
        assert list(grown) == plain
        assert list(reversed(grown)) == plain[::-1]
        assert len(grown) == len(plain)
        assert grown == GrowingSequence(plain)
        assert grown == plain
        assert hash(grown) == hash(GrowingSequence(plain))
        assert [grown[at] for at in range(len(grown))] == plain
        assert [grown[at] for at in range(-len(grown), 0)] == plain
        assert grown[3:-2] == tuple(plain[3:-2])
        assert grown[::-1] == tuple(plain[::-1])
        even = [one for one in plain if one % 2 == 0]
        assert list(grown.where("even", lambda one: one % 2 == 0)) == even
        assert list(grown.last_where("even", lambda one: one % 2 == 0)) == even[::-1]
    a, b = pairs[0], pairs[-1]
    places = max(len(a[1]), len(b[1]))
    told = [(list(one) + [None] * places)[:places] for one in (a[1], b[1])]
    differing = [(one, two) for one, two in zip(*told, strict=True) if one != two]
    assert [pair for pair in b[0].changed_from(a[0]) if pair[0] != pair[1]] == differing


def test_it_is_read_like_a_sequence() -> None:
    assert GrowingSequence([1]) != 1
    assert GrowingSequence([1]) == (1,)
    assert repr(GrowingSequence([1])) == "GrowingSequence([1])"


@given(LENGTHS, STEPS)
def test_a_register_finds_what_is_in_it_and_nothing_else(
    length: int, steps: list[tuple[str, int, int]]
) -> None:
    """Its hints are shared by all that grew from one another, and never believed unseen."""
    first = [Item(str(number), 0) for number in range(length)]
    pairs = [(Register(first), {one.id: one for one in first})]
    for what, which, number in steps:
        grown, plain = pairs[which % len(pairs)]
        key = str(number)
        if what == "plus" and key not in plain:
            pairs.append((grown.plus(Item(key, which)), {**plain, key: Item(key, which)}))
        elif key in plain and what == "put":
            changed = replace(plain[key], value=-which)
            pairs.append((grown.having(changed), {**plain, key: changed}))
        elif key in plain:
            left = {other: one for other, one in plain.items() if other != key}
            pairs.append((grown.without(key), left))
    for grown, plain in pairs:
        assert list(grown) == list(plain.values())
        assert all(grown.find(str(key)) == plain.get(str(key)) for key in range(310))


def test_what_did_not_change_is_not_looked_at_again() -> None:
    seen: list[int] = []

    def is_small(one: int) -> bool:
        seen.append(one)
        return one < 3

    many = GrowingSequence(range(100 * LENGTH))
    assert list(many.where("is small", is_small)) == [0, 1, 2]
    assert len(seen) == len(many)
    seen.clear()
    changed = many.put(LENGTH, 2).plus(1)
    assert list(changed.where("is small", is_small)) == [0, 1, 2, 2, 1]
    assert len(seen) <= LENGTH + 1


def test_one_look_answers_every_question_and_holds_nothing_that_nobody_held() -> None:
    reads: list[int] = []

    def read() -> tuple[Item, ...]:
        reads.append(1)
        return tuple(Item(str(number), number) for number in range(LENGTH))

    kept = Part(read=read, kept="text")
    many = GrowingSequence.of_parts([kept], (Item("tail", 5),))
    even = Passing("is even", lambda one: one.value % 2 == 0)
    many.look_through(even, Keyed("its id", lambda one: one.id))
    assert set(kept.told) == {"is even", "its id"}
    assert len(reads) == 1
    assert [one.value for one in many.last_where(*even)] == list(range(0, LENGTH, 2))[::-1]
    assert len(reads) == 2  # To give out what was found.
    kept.let_go()
    assert not list(many.where("is none", lambda one: False))
    assert len(reads) == 3
    many.look_through(even)
    assert not list(many.where("is none", lambda one: False))
    assert len(reads) == 3
