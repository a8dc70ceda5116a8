"""Sheets without a screen: the same events and faults, by the actions that `consult` takes."""

import pytest

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import finished
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.walk import WALK
from rules.log.events.car import BaselineDeclared
from rules.question import ActionError
from tests.support.shop import HEAVY, Hand


def test_actions_make_the_events_that_the_screen_makes() -> None:
    by_hand, by_action = Hand(HEAVY), Hand(HEAVY)
    said = {
        "driver": "aboard", "fuel": "full", "left front": 380.0, "right front": "815 lb",
        "left rear": "330", "right rear": "325", "again": "no", "front unsprung": "unknown",
        "rear unsprung": "150 kg", "unsprung known": "weighed",
    }  # fmt: skip
    for key, value in said.items():
        by_hand.tell(SCALES, f"{value:g}" if isinstance(value, float) else value)
        by_action.do("answer sheet", sheet="scales", key=key, value=value)
    by_hand.finish(SCALES)
    by_action.do("finish sheet", sheet="scales")
    assert [event.body for event in by_action.log] == [event.body for event in by_hand.log]
    assert by_action.state.sheets == by_hand.state.sheets


def test_a_finished_sheet_is_corrected() -> None:
    hand = Hand(HEAVY)
    hand.fill(SCALES)
    hand.do("finish sheet", sheet="scales")
    hand.do("say again", sheet="scales", key="fuel")
    hand.do("answer sheet", sheet="scales", key="fuel", value="half")
    hand.do("finish sheet", sheet="scales")
    last = finished(SCALES, hand.state)
    assert last is not None
    assert last.answers["fuel"] == "half"


def test_a_failed_check_blocks_the_pits() -> None:
    hand = Hand(HEAVY)
    for key in ("stands", "reach"):
        hand.do("answer sheet", sheet="fit checks", key=key, value="pass")
    hand.do("answer sheet", sheet=FIT_CHECKS.id, key="bind", value="fail")
    assert [one.says for one in open_blocks(hand.state, hand.book)] == [
        "Fit check failed: something binds."
    ]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"action": "answer sheet", "sheet": "scale", "key": "x", "value": "1"},
            "wanted one of edi",
        ),
        (
            {"action": "answer sheet", "sheet": "scales", "key": "fuel", "value": "1"},
            "it is driver",
        ),
        ({"action": "answer sheet", "sheet": "scales", "key": "driver", "value": "maybe"}, "maybe"),
        ({"action": "say again", "sheet": "scales", "key": "fuel"}, "is not answered here"),
        ({"action": "finish sheet", "sheet": "scales"}, "Driver: is still open"),
    ],
)
def test_what_does_not_fit_is_named(fields: dict[str, str], words: str) -> None:
    hand = Hand(HEAVY)
    before = list(hand.log)
    with pytest.raises(ActionError, match=words):
        hand.do(**fields)
    assert hand.log == before


def test_a_walk_without_a_screen_declares_its_baseline() -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(WALK)) is not None:
        now = hand.state.settings.get(one.key)
        value = "Friday" if one.key == "name" else "unknown" if now is None else f"{now:g}"
        hand.do("answer sheet", sheet="baseline walk", key=one.key, value=value)
    hand.do("finish sheet", sheet="baseline walk")
    (declared,) = [
        event.body
        for event in hand.log
        if isinstance(event.body, BaselineDeclared) and event.body.name == "Friday"
    ]
    assert declared.settings == hand.state.settings
