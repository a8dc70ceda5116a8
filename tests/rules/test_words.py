"""What a crew reads is said in its own words: the sentences that were stumbled over stay away."""

import re

import pytest

from rules.advice.safety.gates import ALWAYS_IN_WORK, always_in_work
from rules.book import shipped
from rules.wording import say
from tests.support.rule_text import texts_of

JACK_STAND = re.compile(r"\b(a|the|big|small|lower|any|hard-landing) stand\b", re.I)
STUMBLES = ("rods of the axle", "up the ladder", "grip without end", "race meeting")


@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_sentence_of_the_book_is_stumbled_over(system: str) -> None:
    """Property: a stand is what a car is put on; what the front does is a wheelie."""
    for text in texts_of(shipped()):
        told = say(text, system)  # type: ignore[arg-type]
        assert not JACK_STAND.search(told), told
        assert not any(one in told.lower() for one in STUMBLES), told


def test_torque_is_said_where_something_is_bolted() -> None:
    engine_off, torque = ALWAYS_IN_WORK
    assert always_in_work(["tyre pressure"]) == (engine_off,)
    assert always_in_work(["launch rpm"]) == (engine_off,)
    for part in ("knob", "spring", "valving", "link position", "travel limiter", ""):
        assert always_in_work([part]) == ALWAYS_IN_WORK
    assert always_in_work(["tyre pressure", "spring"]) == (engine_off, torque)
