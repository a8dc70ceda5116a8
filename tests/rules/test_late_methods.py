"""A class whose methods are written late is the class that the standard library would have made."""

from dataclasses import FrozenInstanceError, field, fields, replace
from dataclasses import dataclass as at_once
from functools import cached_property
from typing import Any

import pytest

from rules.late_methods import dataclass as late


def made_by(dataclass: Any) -> tuple[type[Any], type[Any]]:
    @dataclass(frozen=True)
    class Base:
        """Two fields."""

        one: int
        more: tuple[int, ...] = ()

        def __post_init__(self) -> None:
            if self.one < 0:
                raise ValueError("below zero")

        @cached_property
        def twice(self) -> int:
            return 2 * self.one

    @dataclass(frozen=True)
    class Longer(Base):
        """Two more."""

        kept: dict[str, int] = field(default_factory=dict, hash=False)
        place: int = field(default=0, compare=False, repr=False)

    return Base, Longer


BOTH = [made_by(late), made_by(at_once)]


@pytest.mark.parametrize(("base", "longer"), BOTH)
def test_it_holds_and_compares_its_fields(base: type[Any], longer: type[Any]) -> None:
    one = longer(3, (1,), {"a": 1}, place=7)
    assert (one.one, one.more, one.kept, one.place) == (3, (1,), {"a": 1}, 7)
    assert one == longer(3, more=(1,), kept={"a": 1}) != longer(4)
    assert base(3) != longer(3)
    assert base(3) == base(3)
    assert hash(base(3)) == hash(base(3))
    assert hash(longer(3)) == hash(longer(3, place=1)) == hash(longer(3, kept={"b": 2}))
    assert repr(one).endswith("Longer(one=3, more=(1,), kept={'a': 1})")
    assert replace(one, one=5).one == 5
    assert replace(one, one=5).place == 7
    assert [f.name for f in fields(one)] == ["one", "more", "kept", "place"]
    assert longer(1).kept is not longer(1).kept
    assert one.twice == 6
    match base(8):
        case base(one=8, more=()):
            pass
        case _:
            raise AssertionError("not matched")


@pytest.mark.parametrize(("base", "longer"), BOTH)
def test_it_refuses_what_it_has_no_place_for(base: type[Any], longer: type[Any]) -> None:
    for arguments in ((), (1, (), {}, 0, 0)):
        with pytest.raises(TypeError, match="argument"):
            longer(*arguments)
    with pytest.raises(TypeError, match="other"):
        longer(1, other=2)
    with pytest.raises(ValueError, match="below zero"):
        base(-1)
    for one in (base(1), longer(1)):
        with pytest.raises(FrozenInstanceError):
            one.one = 2
        with pytest.raises(FrozenInstanceError):
            del one.one
