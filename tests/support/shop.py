"""A hand that fills in sheets for the tests, with answers by key or in order."""

from collections.abc import Mapping
from typing import Any

from rules.crew.sheets.rounds import answered, closed, filling, open_field, taken_back
from rules.crew.sheets.sheet import KEEP, Result, Sheet, SheetField
from rules.log.state import State
from rules.question import UNKNOWN
from tests.support.crew import Crew, invented_car

MASSES = {"total": 1400, "front_unsprung": 60, "rear_unsprung": 150}
HEAVY = invented_car(masses=MASSES, geometry={"wheelbase": 2.7})
SURVEYED = {
    "front ride": "14 in", "front full bump": "12 in", "front full droop": "16 in",
    "front shortest": "11.5 in", "front longest": "16.5 in", "front coil-over": "yes",
    "front spring at ride": "10 in", "front spring free": "14 in", "front spring solid": "6 in",
    "front spring rate": "200 lb/in", "front squash": "1 in", "front alike": "yes",
    **{f"front height {n}": f"{n - 3} in / {14 - 0.8 * (n - 3)} in" for n in range(1, 6)},
    "oil pan": "5 in", "oil pan ahead": "-6 in",
    "rear ride": "14 in", "rear full bump": "11 in", "rear full droop": "17 in",
    **{f"rear height {n}": f"{n - 3} in / {14 - 0.9 * (n - 3)} in" for n in range(1, 6)},
}  # fmt: skip
RIGHT = {
    key.replace("front", "right front", 1): value
    for key, value in SURVEYED.items()
    if key.startswith("front") and not key.endswith(("coil-over", "squash", "alike"))
}


class Hand(Crew):
    """A crew in its shop."""

    def open(self, sheet: Sheet) -> SheetField | None:
        """Return the field that is open."""
        return open_field(sheet, filling(sheet, self.state))

    def tell(self, sheet: Sheet, *values: Any) -> None:
        """Answer the open fields in order."""
        for value in values:
            one = self.open(sheet)
            assert one is not None, f"nothing is open for {value!r}"
            self.record(answered(sheet, self.state, one.key, value))

    def fill(self, sheet: Sheet, said: Mapping[str, Any] | None = None) -> int:
        """Answer by key to the end, the rest "don't know" or the first; count the questions."""
        count = 0
        while (one := self.open(sheet)) is not None:
            value = (said or {}).get(one.key, dont_know(one))
            self.record(answered(sheet, self.state, one.key, value))
            count += 1
        return count

    def back(self, sheet: Sheet) -> None:
        """Go back one question."""
        self.record(taken_back(sheet, self.state))

    def finish(self, sheet: Sheet) -> None:
        """Finish the round."""
        self.record(closed(sheet, self.state, self.new_id))

    def result(self, sheet: Sheet) -> Result:
        """Return what came of the open round."""
        return sheet.result(filling(sheet, self.state))


class Newcomer(Hand):
    """A crew without a car."""

    def __init__(self) -> None:
        super().__init__()
        self.log, self.state = [], State()


def dont_know(one: SheetField) -> Any:
    """Return "don't know", or what stands for it where it is no answer."""
    if one.kind == "many":
        return (one.default or one.choices[-1].id,)
    if one.unknown:
        return UNKNOWN
    if one.default is not None:
        return one.default
    ids = [choice.id for choice in one.choices]
    if KEEP in ids:
        return KEEP
    return ids[0] if ids else "1"


def edits_of(hand: Hand, sheet: Sheet) -> dict[str, object]:
    """Return what the open round could put into the car file, by its place."""
    return {".".join(map(str, one.path)): one.value for one in hand.result(sheet).edits}
