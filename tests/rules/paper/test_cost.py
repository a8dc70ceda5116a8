"""What is said of a long past change costs the same in a log twice as long, in steps."""

from functools import partial
from typing import Any

import pytest

from rules.advice import timed_passes
from rules.advice.timed_passes import REMEMBERED
from rules.log.state import State
from rules.paper.verdict_table import judged, verdicts_table
from tests.rules.log.test_cost import BOOK, MORE, at, steps
from tests.support.big_log import PASSES_OF_A_MEETING

# As many passes as are looked through at all.
FULL = REMEMBERED + 2 * PASSES_OF_A_MEETING


def first_changes(state: State) -> None:
    """Judge the changes of the second meeting."""
    for change in state.changes[PASSES_OF_A_MEETING : 2 * PASSES_OF_A_MEETING]:
        judged(state, BOOK, change)


@pytest.mark.long
def test_the_verdict_of_a_change_long_past_costs_the_same_at_any_length() -> None:
    few, many = [steps(partial(first_changes, at(passes)[0])) for passes in (FULL, 2 * FULL)]
    assert many <= MORE * few, (few, many)


def test_two_settings_are_compared_once_a_meeting_not_once_a_change(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The big log turns one knob to and fro, so that each of its meetings has one pair."""
    compared = []

    def remembered(*args: Any) -> Any:
        compared.append(args)
        return kept(*args)

    kept = timed_passes.remembered
    monkeypatch.setattr(timed_passes, "remembered", remembered)
    state, _ = at(4 * PASSES_OF_A_MEETING)
    assert verdicts_table(state, BOOK).rows
    assert len(compared) == len(state.meetings)
