"""Every sheet under any hand: whatever is typed, said again or taken back, it goes on."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.all import MENU, how_far
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.rounds import correctable, faults, filling, finished, said_again
from rules.crew.sheets.sheet import Sheet, SheetField
from rules.log.folds.fold import fold
from rules.question import UNKNOWN, AnswerError
from tests.support.crew import invented_car
from tests.support.sample import examples
from tests.support.shop import HEAVY, Hand

TYPED = (
    "1", "2", "12", "3 in", "5 in", "10 in", "11 in", "14 in", "16 in", "100 kg", "300 lb",
    "3000 lb", "20 psi", "89 kPa", "200 lb/in", "1.4", "30 in/s", "7 clicks", "2 turns", "8 / 10",
    "1 in / 10 in", "2 in / 9 in", "-1 in / 11 in", "1 in / 9 in / 8 in", "a; b", "B", "psi", "mm",
)  # fmt: skip
LEVERED = invented_car(
    masses={"total": 1400, "front_unsprung": 60, "rear_unsprung": 150},
    geometry={"wheelbase": 2.7},
    levers=[
        {"id": "front limiter", "kind": "travel limiter", "axle": "front", "start": 50.0,
         "unit": "mm"},
        {"id": "rear spring", "kind": "spring", "axle": "rear", "start": "Blue",
         "positions": ["Blue", "Red"]},
    ],
    stock=[
        {"kind": "spring", "axle": "rear", "name": name, "rate": rate}
        for name, rate in (("Blue", 20e3), ("Red", 30e3))
    ],
)  # fmt: skip


def any_answer(one: SheetField) -> st.SearchStrategy[Any]:
    """Return what a hand may answer: a choice, something typed, or don't know."""
    ids = [choice.id for choice in one.choices if not choice.why_not]
    if one.kind == "many":
        return st.lists(st.sampled_from(ids or [UNKNOWN]), min_size=1, max_size=3).map(tuple)
    if one.kind == "one":
        return st.sampled_from([*ids, *([UNKNOWN] if one.unknown else [])] or [UNKNOWN])
    return st.sampled_from([*TYPED, UNKNOWN, *([one.default] if one.default else [])])


@pytest.mark.parametrize("car", [HEAVY, LEVERED], ids=["plain", "levers"])
@pytest.mark.parametrize("sheet", [*MENU, NEW_CAR], ids=lambda sheet: sheet.id)
@given(data=st.data())
@examples(1, 12)
def test_no_answer_and_no_correction_stops_a_sheet(
    sheet: Sheet, car: Any, data: st.DataObject
) -> None:
    """Answer, correct and take back as drawn; what is derived from the sheet never fails."""
    hand = Hand(car)
    for _ in range(data.draw(st.integers(1, 40))):
        one, now = hand.open(sheet), filling(sheet, hand.state)
        given_so_far = correctable(sheet, finished(sheet, hand.state) or now)
        try:
            if given_so_far and (one is None or data.draw(st.integers(0, 7)) == 0):
                key = data.draw(st.sampled_from([key for key, _, _ in given_so_far]))
                hand.record(said_again(sheet, hand.state, key))
            elif one is not None:
                hand.tell(sheet, data.draw(any_answer(one)))
            else:
                break
        except AnswerError:
            continue
        now = filling(sheet, hand.state)
        how_far(sheet, hand.state)
        faults(sheet, now)
        sheet.result(now)
        open_blocks(hand.state, hand.book)
    assert fold(hand.log) == hand.state
    while filling(sheet, hand.state).answers:
        hand.back(sheet)
