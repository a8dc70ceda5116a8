"""The car file edited from the screen alone: sets of values, knobs, levers, and the way back."""

import re
from collections.abc import Iterable

import pytest

from profiles.drafts import draft_car
from rules.car.adjusters import starts
from rules.car.edits import Edit, edited_car
from rules.car.file_before import FileBefore
from rules.car.model import Car
from rules.car.values import TAKE_BACK, changes
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.edit.edit_sheet import EDIT, edit_sheet
from rules.crew.sheets.rounds import closed, filling, open_field
from rules.crew.sheets.sheet import SheetField, prompt_of
from rules.crew.sheets.walk import round_the_car
from rules.log.events.car import CarDescribed
from rules.log.folds.fold import fold
from rules.question import AnswerError
from rules.units import POUND_KG, Quantity
from tests.support.crew import Crew, invented_car
from tests.support.shop import HEAVY, Hand, Newcomer, edits_of

WEIGHED = invented_car(
    masses={"total": 1400, "left_front": 350, "right_front": 350}
    | {"left_rear": 350, "right_rear": 350}
)
BARE = invented_car(front=(), rear=(), levers=()).model_copy(update={"dampers": ()})
REBOUND = ("add a knob", "front", "clockwise", ("both",), "12", "5")
PRESSURE = (
    *("add a lever", "tyre pressure", "front", "front tyre pressure", "numbers", "psi"),
    *("1/2", "20", "40", "18", "30", "3", "no", "the same gauge"),
)


def taken(hand: Hand) -> Car:
    """Put what the sheet found into the car, as the file would take it, and finish."""
    car = edited_car(hand.state.car or BARE, hand.result(EDIT).edits)
    finished = closed(EDIT, hand.state, hand.new_id)
    hand.record([CarDescribed(car=car), *finished])
    return car


def faults(hand: Hand) -> tuple[str, ...]:
    return hand.result(EDIT).faults


def test_one_value_takes_one_enter_more() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Geometry", "geometry.cg_height", "22 in", "guess")
    one = hand.open(EDIT)
    assert one is not None
    assert (one.question, one.default) == ("Another value along with it?", "no")
    hand.tell(EDIT, "no")
    assert hand.open(EDIT) is None
    assert list(edits_of(hand, EDIT)) == ["geometry.cg_height"]


def test_a_total_and_its_four_corners_are_checked_as_one_set() -> None:
    hand = Hand(WEIGHED)
    hand.tell(EDIT, "Masses", "masses.total", "1500 kg", "measured")
    for corner in ("left_front", "right_front", "left_rear", "right_rear"):
        assert "masses.total: found 1500 kg; wanted the corners' sum" in " ".join(faults(hand))
        hand.tell(EDIT, "yes", "Masses", f"masses.{corner}", "375 kg", "measured")
    assert faults(hand) == ()
    hand.tell(EDIT, "no")
    assert len(hand.result(EDIT).edits) == 5
    car = taken(hand)
    assert car.masses.total_kg == 1500
    assert car.masses.left_rear_kg == 375


def test_a_range_and_its_start_go_together_and_every_fault_is_named() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Left front rebound", "dampers.0.knobs.0.clicks", "8", "yes")
    found = faults(hand)
    assert len(found) == 2
    assert "left front rebound.start: found 9; wanted 0 to 8 clicks" in found[0]
    assert "right front rebound.start: found 9; wanted 0 to 8 clicks" in found[1]
    hand.tell(EDIT, "Left front rebound", "dampers.0.knobs.0.start", "4", "yes")
    hand.tell(EDIT, "Right front rebound", "dampers.1.knobs.0.start", "4", "no")
    assert faults(hand) == ()


def test_values_that_no_car_can_have_are_all_named_in_the_crews_units() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Masses", "masses.total", "6000 kg", "keep", "measured", "yes")
    hand.tell(EDIT, "Left front rebound", "dampers.0.knobs.0.clicks", "300", "yes")
    hand.tell(EDIT, "Geometry", "geometry.cg_height", "11 m", "keep", "measured", "no")
    found = "\n".join(faults(hand))
    assert "found 6000 kg; wanted a number from 1 to 5000 kg" in found
    assert found.count("found 300; wanted less than or equal to 200") == 2
    assert "found 11000 mm; wanted a number from 1 to 10000 mm" in found


