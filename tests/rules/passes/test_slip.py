"""Slips of invented passes: what is asked back, what is not, and where the time is."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.passes.air_effect import air_part, told
from rules.passes.slip import BEAMS_M, TRAP_M, Slip, is_clean, questions
from rules.passes.splits import against_best, difference_words, run_to, stretches

GOOD = Slip(
    reaction_s=0.041,
    sixty_s=1.14,
    three_thirty_s=3.18,
    eighth_s=4.87,
    eighth_speed_m_s=62.9,
    thousand_s=6.36,
    quarter_s=7.62,
    quarter_speed_m_s=78.7,
    dial_in_s=7.60,
    lane="left",
)


def made(power: float, grip: float) -> Slip:
    """Return the slip of a car under constant power after a grip-limited launch."""
    times = {key: round(run_to(there, power, grip).time_s, 3) for key, there in BEAMS_M.items()}
    speeds = {
        f"{name}_speed_m_s": run_to(BEAMS_M[f"{name}_s"] - TRAP_M / 2, power, grip).speed_m_s
        for name in ("eighth", "quarter")
    }
    return Slip(**times, **speeds)  # type: ignore[arg-type]


@given(power=st.floats(80, 1200), grip=st.floats(5.0, 30.0))
def test_a_slip_that_mechanics_makes_is_never_questioned(power: float, grip: float) -> None:
    assert questions(made(power, grip)) == []


def test_a_good_slip_passes_whole_and_in_parts() -> None:
    assert questions(GOOD) == []
    assert is_clean(GOOD)
    for field in GOOD.numbers():
        assert questions(replace(GOOD, **{field: None})) == []  # type: ignore[arg-type]
    assert questions(Slip()) == []


@pytest.mark.parametrize(
    ("field", "typed", "offer"),
    [
        ("sixty_s", 11.4, 1.14),
        ("sixty_s", 114.0, 1.14),
        ("sixty_s", 0.114, 1.14),
        ("eighth_s", 48.7, 4.87),
        ("eighth_s", 0.487, 4.87),
        ("quarter_s", 76.2, 7.62),
        ("quarter_speed_m_s", 787.0, 78.7),
        ("dial_in_s", 760.0, 7.60),
    ],
)
def test_a_slipped_decimal_is_offered_back(field: str, typed: float, offer: float) -> None:
    asked = questions(replace(GOOD, **{field: typed}))  # type: ignore[arg-type]
    assert [(one.field, one.found, one.offer) for one in asked] == [(field, typed, offer)]
    assert "slipped decimal" in asked[0].why


def test_swapped_times_are_seen() -> None:
    asked = questions(replace(GOOD, three_thirty_s=4.87, eighth_s=3.18))
    assert [(one.field, one.offer, one.impossible) for one in asked] == [("eighth_s", 4.87, True)]
    assert not is_clean(replace(GOOD, three_thirty_s=4.87, eighth_s=3.18))


@pytest.mark.parametrize(
    ("field", "typed", "why"),
    [
        ("quarter_speed_m_s", 60.0, "slower at the quarter"),
        ("eighth_speed_m_s", 90.0, "too fast"),
        ("quarter_speed_m_s", 50.0, "too slow"),
        ("quarter_s", 7.95, "than at the eighth|on the way to"),
        ("eighth_s", 5.40, "on the way to"),
    ],
)
def test_what_does_not_fit_is_questionable(field: str, typed: float, why: str) -> None:
    asked = questions(replace(GOOD, **{field: typed}))  # type: ignore[arg-type]
    assert asked
    assert not any(one.impossible for one in asked)
    assert any(part in one.why for one in asked for part in why.split("|"))


def test_a_lifted_pass_may_be_slow_and_is_not_clean() -> None:
    lifted = replace(GOOD, quarter_speed_m_s=55.0, quarter_s=8.3, marks=frozenset({"lifted"}))
    assert questions(lifted) == []
    assert not is_clean(lifted)
    assert not is_clean(replace(GOOD, marks=frozenset({"aborted"})))
    assert not is_clean(replace(GOOD, marks=frozenset({"spun"})))
    assert is_clean(replace(GOOD, reaction_s=-0.02, marks=frozenset({"red light"})))


@given(st.lists(st.floats(allow_nan=True), min_size=8, max_size=8))
def test_any_numbers_are_answered_with_questions_at_most(numbers: list[float]) -> None:
    slip = Slip(*numbers)
    for one in questions(slip):
        assert one.offer is None or one.offer != one.found
    is_clean(slip)


def test_stretches_add_up_and_speed_up() -> None:
    parts = stretches(GOOD)
    assert sum(one.time_s for one in parts) == pytest.approx(GOOD.quarter_s)
    assert all(a.mean_speed_m_s < b.mean_speed_m_s for a, b in pairwise(parts))


def test_where_the_time_was_lost() -> None:
    slow = replace(GOOD, **{key: round(time + 0.031, 3) for key, time in GOOD.times().items()})  # type: ignore[arg-type]
    aborted = replace(GOOD, sixty_s=1.0, marks=frozenset({"aborted"}))
    words = difference_words(against_best(slow, [GOOD, aborted]))
    assert words == ("Against the best clean pass of this setting: 0.031 s lost to the 60-foot.")
    assert "yet" in difference_words(against_best(slow, []))
    assert "within" in difference_words(against_best(GOOD, [GOOD, GOOD]))
    assert against_best(Slip(), [GOOD]) == []


def test_the_air_in_words() -> None:
    assert "next to nothing" in told(air_part(1.14, 1.15, 1.14, sixty=True), 0.012)
    thin = told(air_part(7.6, 1.15, 1.10), 0.012)
    assert "0.113 s slower" in thin
