"""What measurements say before and after a change, and which levers answer for one another."""

from dataclasses import replace
from math import nan

import pytest

from rules.evidence.interactions import INTERACTIONS, SAME_DAMPER, flagged, interacting
from rules.evidence.measured import BeforeAfter

RING_WORSE = BeforeAfter("front ring", 40.0, 1.0, 55.0, 1.0, "less", 3.0)


@pytest.mark.parametrize(
    ("after", "give", "says"),
    [
        (30.0, 1.0, "better"),
        (50.0, 1.0, "worse"),
        (40.2, 1.0, "same"),
        (39.0, 0.2, "same"),
        (36.0, 8.0, "cannot tell"),
    ],
)
def test_what_a_measurement_says(after: float, give: float, says: str) -> None:
    ring = BeforeAfter("front ring", 40.0, give, after, give, "less", 3.0)
    assert ring.says == says
    mirrored = BeforeAfter("front ring", -40.0, give, -after, give, "more", 3.0)
    assert mirrored.says == says


def test_a_wrong_measurement_is_refused() -> None:
    with pytest.raises(ValueError, match="front ring after"):
        replace(RING_WORSE, after=nan)
    with pytest.raises(ValueError, match="front ring before_give: found 0; wanted above 0"):
        replace(RING_WORSE, before_give=0.0)


def test_interacting_levers_are_flagged() -> None:
    assert [one.why for one in interacting(["front rebound", "launch"])] == [
        "thrust lifts the front, rebound slows it"
    ]
    high_low = interacting(["rear low-speed compression", "rear high-speed rebound"])
    assert [one.why for one in high_low] == [SAME_DAMPER]
    assert interacting(["front rebound", "rear compression"]) == []
    assert interacting(["launch", "launch"]) == []
    assert flagged([]) == ""
    assert "Credit neither alone" in flagged(interacting(["launch", "rear tyre pressure"]))
    pairs = [frozenset((one.one, one.other)) for one in INTERACTIONS]
    assert len(set(pairs)) == len(pairs)
