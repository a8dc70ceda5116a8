"""What is searched lazily is searched once, whoever looks."""

from collections.abc import Iterator

from rules.once import AsFound, LatestKept


def test_nothing_is_looked_for_before_it_is_asked_for_nor_twice() -> None:
    looked: list[int] = []

    def search() -> Iterator[int]:
        for number in range(3):
            looked.append(number)
            yield number

    found = AsFound(search())
    assert looked == []
    assert next(iter(found)) == 0
    assert looked == [0]
    assert list(found) == list(found) == [0, 1, 2]
    assert looked == [0, 1, 2]


def test_of_what_is_kept_the_one_asked_for_longest_ago_goes_first() -> None:
    kept = LatestKept[str](2)
    assert kept.keep(1, "one") == "one"
    kept.keep(2, "two")
    assert kept.get(1) == "one"
    kept.keep(3, "three")
    assert (kept.get(1), kept.get(2), kept.get(3)) == ("one", None, "three")
