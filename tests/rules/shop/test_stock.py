"""What is in the trailer: springs and valvings, and what the ladder says of them."""

import pytest

from rules.car.checks import cross_faults
from rules.car.model import Car
from rules.crew.sheets.rounds import filling, goes_along, said_again
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.stock_table import typed_rows
from rules.question import AnswerError
from rules.shop.findings import gravest
from rules.shop.stock import in_trailer
from tests.support.crew import invented_car
from tests.support.dyno_tables import SOFT
from tests.support.shop import HEAVY, MASSES, Hand, edits_of

FIRM = ["speed [mm/s], 0 [N], 6 [N], 12 [N]", "50, 200, 400, 800", "250, 600, 1200, 2400"]


def with_valving(hand: Hand) -> Hand:
    hand.tell(STOCK, "valving", "front", "Firm stack", "no", "yes", *FIRM, "end")
    return hand


def valved() -> Hand:
    front = [
        {"id": "rebound", "controls": "rebound", "clicks": 12, "count_from": "full soft",
         "start": 6, "rebound_dyno": SOFT},
    ]  # fmt: skip
    return Hand(invented_car(front=front))


def test_a_valving_comes_with_the_clicks_that_give_todays_force_back() -> None:
    """The firm stack has twice the force at every click, so six of the soft one are its none."""
    hand = with_valving(valved())
    assert any("Rebound: the same at 0" in line for line in hand.result(STOCK).says)


POUNDS = ["speed [in/s], 0 [lb], 6 [lb], 12 [lb]", "2, 22, 45, 90", "10, 67, 135, 270"]


@pytest.mark.parametrize(
    ("before", "typed", "says"),
    [
        ([], "speed, 0, 6", "rebound head: column 1: found no unit"),
        ([], "speed [in/s], 0 [lb], 6 [N]", "rebound head: mixed units of force: lb, N"),
        (POUNDS[:1], "2, 22, 45", "rebound row 1: found 3 cells, wanted 4"),
        (POUNDS[:1], "2, 22, x, 90", "rebound row 1: column 3: found 'x'"),
        (POUNDS[:2], "1, 67, 135, 270", "rebound row 2: found 1 in/s after 2 in/s"),
        (POUNDS[:2], "4, 67, 38, 270", "setting 6, row 2: force falls from 45 lb to 38 lb"),
        (POUNDS[:2], "end", "found 1 row, wanted at least two speeds"),
    ],
)
def test_a_row_is_refused_as_it_is_typed_in_its_own_number_and_units(
    before: list[str], typed: str, says: str
) -> None:
    """A row is checked when it is typed, counted as the question counts it, in the head's units."""
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Odd", "no", "yes", *before)
    with pytest.raises(AnswerError) as refused:
        hand.tell(STOCK, typed)
    assert says in str(refused.value)


def test_a_row_said_again_keeps_the_rows_after_it() -> None:
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Odd", "no", "yes", *POUNDS, "20, 100, 200, 400", "end")
    before = typed_rows(filling(STOCK, hand.state), "rebound")
    assert goes_along(STOCK, filling(STOCK, hand.state), "rebound row 2") == 0
    hand.record(said_again(STOCK, hand.state, "rebound row 2"))
    one = hand.open(STOCK)
    assert one is not None
    assert one.key == "rebound row 2"
    hand.tell(STOCK, "10, 70, 135, 270")
    after = typed_rows(filling(STOCK, hand.state), "rebound")
    assert after == (*before[:2], "10, 70, 135, 270", *before[3:])


def test_what_else_goes_with_an_answer_is_counted() -> None:
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Odd", "no", "yes", *POUNDS, "end")
    now = filling(STOCK, hand.state)
    assert goes_along(STOCK, now, "axle") == len(now.answers) - 2
    hand.record(said_again(STOCK, hand.state, "axle"))
    assert list(filling(STOCK, hand.state).answers) == ["kind"]


def test_rows_after_an_end_said_again_are_no_rows() -> None:
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Odd", "no", "yes", *POUNDS, "20, 100, 200, 400", "end")
    hand.record(said_again(STOCK, hand.state, "rebound row 3"))
    hand.tell(STOCK, "end")
    assert typed_rows(filling(STOCK, hand.state), "rebound") == tuple(POUNDS)


STOCKED = (
    {"kind": "spring", "axle": "front", "name": "Blue", "rate": 30_000},
    {"kind": "spring", "axle": "front", "name": "Red", "rate": 45_000},
    {"kind": "valving", "axle": "front", "name": "Firm stack", "rebound_dyno": FIRM},
)


