"""The shop's sheets on paper: empty to take under the car, and as they were filled in."""

from html import unescape

import pytest

from rules.crew.sheets.all import MENU
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.log.state import State
from rules.paper.page import as_html, as_markdown
from rules.paper.shop_page import blank_fields, shop_page
from rules.shop.fit_items import ITEMS
from rules.wording import say
from tests.rules.shop.test_leaf import leaf_car
from tests.support.shop import HEAVY, SURVEYED, Hand


@pytest.mark.parametrize("sheet", MENU, ids=lambda sheet: sheet.id)
def test_every_sheet_prints_empty_with_each_question_and_the_cautions(sheet: Sheet) -> None:
    page = shop_page(Hand(HEAVY).state, sheet, blank=True)
    text = as_markdown(page)
    state = Hand(HEAVY).state
    parts = [one for one in page.sections if one.room == "write"]
    numbers = {row[0] for one in parts for row in one.tables[0].rows if row[0]}
    asked = blank_fields(sheet, state)
    assert numbers == {str(number) for number, _ in enumerate(asked, 1)}
    assert {one.key for one in sheet.fields(filling(sheet, state))} <= {one.key for one in asked}
    assert "never a jack alone" in text
    assert "{" not in text
    assert text.isascii()
    assert "<table>" in as_html(page)


def test_what_is_done_to_dampers_has_a_part_on_paper_for_each_job() -> None:
    """Under the car there is no screen: which pack, which counts, the oil, are written down."""
    page = shop_page(Hand(HEAVY).state, DAMPERS, blank=True)
    parts = {one.title: one.tables[0].rows for one in page.sections if one.room == "write"}
    assert [*parts] == [
        "To fill in", "Another valving", "Other springs", "Service", "A damper described",
    ]  # fmt: skip
    asked = " ".join(str(row[1]) for row in parts["Another valving"])
    for words in ("Which valving came out?", "Gas pressure", "Was any oil seen", "rear rebound"):
        assert words in asked


def test_a_blank_sheet_says_units_and_choices_and_no_answers() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    text = as_markdown(shop_page(hand.state, TRAVEL_SURVEY, blank=True))
    assert "first touch. | mm | mm |" in text
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


@pytest.mark.parametrize("sheet", MENU, ids=lambda sheet: sheet.id)
def test_under_the_car_there_is_room_for_a_glove(sheet: Sheet) -> None:
    """Rows of 9 mm and more, a date, room for notes, hints beside the questions."""
    page = shop_page(Hand(HEAVY).state, sheet, blank=True)
    html = as_html(page)
    assert ".write td, .grid td { height: 9mm;" in html
    for one in page.sections:
        assert (one.room != "") == bool(one.tables)
    assert "Date:" in html
    assert 'class="notes"' in html
    hints = [one.hint for one in blank_fields(sheet, Hand(HEAVY).state) if one.hint]
    assert all(
        say(one, "metric") in unescape(html) for one in hints if one[:3] not in ("F5 ", "F6 ")
    )


def test_the_survey_on_paper_has_both_sides_sample_rows_and_its_stages() -> None:
    page = shop_page(Hand(HEAVY).state, TRAVEL_SURVEY, blank=True)
    titles = [one.title for one in page.sections]
    assert titles.index("Car down, as raced, springs in") < titles.index("On stands, springs out")
    (out,) = [one for one in page.sections if one.title == "On stands, springs out"]
    assert out.tables[0].header == ("", "question", "left", "right")
    rows = [row for row in out.tables[0].rows if "height 1 of 5" in str(row[1])]
    assert "-50 mm / 387 mm" in str(rows[0][1])


def test_a_leaf_on_paper_has_rows_for_its_rates_its_pack_and_its_devices_gaps() -> None:
    keys = [one.key for one in blank_fields(TRAVEL_SURVEY, Hand(leaf_car()).state)]
    wanted = {"rear spring rate", "rear spring rate in droop", "rear leaf thickness"}
    assert wanted | {"rear gap left", "rear gap right", "rear rise"} <= set(keys)
    assert not any("front leaf" in key or "front gap" in key for key in keys)


def test_the_stock_sheet_on_paper_has_a_grid_for_each_stroke() -> None:
    page = shop_page(Hand(HEAVY).state, STOCK, blank=True)
    grids = [one for one in page.sections if "rows under it" in one.title]
    assert [one.title.split(". ")[1] for one in grids] == [
        "Compression head and the rows under it", "Rebound head and the rows under it",
    ]  # fmt: skip
    assert all(len(one.tables[0].rows) >= 12 for one in grids)
