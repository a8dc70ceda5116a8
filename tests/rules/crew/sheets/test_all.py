"""The sheets of the shop: what they ask, what they find, what they block and what they keep."""

from math import cos, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.safety.gates import open_blocks
from rules.car.model import CORNERS, Car
from rules.crew.sheets.all import MENU, how_far
from rules.crew.sheets.cg import CG_HEIGHT
from rules.crew.sheets.edit.edit_sheet import EDIT
from rules.crew.sheets.rounds import answered, filling
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.sheet import AGAIN, Result, Sheet, SheetField
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.log.folds.fold import fold
from rules.question import AnswerError
from rules.typed import Wanted
from rules.units import INCH_M
from tests.support.crew import invented_car
from tests.support.sample import examples
from tests.support.shop import HEAVY, SURVEYED, Hand, dont_know, edits_of

WEIGHED = {
    "driver": "aboard", "fuel": "full", "left front": "380 kg", "right front": "370 kg",
    "left rear": "330", "right rear": "325",
}  # fmt: skip


@pytest.mark.parametrize("sheet", MENU, ids=lambda sheet: sheet.id)
@given(data=st.data())
@examples(4, 15)
def test_any_way_through_a_sheet_resumes_and_comes_back(sheet: Sheet, data: st.DataObject) -> None:
    hand = Hand(HEAVY)
    states = [hand.state]
    while (one := hand.open(sheet)) is not None and len(states) < 40:
        # Typing it again is a step back of its own.
        ids = [choice.id for choice in one.choices if choice.id != AGAIN]
        value = data.draw(st.sampled_from(ids)) if ids else None
        try:
            hand.tell(sheet, dont_know(one) if value is None or one.kind == "many" else value)
        except AnswerError:
            break
        states.append(hand.state)
    assert fold(hand.log).sheets == hand.state.sheets
    hand.result(sheet)
    for before in reversed(states[:-1]):
        hand.back(sheet)
        now = filling(sheet, hand.state).answers
        assert dict(now) == dict(filling(sheet, before).answers)


def test_a_sheet_says_how_far_it_is() -> None:
    hand = Hand(HEAVY)
    assert how_far(SCALES, hand.state) == "not yet"
    hand.tell(SCALES, "aboard", "full")
    assert how_far(SCALES, hand.state) == "7 of 9 left"
    hand.fill(SCALES, WEIGHED)
    assert how_far(SCALES, hand.state) == "to finish"
    hand.finish(SCALES)
    assert how_far(SCALES, hand.state) == "weighed 4 May"
    hand.tell(SCALES, "aboard")
    assert how_far(SCALES, hand.state) == "weighed 4 May; 8 of 9 left"


def test_a_weighing_goes_into_the_car_file_whole() -> None:
    hand = Hand(HEAVY)
    hand.fill(SCALES, {**WEIGHED, "front unsprung": "62 kg"})
    edits = edits_of(hand, SCALES)
    assert edits["masses.left_front"] == pytest.approx(380)
    assert edits["masses.total"] == pytest.approx(1405)
    assert edits["masses.front_unsprung"] == pytest.approx(62)


def test_an_empty_seat_stays_out_of_the_car_file() -> None:
    hand = Hand(HEAVY)
    hand.fill(SCALES, {**WEIGHED, "driver": "empty"})
    assert edits_of(hand, SCALES) == {}


def test_a_second_weighing_is_held_against_the_first() -> None:
    hand = Hand(HEAVY)
    hand.fill(SCALES, WEIGHED)
    hand.finish(SCALES)
    hand.fill(SCALES, {**WEIGHED, "left rear": "340"})
    moved = {one.name: one.value for one in hand.result(SCALES).findings if "change" in one.name}
    assert moved["left rear, change"] == pytest.approx(10)
    assert moved["cross, change"] == pytest.approx(10)


def test_two_readings_are_held_against_each_other_before_anything_else() -> None:
    hand = Hand(HEAVY)
    second = {f"{corner}, again": WEIGHED[corner] for corner in CORNERS}
    hand.fill(SCALES, {**WEIGHED, "again": "yes", **second, "left rear, again": "336 kg"})
    first = hand.result(SCALES).findings[0]
    assert first.value == pytest.approx(6)
    assert first.level == "look"
    assert "left rear" in first.says