@pytest.mark.parametrize(
    ("rung", "told", "untold"),
    [
        ("Stiffer front spring at the same ride height", "Red", "Blue"),
        ("Lighter front spring at the same ride height", "Blue", "Red"),
        ("Firmer rebound valving (trained service)", "Firm stack (rebound the same at 0)", "Red"),
        ("Rear valving", "Rear valving", "Firm stack"),
    ],
)
def test_the_ladder_names_what_is_in_the_trailer(rung: str, told: str, untold: str) -> None:
    front = [
        {"id": "rebound", "controls": "rebound", "clicks": 12, "count_from": "full soft",
         "start": 6, "rebound_dyno": SOFT},
    ]  # fmt: skip
    sprung = HEAVY.front.model_copy(update={"spring_rate_n_per_m": 35_000.0})
    car = invented_car(front=front, stock=STOCKED).model_copy(update={"front": sprung})
    hand = Hand(car)
    words = in_trailer(car, hand.state.settings, rung, "Front carries")
    assert told in words
    assert untold not in words


WHOLE = {
    "masses": {**MASSES, "left_front": 371, "right_front": 371, "left_rear": 329,
               "right_rear": 329, "pitch_inertia": 1800},
    "geometry": {"wheelbase": 2.7, "cg_height": 0.55},
    "front": {"spring_rate": 30_000, "motion_ratio": 0.8, "bump_travel": 0.09,
              "droop_travel": 0.07},
    "launch": {"peak_g": 1.5},
}  # fmt: skip


def test_a_spring_says_its_frequency_and_what_a_landing_leaves_over() -> None:
    """f = sqrt(2 K MR^2 / m) / 2 pi (Rao, Mechanical Vibrations, from memory): 682 kg on two
    springs of 40 N/mm at 0.8 is 1.38 Hz, and 1.5 Hz wants 47.3 N/mm."""
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | WHOLE))
    hand.tell(STOCK, "spring", "front", "Red", "40 N/mm", "unknown", "unknown", "1.5", "1.2 m/s")
    says = " ".join(hand.result(STOCK).says)
    assert "Ride frequency with it 1.38 Hz" in says
    assert "47.3 N/mm" in says
    assert "gravity in it" in says


def test_a_spring_that_the_weight_closes_is_stopped_and_stays_off_the_ladder() -> None:
    """Statics: 341 kg a side at 0.8 is 4.2 kN, which closes a spring of 7 N/mm by 0.6 m."""
    car = Car.parse(HEAVY.model_dump(by_alias=True) | WHOLE | {"stock": STOCKED[:1]})
    hand = Hand(car)
    said = {"kind": "spring", "axle": "front", "name": "Weak", "rate": "7 N/mm", "fitted": "Blue"}
    hand.fill(STOCK, {**said, "free length": "152 mm", "solid length": "150 mm"})
    result = hand.result(STOCK)
    assert gravest(result.findings) == "stop"
    assert "Weak stays off the ladder: the car's weight alone would close it." in result.says[-1]
    assert list(edits_of(hand, STOCK)) == ["stock.1"]
    weak = {"kind": "spring", "axle": "front", "name": "Weak", "rate": 7_000}
    owned = [*STOCKED[:2], weak | {"free_length": 0.152, "solid_length": 0.15}]
    stocked = Car.parse(car.model_dump(by_alias=True) | {"stock": owned})
    told = in_trailer(stocked, {}, "Lighter front spring", "Front carries")
    assert "Weak" not in told


def test_of_the_owned_springs_the_nearest_is_named() -> None:
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | WHOLE | {"stock": STOCKED[:1]}))
    said = {"kind": "spring", "axle": "front", "name": "Red", "rate": "45 N/mm", "target": "1.4"}
    hand.fill(STOCK, said)
    assert any("Red comes nearest to it: 1.46 Hz" in line for line in hand.result(STOCK).says)


def test_a_solid_length_over_the_free_one_is_refused_by_name() -> None:
    hand = Hand(HEAVY)
    hand.tell(STOCK, "spring", "front", "Red", "45 N/mm", "300 mm")
    with pytest.raises(AnswerError, match=r"Solid length: found .* wanted less than the free"):
        hand.tell(STOCK, "310 mm")


def test_two_springs_make_the_lever_that_the_rules_turn() -> None:
    hand = Hand(invented_car(stock=STOCKED[:1]))
    hand.tell(STOCK, "spring", "front", "Red", "45 N/mm", *["unknown"] * 4, "Blue")
    lever = edits_of(hand, STOCK)["levers.3"]
    assert lever == {
        "id": "front spring", "kind": "spring", "axle": "front", "positions": ["Blue", "Red"],
        "start": "Blue", "minutes": 60, "lift_car": True,
    }  # fmt: skip


TWO_KNOBS = [
    {"id": "low", "controls": "compression", "clicks": 12, "count_from": "full soft", "start": 6},
    {"id": "high", "controls": "compression", "clicks": 8, "count_from": "full soft", "start": 4},
]
HIGH = ("0, 4, 8", "2, 22, 30, 45", "10, 60, 90, 135", "end")


