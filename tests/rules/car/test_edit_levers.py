"""A lever's numbers edited in either unit; a knob for one side alone; another value picked."""

import pytest

from rules.car.model import Car
from rules.crew.sheets.edit.edit_sheet import EDIT
from rules.crew.sheets.rounds import said_again
from rules.question import AnswerError
from tests.support.crew import invented_car
from tests.support.shop import HEAVY, Hand, edits_of

PSI = invented_car(
    units="us",
    levers=(
        {
            "id": "front tyre pressure", "kind": "tyre pressure", "axle": "front", "unit": "psi",
            "start": 13, "low": 10, "high": 40, "step": 0.5,
        },
        {"id": "rear link", "kind": "link position", "axle": "rear", "start": "B",
         "positions": ["A", "B", "C"]},
    ),
)  # fmt: skip


@pytest.mark.parametrize(("typed", "psi"), [("12", 12), ("12 psi", 12), ("89 kPa", 12.9084)])
@pytest.mark.parametrize("key", ["start", "low"])
def test_a_levers_numbers_take_either_unit(typed: str, psi: float, key: str) -> None:
    # 1 psi is 6.894757 kPa: NIST Special Publication 811, appendix B.8, from memory.
    hand = Hand(PSI)
    hand.tell(EDIT, "Lever: front tyre pressure", f"levers.0.{key}", typed, "no")
    assert edits_of(hand, EDIT)[f"levers.0.{key}"] == pytest.approx(psi, abs=1e-3)


def test_a_levers_start_is_one_of_its_positions_or_a_number() -> None:
    hand = Hand(PSI)
    hand.tell(EDIT, "Lever: rear link", "levers.1.start")
    one = hand.open(EDIT)
    assert one is not None
    assert [choice.id for choice in one.choices] == ["A", "B", "C"]
    hand = Hand(PSI)
    hand.tell(EDIT, "Lever: front tyre pressure", "levers.0.start")
    with pytest.raises(AnswerError, match="wanted a number"):
        hand.tell(EDIT, "holes")


def test_another_value_picked_is_asked_for_and_takes_nothing_from_the_one_before() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Masses", "masses.total", "3000 lb", "measured")
    hand.record(said_again(EDIT, hand.state, "value"))
    hand.tell(EDIT, "masses.front_unsprung")
    one = hand.open(EDIT)
    assert one is not None
    assert one.key == "new"
    assert edits_of(hand, EDIT) == {}


def test_a_knob_that_one_side_has_comes_to_the_other_alone() -> None:
    raw = HEAVY.model_dump(by_alias=True)
    at = [damper.corner for damper in HEAVY.dampers].index("right front")
    knobs = raw["dampers"][at]["knobs"]
    raw["dampers"][at]["knobs"] = [knob for knob in knobs if knob["id"] != "rebound"]
    hand = Hand(Car.parse(raw))
    hand.tell(EDIT, "add a knob", "front", "clockwise", ("rebound",), "18", "9", "no")
    (edit,) = hand.result(EDIT).edits
    assert edit.label == "right front rebound"
