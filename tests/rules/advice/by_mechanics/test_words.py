"""Chances in tenths and risks in fiftieths, said so that nobody reads more into them."""

import pytest

from rules.advice.by_mechanics.words import RISKY, risk, tenths


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "under 1 in 10"),
        (0.049, "under 1 in 10"),
        (0.3, "3 in 10"),
        (0.86, "9 in 10"),
        (0.951, "more than 9 in 10"),
        (1.0, "more than 9 in 10"),
    ],
)
def test_a_chance_is_said_in_tenths_and_never_as_certain(chance: float, said: str) -> None:
    assert tenths(chance) == said


def test_a_risk_is_never_said_to_be_none() -> None:
    assert risk(0.0) == "under 1 in 50"
    assert risk(RISKY) == "1 in 50"
    assert risk(0.1) == "5 in 50"
