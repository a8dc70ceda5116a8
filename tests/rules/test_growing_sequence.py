"""A sequence that grows: what it grew from stays as it was."""

from hypothesis import given
from hypothesis import strategies as st

from rules.growing_sequence import GrowingSequence


@given(st.lists(st.tuples(st.integers(0, 20), st.integers())))
def test_each_stays_as_it_was_whichever_grew_from_it(steps: list[tuple[int, int]]) -> None:
    pairs: list[tuple[GrowingSequence[int], list[int]]] = [(GrowingSequence(), [])]
    for which, item in steps:
        grown, plain = pairs[which % len(pairs)]
        pairs.append((grown.plus(item), [*plain, item]))
    for grown, plain in pairs:
        assert list(grown) == plain
        assert len(grown) == len(plain)
        assert grown == GrowingSequence(plain)
        assert grown == plain
        assert hash(grown) == hash(GrowingSequence(plain))
        assert [grown[at] for at in range(len(grown))] == plain
    assert GrowingSequence([1]) != 1
    assert repr(GrowingSequence([1])) == "GrowingSequence([1])"
