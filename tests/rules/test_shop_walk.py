"""The walk round the car: counts read aloud, the facts of a baseline, its card."""

import pytest
from crew import invented_car
from shop import HEAVY, Hand

from rules.actions import AlreadyTurned, act
from rules.printed.baseline_card import baseline_card
from rules.printed.page import as_markdown
from rules.session import AnswerError
from rules.shop.fit_sheet import FIT_CHECKS
from rules.shop.sheet import closed, filling, lines_of
from rules.shop.walk_sheet import WALK, round_the_car


def walked(hand: Hand, **found: str) -> None:
    fitted = {one.id: one for one in round_the_car(hand.state)}
    said = {key: one.show(hand.state.settings[key]).split()[0] for key, one in fitted.items()}
    hand.fill(WALK, {**said, "name": "Friday", **found})


def test_a_walk_declares_a_baseline_with_its_facts_and_recounts_what_differs() -> None:
    hand = Hand(HEAVY)
    walked(hand, **{"left front rebound": "10", "left front pressure": "30 psi", "air": "28 C"})
    hand.finish(WALK)
    baseline = hand.state.baseline
    assert baseline is not None
    assert baseline.name == "Friday"
    assert baseline.settings["left front rebound"] == 10
    assert baseline.facts == {"left front tyre": "30 psi", "Air": "28 C"}
    kinds = [event.body.kind for event in hand.log]
    assert kinds.count("recounted") == 1
    assert kinds[-2:] == ["baseline-declared", "sheet-closed"]


def test_a_walk_goes_round_the_car() -> None:
    hand = Hand(HEAVY.model_copy(update={"levers": ()}))
    walked(hand)
    corners = ["left front", "right front", "right rear", "left rear"]
    places = [one.place for one in round_the_car(hand.state) if one.place in corners]
    assert list(dict.fromkeys(places)) == corners
    labels = [label for label, _ in lines_of(WALK, filling(WALK, hand.state))]
    assert [one.removesuffix(" tyre") for one in labels if one.endswith(" tyre")] == corners


def test_a_walk_doubts_an_odd_pressure_and_a_ride_height_within_the_travel() -> None:
    """Ranges are common practice, no source."""
    sprung = HEAVY.front.model_copy(update={"bump_travel_m": 0.07})
    hand = Hand(HEAVY.model_copy(update={"front": sprung}))
    walked(hand, **{"left front pressure": "5 psi", "right front height": "60 mm"})
    given = dict(lines_of(WALK, filling(WALK, hand.state)))
    odd = {label.strip() for label in given if label.endswith("unusual")}
    assert odd == {"left front tyre: unusual", "right front ride height: unusual"}
    hand.finish(WALK)
    assert hand.state.baseline is not None
    assert set(hand.state.baseline.facts) == {"left front tyre", "right front ride height"}


def test_a_baseline_under_an_open_block_says_so_on_its_card() -> None:
    hand = Hand(HEAVY)
    hand.tell(FIT_CHECKS, "pass", "pass", "fail")
    walked(hand)
    assert "something binds. The baseline says so." in hand.result(WALK).says[-1]
    hand.finish(WALK)
    card = as_markdown(baseline_card(hand.state))
    assert "STOP. Not cleared when declared: Fit check failed: something binds." in card
    hand.do("declare baseline", name="Evening")
    assert "STOP. Not cleared" in as_markdown(baseline_card(hand.state))


def test_the_card_says_clicks_and_turns() -> None:
    turns = {"id": "rebound", "controls": "rebound", "turns": 3, "marks_per_turn": 8}
    turns |= {"count_from": "full hard", "start": 1.5}
    hand = Hand(invented_car(front=[turns]))
    card = as_markdown(baseline_card(hand.state))
    assert "| rebound | 1 1/2 turns | from full hard | 0 to 3 turns |" in card
    assert "| compression | 9 clicks | from full soft | 0 to 18 clicks |" in card


def test_a_walk_waits_for_a_half_done_work_order() -> None:
    hand = Hand(HEAVY)
    walked(hand)
    turned = AlreadyTurned(adjuster="left front rebound", now=11, sides="one")
    hand.record(act(hand.state, hand.book, turned, hand.new_id))
    assert "is not finished" in WALK.refuses(hand.state)
    with pytest.raises(AnswerError, match="is not finished"):
        closed(WALK, hand.state, hand.new_id)


def test_a_count_that_is_none_is_refused_by_name() -> None:
    hand = Hand(HEAVY)
    with pytest.raises(AnswerError, match=r"left front rebound: found .*wanted whole clicks"):
        hand.tell(WALK, "19")
