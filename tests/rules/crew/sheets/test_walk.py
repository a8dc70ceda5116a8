"""The walk round the car: counts read aloud, the facts of a baseline, its card."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.book import shipped
from rules.car.adjusters import adjusters
from rules.crew.actions import AlreadyTurned, act
from rules.crew.sheets.edit.lever_values import read_setting, step_fault
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import closed, filling, lines_of
from rules.crew.sheets.walk import WALK, round_the_car, walk_sheet
from rules.log.events.car import BaselineDeclared, Recounted
from rules.paper.baseline_card import baseline_card
from rules.paper.page import as_markdown
from rules.question import AnswerError
from tests.support.crew import invented_car
from tests.support.shop import HEAVY, Hand


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


LEVERS: tuple[dict[str, Any], ...] = (
    {"id": "rear tyre pressure", "kind": "tyre pressure", "axle": "rear", "unit": "kPa"}
    | {"step": 5, "low": 60, "high": 110, "start": 90},
    {"id": "front height", "kind": "ride height", "axle": "front", "unit": "mm", "step": 2}
    | {"low": 100, "high": 140, "start": 121},
    {"id": "launch rpm", "kind": "launch rpm", "axle": "car", "unit": "rpm", "step": 100}
    | {"low": 3000, "high": 5000, "start": 4200},
    {"id": "preload", "kind": "preload", "axle": "rear", "unit": "flats", "low": 0, "high": 8}
    | {"start": 2},
)


def test_a_walk_reads_a_levers_setting_once_and_recounts_it() -> None:
    hand = Hand(invented_car(levers=LEVERS))
    found = {"rear tyre pressure": "95 kPa", "front height": "121", "launch rpm": "4300 rpm"}
    walked(hand, **found, preload="3", **{"left rear height": "150 mm"})
    asked = [one.key for one in WALK.asked(filling(WALK, hand.state))]
    assert [key for key in asked if key.endswith(("pressure", "height"))] == [
        *("rear tyre pressure", "front height", "left front pressure", "right front pressure"),
        *("right rear height", "left rear height"),
    ]
    questions = [one.question for one in WALK.asked(filling(WALK, hand.state))]
    assert "Launch settings: converter or clutch, two-step?" in questions
    says = " ".join(hand.result(WALK).says)
    assert "rear tyre pressure: found 95 kPa, the book has 90 kPa." in says
    assert "launch rpm: found 4300 rpm, the book has 4200 rpm." in says
    assert "front height" not in says
    hand.finish(WALK)
    recounts = {body.adjuster: body.found for body in recounted(hand)}
    assert recounts == {"rear tyre pressure": 95, "launch rpm": 4300, "preload": 3}
    assert hand.state.baseline is not None
    assert hand.state.baseline.settings["rear tyre pressure"] == 95
    assert set(hand.state.baseline.facts) == {"left rear ride height"}


def test_a_lever_that_is_no_height_leaves_the_heights_to_be_asked() -> None:
    collar = {"id": "collar", "kind": "ride height", "axle": "front", "unit": "turns", "start": 3}
    hand = Hand(invented_car(levers=[collar]))
    keys = [one.key for one in WALK.fields(filling(WALK, hand.state))]
    assert {"collar", "left front height", "right front height"} <= set(keys)


def recounted(hand: Hand) -> list[Recounted]:
    return [event.body for event in hand.log if isinstance(event.body, Recounted)]


def test_a_setting_may_be_typed_in_the_other_unit() -> None:
    """1 psi is 6.894757 kPa (NIST SP 811, B.8); 1 in is 25.4 mm by definition."""
    hand = Hand(invented_car())  # its crew thinks metric, its gauge reads psi
    walked(hand, **{"rear tyre pressure": "86.184466 kPa", "front limiter": "63.5 mm"})
    hand.finish(WALK)
    settings = {"rear tyre pressure": 12.5, "front limiter": 2.5}
    assert {key: hand.state.settings[key] for key in settings} == settings


@pytest.mark.parametrize(
    ("key", "typed", "named"),
    [
        (
            "rear tyre pressure",
            "12.2",
            "found 12.2 psi; wanted steps of 0.5 psi, such as 12 psi",
        ),
        ("rear tyre pressure", "8", "found 8.*wanted 9 psi to 16 psi"),
        ("rear tyre pressure", "13 mm", "found '13 mm'; wanted a number"),
        ("launch rpm", "4250", "found 4250 rpm; wanted steps of 100 rpm, such as 4200 rpm or 4300"),
        ("launch rpm", "6100", "found 6100, wanted 2000 rpm to 6000 rpm"),
        ("launch rpm", "fast", "found 'fast', wanted 2000 rpm to 6000 rpm"),
    ],
)
def test_a_setting_the_lever_does_not_allow_is_refused_by_name(
    key: str, typed: str, named: str
) -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(WALK)) is not None and one.key != key:
        hand.tell(WALK, hand.fitted[one.key].show(hand.state.settings[one.key]).split()[0])
    before = hand.state
    with pytest.raises(AnswerError, match=f"{key}: {named}"):
        hand.tell(WALK, typed)
    assert hand.state is before


@given(st.integers(0, 14), st.sampled_from(["", " psi", " kPa"]))
def test_every_step_of_a_lever_is_taken_and_nothing_between(step: int, unit: str) -> None:
    one = adjusters(HEAVY)["rear tyre pressure"]
    for setting in (9 + step / 2, 9.25 + step / 2):
        typed = setting * (6.894757293168 if unit == " kPa" else 1)
        if setting <= 16:
            found = read_setting(one, f"{typed:.9f}{unit}")
            assert found == pytest.approx(setting, abs=1e-5)
            assert bool(step_fault(one, found, one.start)) is (setting * 2 != round(setting * 2))


def test_where_a_lever_stands_is_always_one_of_its_steps() -> None:
    hand = Hand(HEAVY)
    hand.do("recount", adjuster="rear tyre pressure", found="12.3")
    walked(hand)
    assert hand.result(WALK).says[0] == "Every count agrees with the book."


def test_the_walk_asks_the_crews_own_book_what_is_open() -> None:
    book = shipped()
    name = {"name": "Our own fault"}
    carries = book.symptoms["front-carries"].model_copy(update=name)
    own = replace(book, symptoms=book.symptoms | {"front-carries": carries})
    hand = Hand(HEAVY)
    hand.say(["front-carries"])
    walked(hand)
    now = filling(WALK, hand.state)
    assert "Our own fault." in " ".join(walk_sheet(own).result(now).says)
    assert "Our own fault." not in " ".join(WALK.result(now).says)
    declared = closed(walk_sheet(own), hand.state, hand.new_id)[-2]
    assert isinstance(declared, BaselineDeclared)
    assert "Our own fault." in declared.facts["Not cleared when declared"]