def test_the_knob_of_a_table_is_asked_where_there_are_several_and_kept() -> None:
    hand = Hand(invented_car(front=TWO_KNOBS, units="us"))
    hand.tell(STOCK, "valving", "front", "Stack 2", "yes", "high")
    with pytest.raises(AnswerError, match="found a count of 12; wanted at most 8, where high ends"):
        hand.tell(STOCK, "0, 12")
    hand.tell(STOCK, *HIGH)
    hand.fill(STOCK, {"compression end": "full soft", "rebound": "no"})
    kept = edits_of(hand, STOCK)["stock.0"]
    assert isinstance(kept, dict)
    assert kept["compression_knob"] == "high"
    assert kept["compression_dyno"][0] == "speed [in/s], 0 [lb], 4 [lb], 8 [lb]"


def test_a_valving_without_a_table_keeps_its_note_and_can_be_chosen() -> None:
    owned = {"kind": "valving", "axle": "front", "name": "Stack 1", "note": "20 x 0.15"}
    hand = Hand(invented_car(stock=[owned]))
    hand.tell(STOCK, "valving", "front", "Stack 2", "no", "no")
    one = hand.open(STOCK)
    assert one is not None
    assert (one.key, one.unknown) == ("note", False)
    hand.tell(STOCK, "22 x 0.20, two of 18", "Stack 1", "Stack 1")
    edits = edits_of(hand, STOCK)
    kept, lever = edits["stock.1"], edits["levers.3"]
    assert isinstance(kept, dict)
    assert isinstance(lever, dict)
    assert kept["note"] == "22 x 0.20, two of 18"
    assert lever["positions"] == ["Stack 1", "Stack 2"]
    words = in_trailer(
        Car.parse(hand.state.described_car.model_dump(by_alias=True)), {}, "Front valving", ""
    )
    assert "Stack 1 (20 x 0.15)" in words


def test_a_lever_of_others_than_are_in_stock_says_how_a_valving_can_be_chosen() -> None:
    lever = {"id": "front valving", "kind": "valving", "axle": "front", "minutes": 60,
             "positions": ["soft stack", "firm stack"], "start": "soft stack"}  # fmt: skip
    hand = Hand(invented_car(levers=[lever]))
    hand.tell(STOCK, "valving", "front", "C7", "no", "no", "0.2 x 4")
    words = "C7 can be chosen once the car file has it among that lever's positions"
    assert any(words in line for line in hand.result(STOCK).says)


def test_a_valving_with_neither_table_nor_note_is_a_fault_of_the_file() -> None:
    car = invented_car(stock=[{"kind": "valving", "axle": "front", "name": "Stack 1"}])
    assert any("no curve and no note" in str(fault) for fault in cross_faults(car))


@pytest.mark.parametrize(("factor", "words"), [(1.08, "8 % apart"), (1.12, "over 10 %")])
def test_a_twin_over_ten_per_cent_apart_is_named(factor: float, words: str) -> None:
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Firm stack", "no", "yes", *FIRM, "end", "full soft")
    twin = (FIRM[0], "50, 200, 400, 800", f"250, 600, {1200 * factor}, 2400")
    hand.tell(STOCK, "keep", "yes", *twin, "end")
    (line,) = [one for one in hand.result(STOCK).says if "its twin" in one]
    assert words in line
    assert line.startswith("LOOK") == (factor > 1.1)


def test_a_twin_counted_from_the_other_end_is_compared_at_the_same_place_of_its_knob() -> None:
    hand = valved()
    hand.tell(STOCK, "valving", "front", "Firm stack", "no", "yes", *FIRM, "end", "full soft")
    twin = (FIRM[0], "50, 800, 400, 200", "250, 2400, 1296, 600")
    hand.tell(STOCK, "keep", "yes", *twin, "end")
    (line,) = [one for one in hand.result(STOCK).says if "its twin" in one]
    assert "8 % apart" in line


def test_left_and_right_of_the_car_are_compared_too() -> None:
    def knobs(table: list[str]) -> list[dict[str, object]]:
        return [{"id": "rebound", "controls": "rebound", "clicks": 12, "start": 6,
                 "count_from": "full soft", "rebound_dyno": table}]  # fmt: skip

    car = invented_car(front=knobs(SOFT))
    right = car.dampers[1].model_copy(update={"knobs": (car.dampers[1].knobs[0].model_copy(
        update={"rebound_dyno": (*SOFT[:2], "250, 300, 690, 1200")}),)})  # fmt: skip
    hand = Hand(car.model_copy(update={"dampers": (car.dampers[0], right, *car.dampers[2:])}))
    hand.tell(STOCK, "valving", "front", "Firm stack", "no", "yes", *FIRM, "end")
    hand.fill(STOCK)
    (line,) = [one for one in hand.result(STOCK).says if "left and right on the car" in one]
    assert "15 % apart" in line
    assert line.startswith("LOOK")
