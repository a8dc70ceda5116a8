"""A gauge shows before it is read whether a knob is off its baseline, and which way it goes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.drawn.gauge import AT, LESS, LESS_THAN, MORE, MORE_THAN, TO_GO, gauge

SHARES = st.integers(0, 18).map(lambda count: count / 18)
WIDTHS = st.integers(4, 30)


@given(WIDTHS, SHARES, SHARES, SHARES)
def test_it_is_as_wide_as_it_was_asked_for(width: int, now: float, base: float, aim: float) -> None:
    assert len(gauge(width, now, base, aim).plain) == width
    assert len(gauge(width, now).plain) == width


@given(WIDTHS, SHARES, SHARES)
def test_one_click_off_the_baseline_shows(width: int, now: float, base: float) -> None:
    drawn = gauge(width, now, base).plain
    assert (MORE in drawn) == (now > base)
    assert (LESS in drawn) == (now < base)
    sign = MORE_THAN if now > base else LESS_THAN if now < base else AT
    assert drawn.count(sign) == 1


@given(WIDTHS, SHARES, SHARES, SHARES)
def test_what_is_still_to_be_turned_shows(width: int, now: float, base: float, aim: float) -> None:
    drawn = gauge(width, now, base, aim).plain
    assert (TO_GO in drawn) == (aim != now)
    assert sum(drawn.count(sign) for sign in (AT, MORE_THAN, LESS_THAN)) == 1


@pytest.mark.parametrize(
    ("now", "base", "aim", "drawn"),
    [
        (0.4, 0.4, None, "━━━━╉──────"),
        (0.7, 0.4, None, "━━━━╋███───"),
        (0.2, 0.4, None, "━━░░╂──────"),
        (0.4, 0.4, 0.6, "━━━━╉▒▒────"),
        (0.6, 0.4, 0.4, "━━━━╋▒▒────"),
        (0.4, None, None, "━━━━╸──────"),
    ],
)
def test_as_a_crew_reads_it(now: float, base: float, aim: float | None, drawn: str) -> None:
    assert gauge(11, now, base, aim).plain == drawn