def test_a_later_value_of_a_set_sees_the_earlier_one_and_the_last_counts() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Masses", "masses.total", "1500 kg", "measured", "yes")
    hand.tell(EDIT, "Masses", "masses.total")
    one = hand.open(EDIT)
    assert one is not None
    assert "It stands at 1500 kg." in one.hint
    hand.tell(EDIT, "1400 kg", "measured", "no")
    kept = [edit for edit, _, _ in changes(HEAVY, hand.result(EDIT).edits)]
    assert edited_car(HEAVY, kept) == HEAVY


def test_backspace_goes_back_through_a_set() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Masses", "masses.total", "1500 kg", "measured", "yes", "Geometry")
    for key in ("2 table", "more", "known", "new", "value", "table"):
        hand.back(EDIT)
        one = hand.open(EDIT)
        assert one is not None
        assert one.key == key


def test_a_knob_comes_in_on_both_sides_counted_as_the_car_counts() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *REBOUND, "no")
    car = taken(hand)
    for at in (0, 1):
        knob = car.dampers[at].knobs[-1]
        assert (knob.id, knob.clicks, knob.start, knob.count_from) == ("both", 12, 5, "full soft")
        assert (knob.firmer_turn, knob.pair) == ("clockwise", "axle")
    assert hand.state.settings["left front both"] == 5
    assert hand.fitted["left front both"].partner == "right front both"


def test_knobs_bring_their_dampers_along_where_there_are_none() -> None:
    hand = Hand(BARE)
    hand.tell(
        EDIT, "add a knob", "rear", "unknown", "unknown", ("rebound",), "3 turns", "1 / 1 1/2"
    )
    assert "Counts are from full soft, by agreement" in " ".join(hand.result(EDIT).says)
    hand.tell(EDIT, "yes", "add a knob", "rear", "unknown")
    one = hand.open(EDIT)
    assert one is not None
    assert [choice.id for choice in one.choices if choice.why_not] == ["rebound"]
    hand.tell(EDIT, ("compression",), "18", "7", "no")
    car = taken(hand)
    assert [damper.corner for damper in car.dampers] == ["left rear", "right rear"]
    assert [[knob.id for knob in damper.knobs] for damper in car.dampers] == [
        ["rebound", "compression"]
    ] * 2
    assert car.dampers[1].knobs[0].offset == 0.5
    assert starts(car)["right rear rebound"] == 12  # eighths of a turn


def test_a_knob_that_nobody_counted_stays_out_and_is_said() -> None:
    hand = Hand(BARE)
    hand.tell(EDIT, "add a knob", "front", "full hard", "unknown", ("rebound",), "unknown", "no")
    assert hand.result(EDIT).edits == ()
    assert "Not in the file yet: front rebound." in hand.result(EDIT).says[0]


def test_what_a_new_car_lacks_is_added_in_the_shop() -> None:
    """The sentence at the end of a new car names a road, and the road is there."""
    new = Newcomer()
    new.fill(
        NEW_CAR,
        {"name": "Coupe", "count from": "full hard", "front knobs": ("rebound", "compression")}
        | {"front rebound range": "18", "front rebound count": "8"},
    )
    assert "add it in the shop: j, 1, Add a knob." in " ".join(new.result(NEW_CAR).says)
    car, _ = draft_car(new.state)
    hand = Hand(car)
    one = next(iter(EDIT.fields(filling(EDIT, hand.state))))
    assert "Add a knob" in [choice.label for choice in one.choices][:8]
    hand.tell(EDIT, "add a knob", "front", "unknown", ("compression",), "12", "5", "no")
    car = taken(hand)
    assert [knob.id for knob in car.dampers[0].knobs] == ["rebound", "compression"]
    assert {knob.count_from for damper in car.dampers for knob in damper.knobs} == {"full hard"}


def test_one_knob_does_not_stand_beside_a_split_one() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "add a knob", "front", "unknown")
    with pytest.raises(AnswerError, match="this axle has the other kind"):
        hand.tell(EDIT, ("compression",))
    with pytest.raises(AnswerError, match="this axle has it"):
        hand.tell(EDIT, ("rebound",))


def test_a_lever_comes_in_with_all_that_the_file_holds() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *PRESSURE, "no")
    lever = taken(hand).levers[-1]
    assert (lever.id, lever.kind, lever.axle, lever.unit) == (
        *("front tyre pressure", "tyre pressure", "front", "psi"),
    )
    assert (lever.step, lever.low, lever.high, lever.makers_minimum) == (0.5, 20, 40, 18)
    assert (lever.start, lever.minutes, lever.lift_car) == (30, 3, False)
    assert hand.state.settings["front tyre pressure"] == 30


