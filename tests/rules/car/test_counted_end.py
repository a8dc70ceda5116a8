"""A dyno table counts its knob from the car file's end, or it is no table of that knob.

A table counted from the other end gives each count the force of its mirror: the clicks that
"keep" a force would then be wrong without a word. Expected forces are typed by hand here.
"""

from typing import Any

import pytest

from rules.car.adjusters import adjusters
from rules.car.checks import cross_faults
from rules.car.counted_end import end_of
from rules.car.dyno_tables import read_rows
from rules.car.model import Car
from rules.crew.sheets.stock import STOCK
from rules.launch.kept_force import kept_counts
from rules.question import AnswerError
from rules.shop.stock import crossing_words
from tests.support.crew import LEVERS, invented_car, knob
from tests.support.shop import Hand, edits_of

SOFT = ["speed [in/s], 0 [lb], 6 [lb], 12 [lb]", "2, 22, 45, 90", "10, 67, 135, 270"]
FIRM = ["speed [in/s], 0 [lb], 6 [lb], 12 [lb]", "2, 45, 90, 180", "10, 135, 270, 540"]
TURNED = ["speed [in/s], 0 [lb], 6 [lb], 12 [lb]", "2, 180, 90, 45", "10, 540, 270, 135"]
ALIKE = ["speed [in/s], 0 [lb], 12 [lb]", "2, 45, 45", "10, 135, 135"]
LEVER = {
    "id": "front valving", "kind": "valving", "axle": "front", "minutes": 60, "lift_car": True,
    "positions": ["stack 1", "stack 2"], "start": "stack 1",
}  # fmt: skip


def valved(new: list[str], own: list[str] = SOFT, **more: Any) -> Car:
    front = [knob("rebound", "rebound", clicks=12, start=9, rebound_dyno=own, **more)]
    stock = ({"kind": "valving", "axle": "front", "name": "stack 2", "rebound_dyno": new},)
    return invented_car(front=front, levers=[*LEVERS, LEVER], stock=stock, units="us")


@pytest.mark.parametrize(
    ("rows", "end"), [(SOFT, "full soft"), (TURNED, "full hard"), (ALIKE, None)]
)
def test_a_table_says_the_end_it_counts_from(rows: list[str], end: str | None) -> None:
    assert end_of(read_rows("\n".join(rows))) == end


def test_a_fast_row_that_crosses_does_not_turn_a_table_round() -> None:
    rows = ["speed [in/s], 0 [lb], 12 [lb]", "2, 20, 90", "10, 100, 130", "20, 252, 250"]
    assert end_of(read_rows("\n".join(rows))) == "full soft"


@pytest.mark.parametrize(
    ("car", "where"),
    [
        (valved(FIRM, TURNED), "left front rebound.rebound_dyno"),
        (valved(TURNED), "stock stack 2.rebound_dyno"),
        (valved(FIRM, TURNED, count_from="full hard"), "stock stack 2.rebound_dyno"),
    ],
    ids=["own", "owned", "owned, counted from full hard"],
)
def test_a_table_from_the_other_end_is_a_fault_with_both_readings(car: Car, where: str) -> None:
    fault = next(str(one) for one in cross_faults(car) if one.where == where)
    counted = car.dampers[0].knobs[0].count_from
    other = {"full soft": "full hard", "full hard": "full soft"}[counted]
    assert f"as the knob counts from {counted}" in fault
    assert f"either the table counts from {other}, or count_from is {other}" in fault
    assert "lb at 0 and" in fault
    assert "lb at 12, at 10 in/s" in fault


def test_tables_from_the_files_end_have_no_fault() -> None:
    assert not cross_faults(valved(FIRM))
    assert not cross_faults(valved(TURNED, TURNED, count_from="full hard"))


@pytest.mark.parametrize(("own", "new"), [(SOFT, TURNED), (TURNED, FIRM)])
def test_no_click_is_known_from_a_table_that_is_turned_round(
    own: list[str], new: list[str]
) -> None:
    """A log may hold such a car from before: its counts are not worked out."""
    car = valved(new, own)
    fitted = adjusters(car)
    settings = {one.id: one.start for one in fitted.values()}
    assert kept_counts(car, settings, fitted["front valving"], 1.0, "low speed") == {}
    assert crossing_words(car, settings, car.stock[0], "rebound") == ""


def test_the_stock_sheet_asks_the_end_and_turns_the_table_for_the_file() -> None:
    """The builder counts from full hard, the knob from full soft: 0 and 12 change places."""
    hand = Hand(valved(FIRM))
    hand.tell(STOCK, "valving", "front", "Odd", "no", "yes", *TURNED, "end")
    asked = hand.open(STOCK)
    assert asked is not None
    assert not asked.unknown
    assert "Your rebound counts from full soft" in asked.hint
    with pytest.raises(AnswerError, match="wanted a force rising with the count, or full hard"):
        hand.tell(STOCK, "full soft")
    hand.tell(STOCK, "full hard")
    shown = hand.open(STOCK)
    assert shown is not None
    assert shown.plot == tuple(TURNED)
    assert "in the file they count from full soft" in shown.hint
    hand.fill(STOCK, {"fitted": "none of them"})
    kept = edits_of(hand, STOCK)["stock.1"]
    assert isinstance(kept, dict)
    table = read_rows("\n".join(kept["rebound_dyno"]))
    assert end_of(table) == "full soft"
    there = read_rows("\n".join(TURNED))
    for count in there.settings:
        place, other = there.settings.index(count), table.settings.index(12 - count)
        assert [row[place] for row in there.forces] == [row[other] for row in table.forces]
