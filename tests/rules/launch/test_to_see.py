"""Before a pass the crew reads what to expect in things it can see, read or time, with ranges."""

from typing import get_args

import pytest

from rules.launch.forecast_words import SEEN, expected_details, to_see
from rules.launch.goals import MEASURES
from rules.launch.proposed_change import Effect, Expected, Range, Standing
from rules.units import System
from tests.support.launch.advised import carries
from tests.support.launch.car_questions import shipped_car
from tui.lines import LABEL, WIDTH

WIDEST = {"length": (0.26, 0.99), "distance": (30.5, 99.0), "force": (10.5e3, 49.4e3)}


def expected(standing: Standing = "agrees") -> Expected:
    effects = []
    for name, measure in MEASURES.items():
        low, high = WIDEST.get(measure, (1.23, 1.99))
        one = Range(low=low, middle=high, high=high)
        effects.append(Effect(name=name, measure=measure, before=one, after=one, less=1, more=0))
    return Expected(
        standing=standing, reason="x", goal="lift", trade_step=1, step=1, effects=tuple(effects)
    )


@pytest.mark.parametrize("system", get_args(System))
@pytest.mark.parametrize("ratio", [None, 0.6])
def test_all_that_can_be_seen_stands_in_a_row_each(system: System, ratio: float | None) -> None:
    rows = to_see(expected(), system, ratio)
    assert len(rows) == len(SEEN) + 1
    assert all(len(row) <= WIDTH - LABEL for row in rows)


def test_the_ring_is_told_as_it_is_read_on_the_shaft() -> None:
    [shaft] = [row for row in to_see(expected(), "metric", 0.5) if row.startswith("O-ring")]
    assert shaft == "O-ring 130 to 495 mm; unchanged 130 to 495."
    [wheel] = [row for row in to_see(expected(), "metric", None) if row.startswith("O-ring")]
    assert wheel == "O-ring, at the wheel 260 to 990 mm; unchanged 260 to 990."


@pytest.mark.parametrize("standing", get_args(Standing))
def test_every_number_is_told_once_and_only_where_the_launch_has_a_say(standing: Standing) -> None:
    says = standing in ("agrees", "disagrees")
    rows = to_see(expected(standing), "us", None)
    assert bool(rows) is says
    rest = [text for _, text in expected_details(expected(standing), "us")]
    assert any(text.startswith("front tyres reach") for text in rest) is not says
    assert any(text.startswith("least rear load") for text in rest)


def test_a_computed_advice_tells_what_the_crew_will_see() -> None:
    """Tyre height, O-ring, air time, where the front comes down, the nose, the 60-foot."""
    _, given = carries("demo")
    assert given.expected is not None
    rows = to_see(given.expected, "us", shipped_car("demo").front.damper_ratio)
    begins = ("Front tyres up", "O-ring ", "In the air", "Down again at", "Nose up", "60-foot")
    assert all(row.startswith(start) for row, start in zip(rows[:-1], begins, strict=True))