def test_what_the_file_can_do_without_nobody_need_know() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "add a lever", "ride height", "rear", "rear ride height", "numbers", "mm")
    hand.tell(EDIT, *["unknown"] * 3)
    hand.tell(EDIT, "4 1/2 in", "unknown", "unknown", "unknown", "no")
    lever = taken(hand).levers[-1]
    assert lever.start == pytest.approx(114.3)  # 1 in is 25.4 mm by definition (NIST SP 811, B.8)
    assert (lever.low, lever.high, lever.step) == (None, None, 1.0)
    assert lever.lift_car
    assert lever.minutes == 30


@pytest.mark.parametrize("said", ["no idea", "unknown"])
def test_a_lever_that_nobody_read_stays_out_and_is_said(said: str) -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *PRESSURE[:10], said, *PRESSURE[11:], "no")
    assert hand.result(EDIT).edits == ()
    assert "front tyre pressure: not in the file yet" in hand.result(EDIT).says[0]


def test_a_lever_with_named_positions() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "add a lever", "link position", "rear", "rear links", "names")
    hand.tell(EDIT, "holes A, low; holes B; holes C", "holes B", "45", "yes", "spanners", "no")
    lever = taken(hand).levers[-1]
    assert lever.positions == ("holes A, low", "holes B", "holes C")
    assert hand.state.settings["rear links"] == 1


@pytest.mark.parametrize(
    ("told", "wrong", "named"),
    [
        (PRESSURE[:3], "Front/Pressure", "Name: found 'front/pressure'; wanted letters"),
        (PRESSURE[:3], "rear tyre pressure", "Name: found 'rear tyre pressure', which the car has"),
        (PRESSURE[:6], "-1", "Step: found '-1'; wanted a number"),
        (PRESSURE[:8], "19", "Highest: found 19; wanted above the lowest, 20"),
        (PRESSURE[:10], "41", "Today: found 41; wanted at most the highest, 40"),
        (PRESSURE[:11], "2 1/2", "Minutes: found 2 1/2; wanted whole minutes"),
        (
            ("add a lever", "spring", "front", "front spring", "names"), "soft",
            "Positions: found 'soft'; wanted two positions or more",
        ),
        (REBOUND[:4], "18.5", "found '18.5'; wanted whole clicks"),
        (REBOUND[:5], "13", "found '13'; wanted 0 to 12"),
    ],
)  # fmt: skip
def test_a_wrong_answer_is_refused_by_name_and_nothing_is_lost(
    told: Iterable[object], wrong: str, named: str
) -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *told)
    before = hand.state
    with pytest.raises(AnswerError, match=re.escape(named)):
        hand.tell(EDIT, wrong)
    assert hand.state is before


def test_the_fold_takes_a_car_with_an_adjuster_more() -> None:
    """Counted from its start, in the baseline, on the walk, in a put-back, after a kill alike."""
    hand = Hand(HEAVY)
    hand.say(["front-bounces"], ["nothing"])
    before = dict(hand.state.settings)
    hand.tell(EDIT, *REBOUND, "yes", *PRESSURE, "no")
    taken(hand)
    new = {"left front both": 5.0, "right front both": 5.0, "front tyre pressure": 30.0}
    assert hand.state.settings == before | new
    assert hand.off == {}
    assert hand.state.to_recount == {}
    assert new.keys() <= {one.id for one in round_the_car(hand.state)}
    hand.do("already turned", adjuster="left front both", now="7")
    assert hand.off == {"left front both": 2, "right front both": 2}
    hand.put_back()
    assert hand.off == {}
    again = fold(hand.log)
    assert again.settings == hand.state.settings
    assert again.baselines == hand.state.baselines


def test_a_pair_comes_out_of_the_file_with_both_sides_and_a_lever_alone() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "take out", "left front low-speed compression", "yes")
    hand.tell(EDIT, "Left front high-speed compression", "dampers.0.knobs.1.clicks", "20", "yes")
    hand.tell(EDIT, "take out", "launch rpm", "no")
    rows = changes(HEAVY, hand.result(EDIT).edits)
    assert [words for _, *words in rows].count(["in the file", "taken out"]) == 3
    assert len(rows) == 5
    car = taken(hand)
    assert [knob.id for knob in car.dampers[1].knobs] == ["rebound", "high-speed compression"]
    assert [knob.clicks for knob in car.dampers[0].knobs] == [18, 20]
    assert "launch rpm" not in hand.state.settings