def test_with_both_tracks_the_scales_say_how_far_off_the_middle_it_is() -> None:
    tracks = {"wheelbase": 2.7, "front_track": 1.5, "rear_track": 1.4}
    hand = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | {"geometry": tracks}))
    hand.fill(SCALES, WEIGHED)
    (off,) = [one for one in hand.result(SCALES).findings if one.name.endswith("across")]
    assert off.value == pytest.approx((-10 * 1.5 - 5 * 1.4) / 2 / 1405)
    assert "left of the middle" in off.says


@pytest.mark.parametrize(
    ("part", "ahead", "words"),
    [
        ("oil pan", "-3 m", "behind the rear axle"),
        ("front part", "-2 in", "behind the front axle"),
        ("middle part", "2 in", "ahead of the front axle"),
        ("middle part", "-3 m", "behind the rear axle"),
        ("rear part", "-2 m", "not behind the rear axle"),
        ("rear part", "-3 m", ""),
    ],
)
def test_a_part_on_the_wrong_side_of_an_axle_is_doubted(part: str, ahead: str, words: str) -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {part: "5 in", f"{part} ahead": ahead})
    now = filling(TRAVEL_SURVEY, hand.state)
    doubts = [one.hint for one in TRAVEL_SURVEY.asked(now) if one.key == f"{part} ahead kept"]
    assert len(doubts) == bool(words)
    assert words in "".join(doubts)


def test_corners_far_from_the_total_are_to_be_looked_at_and_still_taken() -> None:
    """The total in the file may be the wrong one."""
    hand = Hand(HEAVY)
    hand.fill(SCALES, {**WEIGHED, "right rear": "32.5 kg"})
    found = hand.result(SCALES)
    assert any(one.level == "look" and "total" in one.name for one in found.findings)
    assert ("masses", "total") in [edit.path for edit in found.edits]


def test_the_height_comes_out_of_exact_statics_of_a_turned_body() -> None:
    """Rigid statics in two dimensions: the weight at its turned place, moments about an axle."""
    mass, front_share, height, base, hub = 1400.0, 0.53, 0.55, 2.7, 0.32
    said = {"locked": "yes", "level front": f"{mass * front_share} kg"}
    said |= {"level rear": f"{mass * (1 - front_share)} kg"}
    said |= {"level front hub": "320 mm", "level rear hub": "320 mm"}
    for number, degrees in enumerate((5, 9, 13), 1):
        turn = radians(degrees)
        ahead = front_share * base * cos(turn) + (height - hub) * sin(turn)
        said[f"front {number}"] = f"{mass * ahead / (base * cos(turn)):.4f} kg"
        said[f"front hub {number}"] = "320 mm"
        said[f"rear hub {number}"] = f"{320 + 1000 * base * sin(turn):.3f} mm"
    hand = Hand(HEAVY)
    hand.fill(CG_HEIGHT, said)
    edits = edits_of(hand, CG_HEIGHT)
    assert edits["geometry.cg_height"] == pytest.approx(height, abs=1e-3)
    names = [one.name for one in hand.result(CG_HEIGHT).findings]
    assert "sprung centre of gravity height" in names
    sprung = (mass * height - 60 * hub - 150 * hub) / (mass - 210)
    assert edits["geometry.sprung_cg_height"] == pytest.approx(sprung, abs=1e-3)


def test_a_survey_goes_into_the_car_file() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    edits = edits_of(hand, TRAVEL_SURVEY)
    assert edits["front.motion_ratio"] == pytest.approx(0.8)
    assert edits["front.bump_travel"] == pytest.approx(2 / 0.8 * INCH_M)
    assert edits["front.droop_travel"] == pytest.approx(2 / 0.8 * INCH_M)
    hand.finish(TRAVEL_SURVEY)
    assert open_blocks(hand.state, hand.book) == []


OFF_THE_DAMPER = {
    "front coil-over": "no", "front spring rate": "50 N/mm",
    **{f"front height {n} with spring":
       f"{n - 3} in / {14 - 0.8 * (n - 3)} in / {10 - 0.5 * (n - 3)} in" for n in range(1, 6)},
}  # fmt: skip


def test_a_spring_off_the_damper_has_a_ratio_of_its_own() -> None:
    """n K MR^2 (Milliken and Milliken, chapter 16, from memory): 2 x 50 N/mm x 0.5^2."""
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, **OFF_THE_DAMPER})
    edits = edits_of(hand, TRAVEL_SURVEY)
    assert edits["front.motion_ratio"] == pytest.approx(0.8)
    assert edits["front.spring_motion_ratio"] == pytest.approx(0.5)
    (rate,) = [one for one in hand.result(TRAVEL_SURVEY).findings if "front wheel rate" in one.name]
    assert rate.value == pytest.approx(25_000)


