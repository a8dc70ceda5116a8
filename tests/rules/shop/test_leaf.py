"""A leaf's rate by its pack against beam tables, and what the survey finds of an axle on leaves.

Sources, from memory: simply supported beam with a load at any point, a^2 b^2 P / (3 E I L), AISC
Steel Construction Manual, table 3-23, case 8; 32 E I SF / L^3 for a symmetric leaf spring, SF 1.10
to 1.15 with few full-length leaves, SAE HS-788, Spring Design Manual.
"""

import pytest

from rules.car.body import Axle
from rules.car.model import Car
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.crew.sheets.survey_place import DOWN
from rules.shop.findings import Finding
from rules.shop.leaf import NOTHING, STEEL_PA, Leaf, LeafPack, WindUp, leaf_findings
from rules.shop.leaf import wind_up_findings as wound
from rules.units import INCH_M
from rules.wording import say
from tests.support.crew import invented_car
from tests.support.shop import MASSES, SURVEYED, Hand, edits_of

LB_IN = 175.126835


def leaf_car() -> Car:
    car = invented_car(masses=MASSES, geometry={"wheelbase": 2.7})
    axle = Axle.model_validate({"motion_ratio": 0.91}, context={})
    return car.model_copy(update={"rear_suspension": "leaf with traction device", "rear": axle})


def found(said: dict[str, str]) -> tuple[Hand, dict[str, Finding]]:
    hand = Hand(leaf_car())
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "rear alike": "yes", **said})
    return hand, {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}


@pytest.mark.parametrize(("front", "rear"), [(0.65, 0.65), (0.5, 0.8)])
def test_one_leaf_alone_is_a_beam_on_two_supports(front: float, rear: float) -> None:
    width, thickness = 0.0635, 0.0095
    bending = STEEL_PA * width * thickness**3 / 12
    by_table = 3 * bending * (front + rear) / (front**2 * rear**2)
    assert LeafPack(1, width, thickness, front, rear).rate == pytest.approx(by_table)


@pytest.mark.parametrize(("leaves", "factor"), [(5, 1.10), (4, 1.125), (3, 1.167)])
def test_a_pack_alike_in_its_halves_is_as_the_manual_has_it(leaves: int, factor: float) -> None:
    width, thickness, length = 0.0635, 0.006, 1.32
    bending = STEEL_PA * leaves * width * thickness**3 / 12
    by_manual = 32 * bending * factor / length**3
    pack = LeafPack(leaves, width, thickness, length / 2, length / 2)
    assert pack.rate == pytest.approx(by_manual, rel=1e-3)


def test_a_pack_by_hand() -> None:
    """Five of 2.5 by 1/4 in, 22 and 30 in: 30e6 x 2.5 / 64 x 11 x 52 / (12 x 484 x 900) lb/in."""
    pack = LeafPack(5, 2.5 * INCH_M, 0.25 * INCH_M, 22 * INCH_M, 30 * INCH_M)
    assert pack.rate == pytest.approx(128.2 * LB_IN, rel=2e-3 + (30e6 * 6894.757 / STEEL_PA - 1))


def test_the_survey_asks_a_leaf_what_a_leaf_has() -> None:
    hand, names = found({"rear spring rate": "150 lb/in", "rear spring rate in droop": "110 lb/in"})
    asked = filling(TRAVEL_SURVEY, hand.state).answers.keys()
    assert {"rear spring rate", "rear spring rate in droop", "rear device", "rear rise"} <= asked
    stages = {
        one.key: one.stage for one in TRAVEL_SURVEY.fields(filling(TRAVEL_SURVEY, hand.state))
    }
    assert stages["rear spring rate"] == DOWN
    coil = {"rear spring free", "rear spring solid", "rear spring at ride", "rear coil-over"}
    assert not coil & asked
    assert not any("coil" in name or "clash" in name for name in names if "rear" in name)
    ratio = names["left rear spring ratio"]
    assert (ratio.value, ratio.level) == (1.0, "ok")
    assert names["left rear damper ratio"].value == pytest.approx(0.9)
    assert names["left rear leaf rate"].level == "look"
    assert names["rear wheel rate"].value == pytest.approx(300 * LB_IN, rel=1e-4)
    assert edits_of(hand, TRAVEL_SURVEY)["rear.spring_rate"] == pytest.approx(150 * LB_IN, rel=1e-4)


def test_a_rate_by_the_pack_is_a_guess() -> None:
    pack = {"rear pack": "yes", "rear leaves": "5", "rear leaf width": "2.5 in",
            "rear leaf thickness": "0.25 in", "rear front half": "22 in",
            "rear rear half": "30 in"}  # fmt: skip
    hand, names = found(pack)
    assert names["left rear leaf rate"].level == "look"
    (edit,) = [
        one for one in hand.result(TRAVEL_SURVEY).edits if one.path == ("rear", "spring_rate")
    ]
    assert edit.guess
    assert edit.value == pytest.approx(128 * LB_IN, rel=0.02)


def test_nobody_knows_a_leafs_rate() -> None:
    _, names = found({})
    assert names["left rear leaf rate"].level == "unknown"
    assert names["rear wheel rate"].level == "unknown"
    assert leaf_findings("left rear", Leaf(25_000.0, 24_000.0))[1].level == "ok"


@pytest.mark.parametrize(
    ("wind_up", "levels"),
    [
        (WindUp(), ["unknown", "unknown", "unknown"]),
        (WindUp(NOTHING, rise=6.0, nose_down=4.0), ["look", "ok", "look"]),
        (WindUp("Pinion snubber", 0.01, 0.01, 3.0, 5.0), ["ok", "ok", "ok"]),
        (WindUp("Pinion snubber", 0.01, 0.02, 5.0, 5.0), ["ok", "look", "ok"]),
    ],
)
def test_what_winds_the_axle_up(wind_up: WindUp, levels: list[str]) -> None:
    ones = wound("rear", wind_up)
    assert [one.level for one in ones] == levels
    assert all("{" not in say(one.says, "us") for one in ones)


def test_a_guess_by_the_pack_takes_no_measured_rates_place() -> None:
    car = leaf_car()
    measured = car.rear.model_copy(update={"spring_rate_n_per_m": 26_000.0})
    hand = Hand(car.model_copy(update={"rear": measured}))
    pack = {"rear pack": "yes", "rear leaves": "5", "rear leaf width": "2.5 in",
            "rear leaf thickness": "0.25 in", "rear front half": "22 in",
            "rear rear half": "30 in"}  # fmt: skip
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "rear alike": "yes", **pack})
    assert "rear.spring_rate" not in edits_of(hand, TRAVEL_SURVEY)
