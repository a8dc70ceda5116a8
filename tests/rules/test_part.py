"""A part is a frozen value that says of its fields what a file may hold there."""

import pickle
from collections.abc import Sequence
from copy import copy, deepcopy
from functools import cached_property
from typing import Any

import pytest

from rules.book.schema import BookFile, RuleText
from rules.car.model import Car
from rules.part import FilePart, said
from tests.support.crew import invented_car


class Spring(FilePart):
    """A part with a field of every kind."""

    name: str
    rate: float = said("Of one spring.", key="rate_in_file", default=1.0, gt=0)
    coils: tuple[int, ...] = ()
    notes: Sequence[str] = said(default_factory=list)

    @cached_property
    def twice(self) -> float:
        """What is worked out once."""
        return 2.0 * self.rate


class Leaf(Spring):
    """A part that has the fields of another, and one more."""

    eyes: int = 2


class Bush(FilePart):
    """A part with a field as another has it."""

    name: str


def kinds(of: type[FilePart] = FilePart) -> list[type[FilePart]]:
    """Return all kinds of part of car and book."""
    found = [one for kind in of.__subclasses__() for one in (kind, *kinds(kind))]
    return [one for one in found if one.__module__.startswith("rules.")]


def test_what_is_not_said_is_the_default_and_made_anew_for_each() -> None:
    one, other = Spring(name="a"), Spring(name="a")
    assert (one.rate, one.coils, one.notes) == (1.0, (), [])
    assert one.notes is not other.notes


@pytest.mark.parametrize(
    ("values", "fault"),
    [
        ({}, "Spring: name is missing"),
        ({"name": "a", "rat": 1.0, "coil": 3}, "Spring has no rat, coil"),
        ({"name": "a", "rate_in_file": 1.0}, "Spring has no rate_in_file"),
    ],
)
def test_a_value_too_few_or_too_many_is_named(values: dict[str, Any], fault: str) -> None:
    with pytest.raises(TypeError) as raised:
        Spring(**values)
    assert str(raised.value) == fault


def test_a_part_is_frozen() -> None:
    one = Spring(name="a")
    with pytest.raises(AttributeError, match="Spring is frozen"):
        one.rate = 2.0  # type: ignore[misc]
    with pytest.raises(AttributeError, match="Spring is frozen"):
        del one.rate


def test_parts_are_alike_where_kind_and_fields_are() -> None:
    one = Spring(name="a", notes=())
    assert one.twice == 2.0
    assert one == Spring(name="a", rate=1.0, notes=())
    assert hash(one) == hash(Spring(name="a", notes=()))
    assert one != Spring(name="b", notes=())
    assert Bush(name="a") != one
    assert Leaf(name="a", notes=()) != one
    assert one != Leaf(name="a", notes=())
    assert one != "a"


def test_a_part_of_which_one_grew_keeps_its_fields() -> None:
    assert list(Leaf.fields) == [*Spring.fields, "eyes"]
    assert Leaf(name="a", rate=3.0).twice == 6.0
    assert Leaf.attributes()["rate_in_file"] == "rate"
    assert FilePart.fields == {}


def test_a_copy_with_other_values_works_out_its_own() -> None:
    one = Spring(name="a")
    assert one.twice == 2.0
    assert one.model_copy(update={"rate": 2.0}).twice == 4.0
    with pytest.raises(TypeError, match="Spring has no rat"):
        one.model_copy(update={"rat": 2.0})


def test_what_is_told_is_what_makes_it_again() -> None:
    one = Spring(name="a", coils=(1, 2))
    assert one.told() == {"name": "a", "coils": (1, 2), "notes": []}
    assert Spring(**one.told()) == one
    assert repr(one) == "Spring(name='a', rate=1.0, coils=(1, 2), notes=[])"


@pytest.mark.parametrize("way", [copy, deepcopy, lambda one: pickle.loads(pickle.dumps(one))])
def test_a_part_comes_out_of_every_copy_as_it_was(way: Any) -> None:
    car = invented_car()
    again = way(car)
    assert again is not car
    assert again == car
    assert again.held() == car.held()
    assert hash(again) == hash(car)


def test_no_default_is_shared_that_could_be_changed() -> None:
    known = kinds()
    assert {Car, RuleText, BookFile} <= set(known)
    for kind in known:
        for field in kind.fields.values():
            hash(field.default)
