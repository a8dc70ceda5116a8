"""The shop's sheets on paper: empty to take under the car, and as they were filled in."""

import pytest

from rules.crew.sheets.all import MENU
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.log.state import State
from rules.paper.page import as_html, as_markdown
from rules.paper.shop_page import shop_page
from rules.shop.fit_items import ITEMS
from tests.support.shop import HEAVY, SURVEYED, Hand


@pytest.mark.parametrize("sheet", MENU, ids=lambda sheet: sheet.id)
def test_every_sheet_prints_empty_with_each_question_and_the_cautions(sheet: Sheet) -> None:
    page = shop_page(Hand(HEAVY).state, sheet, blank=True)
    text = as_markdown(page)
    asked = list(sheet.fields(filling(sheet, Hand(HEAVY).state)))
    (questions,) = [one for one in page.sections if one.title == "To fill in"]
    assert len(questions.tables[0].rows) == len(asked)
    assert "never a jack alone" in text
    assert "{" not in text
    assert text.isascii()
    assert "<table>" in as_html(page)


def test_a_blank_sheet_says_units_and_choices_and_no_answers() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    text = as_markdown(shop_page(hand.state, TRAVEL_SURVEY, blank=True))
    assert "how long is it at full bump? | mm |" in text
    assert "| Yes / No |" in text
    assert "14 in" not in text


def test_a_filled_one_says_what_comes_of_it_the_gravest_first() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in"})
    page = shop_page(hand.state, TRAVEL_SURVEY)
    assert page.lines[-1] == "Not finished yet"
    outcome, answered, _ = page.sections
    words = [row[0] for row in outcome.tables[0].rows]
    assert words == sorted(words, key=["STOP", "LOOK", "open", "ok"].index)
    assert words[0] == "STOP"
    assert ("Front damper at ride height", "14 in") in answered.tables[0].rows
    hand.finish(TRAVEL_SURVEY)
    assert shop_page(hand.state, TRAVEL_SURVEY).lines[-1].startswith("Finished 2031-05-04")


def test_a_list_to_tick_prints_what_is_still_open() -> None:
    hand = Hand(HEAVY)
    hand.tell(FIT_CHECKS, "pass")
    (answered,) = [
        one for one in shop_page(hand.state, FIT_CHECKS).sections if one.title == "Answered"
    ]
    assert len(answered.tables[0].rows) == len(ITEMS)
    assert answered.tables[0].rows[1][1] == "[    ]"


def test_nothing_filled_in_and_no_car_are_refused() -> None:
    with pytest.raises(ValueError, match="Fit checks: nothing is filled in yet"):
        shop_page(Hand(HEAVY).state, FIT_CHECKS)
    with pytest.raises(ValueError, match="no car"):
        shop_page(State(), FIT_CHECKS, blank=True)
