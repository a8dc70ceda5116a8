"""What a crew met in the shop: every stop named, minimum pressures kept, no count misread."""

import pytest

from rules.crew.sheets.all import how_far
from rules.crew.sheets.describe.knobs import EndToEnd, read_counts
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.crew.sheets.walk import WALK
from rules.log.events.car import CarDescribed
from rules.question import UNKNOWN, ActionError, AnswerError
from rules.shop.fit_items import ITEMS
from rules.wording import say
from tests.support.crew import Crew, invented_car
from tests.support.shop import HEAVY, SURVEYED, Hand

PRESSURE = {
    "id": "rear tyre pressure", "kind": "tyre pressure", "axle": "rear", "unit": "kPa",
    "start": 90.0, "low": 50.0, "high": 200.0, "makers_minimum": 80.0,
}  # fmt: skip


def test_the_list_in_the_pits_names_every_check_that_failed() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, {**dict.fromkeys(ITEMS, "pass"), "bind": "fail", "hoses": "fail"})
    hand.finish(FIT_CHECKS)
    for key in ("bind", "hoses"):
        assert ITEMS[key].failed in hand.prompt.notice
    assert how_far(FIT_CHECKS, hand.state).endswith(", 2 FAIL")


def test_the_list_in_the_pits_names_every_stop_of_the_survey() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in", "touch hoses": "yes"})
    hand.finish(TRAVEL_SURVEY)
    assert "oil pan" in hand.prompt.notice
    assert "hoses" in hand.prompt.notice.lower()
    assert how_far(TRAVEL_SURVEY, hand.state).endswith(", 2 STOP")
    hand.say("all ok")
    assert how_far(TRAVEL_SURVEY, hand.state).endswith(", 2 STOP")


def test_a_walk_takes_no_pressure_under_the_makers_minimum() -> None:
    hand = Hand(invented_car(levers=[PRESSURE]))
    while (one := hand.open(WALK)) is not None and one.key != PRESSURE["id"]:
        hand.tell(WALK, f"{hand.state.settings[one.key]:g}")
    with pytest.raises(AnswerError, match="at least the tyre maker's minimum, 80 kPa"):
        hand.tell(WALK, "70 kPa")
    hand.tell(WALK, "80 kPa")


def test_no_baseline_and_no_way_back_goes_under_the_makers_minimum() -> None:
    crew = Crew(invented_car(levers=[PRESSURE]))
    crew.do("already turned", adjuster="rear tyre pressure", now="70")
    with pytest.raises(ActionError, match="minimum, 80 kPa"):
        crew.do("declare baseline", name="Low")
    low = Crew(invented_car(levers=[{**PRESSURE, "makers_minimum": None}]))
    low.do("already turned", adjuster="rear tyre pressure", now="70")
    low.do("declare baseline", name="Low")
    low.do("already turned", adjuster="rear tyre pressure", now="100")
    assert low.state.car is not None
    low.record([CarDescribed(car=invented_car(levers=[PRESSURE]))])
    low.put_back()
    assert low.state.settings["rear tyre pressure"] == 80


@pytest.mark.parametrize(
    ("text", "whole", "counts"),
    [
        ("3 turns", EndToEnd(12, turns=False), None),
        ("3 clicks", EndToEnd(12, turns=False), (3, 3)),
        ("3 clicks", EndToEnd(24, turns=True), None),
        ("3 turns", EndToEnd(24, turns=True), (24, 24)),
        ("9 / 11", EndToEnd(12, turns=False), (9, 11)),
    ],
)
def test_turns_are_no_clicks(text: str, whole: EndToEnd, counts: tuple[int, int] | None) -> None:
    assert read_counts(text, whole) == counts


@pytest.mark.parametrize(("known", "guess"), [("guess", True), ("weighed", False)])
def test_an_unsprung_weight_that_is_a_guess_is_kept_as_one(known: str, guess: bool) -> None:
    hand = Hand(HEAVY)
    weights = dict.fromkeys(("left front", "right front", "left rear", "right rear"), "350 kg")
    said = {**weights, "front unsprung": "60 kg", "unsprung known": known}
    hand.fill(SCALES, said)
    (edit,) = [one for one in hand.result(SCALES).edits if one.path[-1] == "front_unsprung"]
    assert edit.guess is guess


def test_without_an_unsprung_weight_nobody_is_asked_how_it_is_known() -> None:
    hand = Hand(HEAVY)
    hand.fill(SCALES, {"front unsprung": UNKNOWN, "rear unsprung": UNKNOWN})
    assert "unsprung known" not in hand.state.sheets[SCALES.id][-1].answers


def test_us_words_bend_their_article_and_their_plurals() -> None:
    assert say("A rebound knob turns a rebound", "us") == "An extension knob turns an extension"
    assert say("both axle centres", "us") == "both axle centers"
