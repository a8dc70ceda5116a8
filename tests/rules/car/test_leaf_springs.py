"""A leaf spring carries the axle itself: its rate at the wheel is its own, wherever dampers are.

By hand: two leaves of 150 lb/in make 300 lb/in at the wheel in heave; 1 lb/in is 175.126835 N/m
(NIST SP 811, B.8, from memory).
"""

import pytest

from rules.car.body import Axle
from rules.car.model import Car
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.survey import TRAVEL_SURVEY, survey_of
from rules.launch.cloud.on_paper import Known, on_paper
from rules.shop.spring_fit import seat_of
from tests.support.crew import invented_car
from tests.support.shop import SURVEYED, Hand, edits_of

LB_IN = 175.126835
REAR = {"spring_rate": 150 * LB_IN, "motion_ratio": 0.91}
MASSES = {
    "total": 1400, "left_rear": 350, "right_rear": 350, "left_front": 350, "right_front": 350,
    "front_unsprung": 60, "rear_unsprung": 150,
}  # fmt: skip


def on_leaves(**rear: object) -> Car:
    car = invented_car(masses=MASSES, geometry={"wheelbase": 2.7})
    axle = Axle.model_validate({**REAR, **rear}, context={})
    return car.model_copy(update={"rear_suspension": "leaf with traction device", "rear": axle})


@pytest.mark.parametrize("rear", [{}, {"damper_angle": 30}, {"motion_ratio": None}])
def test_a_leaf_takes_its_own_ratio_and_not_the_dampers(rear: dict[str, object]) -> None:
    paper = on_paper(on_leaves(**rear))
    assert paper.params["kr"] == pytest.approx(300 * LB_IN)
    assert paper.known["kr"] is Known.MEASURED
    assert paper.keys["kr"] == "rear.spring_rate"


def test_a_ratio_that_the_file_gives_a_leaf_stands() -> None:
    paper = on_paper(on_leaves(spring_motion_ratio=0.8))
    assert paper.params["kr"] == pytest.approx(300 * LB_IN * 0.8**2)


def test_a_coil_without_a_ratio_of_its_own_sits_on_the_damper() -> None:
    car = on_leaves().model_copy(update={"rear_suspension": "four-link"})
    assert on_paper(car).params["kr"] == pytest.approx(300 * LB_IN * 0.91**2)


def test_a_leaf_of_the_stock_is_seated_at_the_axle() -> None:
    seat = seat_of(on_leaves(), "rear")
    assert seat is not None
    assert seat.ratio == 1.0


def test_the_survey_does_not_ask_whether_a_leaf_is_on_the_damper_nor_gives_it_its_ratio() -> None:
    hand = Hand(on_leaves())
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    now = filling(TRAVEL_SURVEY, hand.state)
    assert "rear coil-over" not in now.answers
    corner = survey_of(now)[0].corners["left rear"]
    assert corner.damper_ratio is not None
    assert corner.damper_ratio.ratio == pytest.approx(0.9, abs=0.01)
    assert corner.spring_ratio is not None
    assert corner.spring_ratio.ratio == 1.0
    assert "rear.spring_motion_ratio" not in edits_of(hand, TRAVEL_SURVEY)


def test_no_form_asks_a_leaf_for_the_length_of_a_coil() -> None:
    hand = Hand(on_leaves())
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    asked = filling(TRAVEL_SURVEY, hand.state).answers
    assert "front spring free" in asked
    assert "rear spring rate" in asked
    assert not {"rear spring free", "rear spring solid", "rear spring at ride"} & asked.keys()
    hand = Hand(on_leaves())
    spring = {"kind": "spring", "axle": "rear", "name": "Leaf", "rate": "150 lb/in"}
    hand.fill(STOCK, spring)
    assert "free length" not in filling(STOCK, hand.state).answers