def test_what_comes_back_is_counted_by_hand() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *REBOUND, "no")
    first = taken(hand)
    hand.tell(EDIT, "take out", "left front both", "no")
    assert taken(hand) == HEAVY
    hand.record([CarDescribed(car=first)])
    assert set(hand.state.to_recount) == {"left front both", "right front both"}


def test_nothing_comes_out_while_a_change_of_it_is_open() -> None:
    hand = Hand(HEAVY)
    hand.do("already turned", adjuster="left front rebound", now="11")
    with pytest.raises(AnswerError, match="is open on it"):
        hand.tell(EDIT, "take out", "left front rebound")
    hand.tell(EDIT, "launch rpm", "no")
    hand.do("already turned", adjuster="launch rpm", now="4000")
    assert hand.result(EDIT).edits == ()
    assert "launch rpm stays in the file: the change" in hand.result(EDIT).says[0]


def test_what_was_learnt_from_a_knob_goes_with_it_and_that_is_said() -> None:
    hand = Hand(HEAVY)
    hand.do("already turned", adjuster="left front rebound", now="11")
    hand.say("ran")
    Crew.tell(hand, symptoms=["it-is-good"], verdict="better")
    assert hand.state.open_change is None
    hand.tell(EDIT, "take out", "left front rebound", "no")
    assert "What was learnt from turning it counts no more." in hand.result(EDIT).says


def test_the_last_edit_is_shown_before_it_is_taken_back() -> None:
    was = edited_car(WEIGHED, [Edit(("masses", "total"), 1390.0, "", Quantity.MASS)])
    sheet = edit_sheet(FileBefore(was))
    hand = Hand(WEIGHED)
    hand.tell(sheet, "take back")
    assert hand.open(sheet) is None
    result = hand.result(sheet)
    assert any("weight as raced, driver aboard: 1400 kg -> 1390 kg" in one for one in result.says)
    assert "Taken back again, the file of now is there again." in result.says[-1]
    assert result.edits == (TAKE_BACK,)
    assert changes(WEIGHED, result.edits) == [(TAKE_BACK, "as it is now", "as it was before")]
    assert changes(WEIGHED, []) == []


def test_nothing_is_taken_back_where_there_is_no_file_before_or_a_change_hangs_on_it() -> None:
    hand = Hand(HEAVY)
    with pytest.raises(AnswerError, match="there is no file before this one"):
        hand.tell(edit_sheet(FileBefore()), "take back")
    with pytest.raises(AnswerError, match="no car file is kept here"):
        hand.tell(EDIT, "take back")
    less = HEAVY.model_copy(update={"levers": HEAVY.levers[1:]})
    hand.do("already turned", adjuster="launch rpm", now="4000")
    with pytest.raises(AnswerError, match="a knob or lever would go, and the change"):
        hand.tell(edit_sheet(FileBefore(less)), "take back")


def test_a_set_survives_a_kill_at_any_question() -> None:
    hand = Hand(HEAVY)
    told = [*REBOUND, "yes", *PRESSURE, "no"]
    for value in told:
        hand.tell(EDIT, value)
        again = fold(hand.log)
        mine, its = hand.open(EDIT), open_field(EDIT, filling(EDIT, again))
        assert _words(mine) == _words(its)


def _words(one: SheetField | None) -> object:
    return prompt_of(one) if one else None


def test_a_kill_between_the_file_and_the_log_adds_nothing_twice() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, *REBOUND, "yes", *PRESSURE, "no")
    car = edited_car(HEAVY, hand.result(EDIT).edits)
    hand.record([CarDescribed(car=car)])
    assert hand.result(EDIT).edits == ()
    assert "front tyre pressure: is in the file already." in hand.result(EDIT).says


def test_weights_of_either_unit_stand_in_one_set() -> None:
    """1 lb is 0.45359237 kg by definition (NIST SP 811, B.8)."""
    hand = Hand(WEIGHED)
    hand.tell(EDIT, "Masses", "masses.total", "3086.5 lb", "measured", "no")
    assert hand.result(EDIT).edits[0].value == pytest.approx(3086.5 * POUND_KG)
    assert faults(hand) == ()