def test_a_spring_put_on_the_damper_loses_its_own_ratio() -> None:
    hand = Hand(
        Car.parse(HEAVY.model_dump(by_alias=True) | {"front": {"spring_motion_ratio": 0.5}})
    )
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    assert edits_of(hand, TRAVEL_SURVEY)["front.spring_motion_ratio"] is None


def test_the_split_of_bump_and_droop_is_never_failed() -> None:
    hand = Hand(HEAVY)
    near = {f"front height {n}": f"{(n - 3) / 10} in / {14 - 0.08 * (n - 3)} in" for n in range(6)}
    ends = {"front full bump": "13.8 in", "front full droop": "16.4 in"}
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, **near, **ends})
    shares = [one for one in hand.result(TRAVEL_SURVEY).findings if "bump share" in one.name]
    assert {one.level for one in shares} <= {"ok", "unknown"}
    assert "to" in shares[0].says


def test_an_unusual_value_is_doubted_once() -> None:
    hand = Hand(invented_car())
    hand.tell(STOCK, "spring", "front", "Stiff", "900 lb/in")
    doubt = hand.open(STOCK)
    assert doubt is not None
    assert doubt.question == "Keep 900 lb/in?"
    assert "This is above what cars have" in doubt.hint
    hand.tell(STOCK, AGAIN)
    again = hand.open(STOCK)
    assert again is not None
    assert again.key == "rate"
    hand.tell(STOCK, "900 lb/in", "keep")
    after = hand.open(STOCK)
    assert after is not None
    assert after.key == "free length"
    hand.back(STOCK)
    hand.back(STOCK)
    hand.tell(STOCK, "200 lb/in")
    assert hand.open(STOCK) == after


def test_0_is_dont_know_where_0_is_no_number() -> None:
    hand = Hand(HEAVY)
    hand.tell(SCALES, "aboard", "full", "0")
    assert filling(SCALES, hand.state).answers["left front"] == "unknown"
    hand.fill(TRAVEL_SURVEY, {"front squash": "0"})
    assert filling(TRAVEL_SURVEY, hand.state).answers["front squash"] == "0 mm"


def test_any_value_is_edited_and_both_sides_of_a_pair_alike() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Left front rebound", "dampers.0.knobs.0.clicks", "20")
    assert edits_of(hand, EDIT) == {
        "dampers.0.knobs.0.clicks": 20.0,
        "dampers.1.knobs.0.clicks": 20.0,
    }


def test_an_edit_may_be_a_guess() -> None:
    hand = Hand(HEAVY)
    hand.tell(EDIT, "Geometry", "geometry.cg_height", "22 in", "guess")
    (edit,) = hand.result(EDIT).edits
    assert edit.guess
    assert edit.value == pytest.approx(22 * INCH_M)


@pytest.mark.parametrize(
    ("key", "typed", "named"),
    [
        ("front full bump", "15 in", "Front damper at full bump: found 15 in; wanted less than"),
        ("front longest", "13 in", "Front damper fully open: found 13 in; wanted more than"),
        ("front spring free", "9 in", "Front spring free length: found 9 in; wanted more than"),
        ("front height 2", "-1 in / 17 in", "Front height 2: found .* wanted shorter"),
        ("front height 2", "-1 in", "Front height 2: found 1 lengths; wanted wheel / damper"),
    ],
)
def test_lengths_that_cannot_stand_together_are_refused_by_name(
    key: str, typed: str, named: str
) -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != key:
        hand.tell(TRAVEL_SURVEY, SURVEYED.get(one.key, dont_know(one)))
    with pytest.raises(AnswerError, match=named):
        hand.tell(TRAVEL_SURVEY, typed)


def test_nobody_knows_is_refused_where_a_number_is_needed() -> None:
    needed = SheetField("length", "Length", "How long?", wanted=Wanted("Length"), unknown=False)
    sheet = Sheet("needed", "Needed", lambda now: iter([needed]), lambda now: Result())
    with pytest.raises(AnswerError, match="Length: found 'no idea'; wanted a number"):
        answered(sheet, Hand(HEAVY).state, "length", "no idea")
