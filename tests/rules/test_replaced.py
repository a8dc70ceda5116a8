"""A copy with fields changed is the standard library's, but for what it costs."""

import dataclasses
from functools import cached_property

import pytest

from rules.log.state import State
from rules.replaced import replace
from tests.support.crew import Crew


@dataclasses.dataclass(frozen=True)
class Checked:
    """One that works something out, and checks itself."""

    one: int
    other: int = 2

    def __post_init__(self) -> None:
        if self.one > self.other:
            raise ValueError("one is more than the other")

    @cached_property
    def both(self) -> int:
        return self.one + self.other


def test_a_state_changes_as_by_the_constructor() -> None:
    state = Crew().state
    changed = replace(state, events=7, notes=())
    assert changed == dataclasses.replace(state, events=7, notes=())
    assert type(changed.notes) is type(State().notes)
    assert state == Crew().state


def test_what_was_worked_out_of_the_old_one_is_worked_out_anew() -> None:
    first = Checked(1)
    assert first.both == 3
    assert replace(first, one=2).both == 4


def test_a_check_is_made_again_and_a_strange_field_refused() -> None:
    with pytest.raises(ValueError, match="more than"):
        replace(Checked(1), one=3)
    with pytest.raises(TypeError, match="has no"):
        replace(Checked(1), third=3)
