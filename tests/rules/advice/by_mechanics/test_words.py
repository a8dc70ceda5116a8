"""Chances in tenths and risks in fiftieths, said so that nobody reads more into them."""

import pytest

from rules.advice.by_mechanics.choice import stated
from rules.advice.by_mechanics.words import (
    DOES,
    RISKY,
    gone_or_less,
    risk,
    tenths,
    what_it_does,
)
from rules.launch.belief.foretold import FORETOLD
from rules.launch.outlook import Prospect
from rules.launch.proposed_change import Effect, Range


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


@pytest.mark.parametrize("gone", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("better", [0.0, 0.3, 0.5, 0.8, 1.0])
def test_a_fault_is_never_said_to_be_less_on_fewer_cars_than_it_is_gone_on(
    gone: float, better: float
) -> None:
    prospect = Prospect(good=0.0, gone=gone, better=better, harm=0.0, small=0.0, left=0.0)
    said = gone_or_less(prospect)
    assert said.startswith(f"gone on {tenths(stated(prospect))} such cars")
    more = better > stated(prospect) and tenths(better) != tenths(stated(prospect))
    assert ("less on" in said) == more


def effect(name: str, less: float, more: float) -> Effect:
    middle = Range(low=0.0, middle=0.1, high=0.2)
    return Effect(name=name, measure="length", before=middle, after=middle, less=less, more=more)


def test_a_computed_turn_says_the_clearest_three_things_it_does() -> None:
    effects = (
        effect("lift", 0.98, 0.0),
        effect("landing travel", 0.75, 0.1),
        effect("bounce", 0.4, 0.3),
        effect("landing load", 0.9, 0.0),
        effect("least rear load", 0.0, 0.97),
        effect("travel left", 0.0, 1.0),
    )
    assert what_it_does(effects) == (
        "On the cars that fit the passes so far the front goes up less, the rear tyres keep more "
        "load and it lands with less of a blow."
    )
    assert what_it_does(effects[:1]).endswith("the front goes up less.")
    assert "some of the cars" in what_it_does(effects[2:3])


def test_every_thing_that_is_said_is_a_number_that_is_foretold() -> None:
    assert DOES.keys() <= set(FORETOLD)
