"""A new car: few prompts, don't know everywhere, either unit, and a file at any time."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drafts import draft_car
from profiles.edit_car import edited_text
from profiles.files import read_car
from rules.car.edits import Edit
from rules.crew.sheets.asking import name_of
from rules.crew.sheets.describe.knobs import KNOBS, EndToEnd, read_counts, read_range
from rules.crew.sheets.describe.new_car import MORE, NARROWING, NEW_CAR
from rules.crew.sheets.describe.rank import measure_next
from rules.crew.sheets.rounds import counted, filling, open_field
from rules.crew.sheets.sheet import prompt_of
from rules.log.folds.fold import fold
from rules.question import AnswerError
from tests.support.shop import Hand, Newcomer

ROOT = Path(__file__).parents[4]
BIG_KNOBS = {
    "front knobs": ("rebound", "low-speed compression", "high-speed compression"),
    "rear knobs": ("rebound", "compression"),
}
WEIGHT_WHEELBASE_KNOBS = {
    "name": "Invented coupe", "units": "us", "wheelie bars": "yes", "masses.total": "3200",
    "geometry.wheelbase": "108", "count from": "full soft", **BIG_KNOBS,
    **{f"{axle} {knob} range": "18" for axle in ("front", "rear") for knob in KNOBS},
    **{f"{axle} {knob} count": "8" for axle in ("front", "rear") for knob in KNOBS},
}  # fmt: skip


def test_who_knows_weight_wheelbase_and_knobs_has_a_car_in_at_most_thirty_prompts() -> None:
    hand = Newcomer()
    assert hand.fill(NEW_CAR, WEIGHT_WHEELBASE_KNOBS) == 22
    car, _ = draft_car(hand.state)
    assert car.masses.total_kg == pytest.approx(1451.5, abs=0.1)  # 3200 lb of 0.45359237 kg
    assert car.geometry.wheelbase_m == pytest.approx(2.7432)
    assert [len(damper.knobs) for damper in car.dampers] == [3, 3, 2, 2]
    assert all(knob.start == 8 and knob.clicks == 18 for d in car.dampers for knob in d.knobs)


def test_dont_know_everywhere_still_makes_a_car() -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {"name": "Nobody knows", MORE: "yes"})
    car, _ = draft_car(hand.state)
    assert car.rear_suspension == "other"
    assert car.dampers == ()
    assert car.guesses == ("wheelie_bars",)


def test_unknown_bars_are_taken_for_fitted_asked_about_and_looked_for_first() -> None:
    """With bars a pass is asked what they did, and a hit blocks advice: the cautious guess."""
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "wheelie bars": "unknown"})
    assert any(
        "Wheelie bars: the file says fitted, as a guess" in line
        for line in hand.result(NEW_CAR).says
    )
    car, text = draft_car(hand.state)
    assert car.wheelie_bars
    assert measure_next(car, 0)[0].key == "wheelie_bars"
    crew = Hand(car)
    crew.say(["front-carries"], ["nothing"], "unknown")
    assert crew.prompt.id == "bars"
    for seen in (True, False):
        looked = edited_text(text, [Edit(("wheelie_bars",), seen, "bars")], car.units)
        after = read_car(looked.encode(), "it")
        assert after.wheelie_bars is seen
        assert after.guesses == ()


def test_nobody_knows_the_end_or_a_count_and_it_is_said() -> None:
    hand = Newcomer()
    unknown = {"count from": "unknown", "rear rebound count": "unknown"}
    assert hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, **unknown}) == 22
    car, _ = draft_car(hand.state)
    assert {knob.count_from for damper in car.dampers for knob in damper.knobs} == {"full soft"}
    assert [knob.id for knob in car.dampers[2].knobs] == ["compression"]
    said = " ".join(hand.result(NEW_CAR).says)
    assert "Counts are from full soft, by agreement" in said
    assert "Not in the file yet: rear rebound." in said


def test_enter_alone_goes_through_a_new_car() -> None:
    hand = Newcomer()
    while (one := hand.open(NEW_CAR)) is not None:
        prompt = prompt_of(one)
        assert prompt.default or prompt.unknown, one.key
        hand.tell(NEW_CAR, prompt.default or "unknown")
    assert draft_car(hand.state)[0].name == "Our car"


def test_a_knob_that_nobody_counted_stays_out_and_is_said() -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "front rebound range": "unknown"})
    car, _ = draft_car(hand.state)
    assert [knob.id for knob in car.dampers[0].knobs] == [*BIG_KNOBS["front knobs"][1:]]
    assert any("front rebound" in line for line in hand.result(NEW_CAR).says)


def test_nothing_to_turn_is_kept_apart_from_what_nobody_knows() -> None:
    """No knob is a damper without one; of what nobody looked at the file names no damper."""
    for unknown in ("unknown", ("unknown",)):
        hand = Newcomer()
        said = {**WEIGHT_WHEELBASE_KNOBS, "front knobs": ("none",), "rear knobs": unknown}
        hand.fill(NEW_CAR, said)
        car, _ = draft_car(hand.state)
        assert [(damper.corner, damper.knobs) for damper in car.dampers] == [
            ("left front", ()),
            ("right front", ()),
        ]
        result = " ".join(hand.result(NEW_CAR).says)
        assert "Not known: what can be turned on the rear dampers" in result


def test_the_documents_say_how_many_questions_a_new_car_is() -> None:
    """Twelve, and two more for each knob."""
    hand = Newcomer()
    assert counted(NEW_CAR, filling(NEW_CAR, hand.state))[1] == 12
    assert hand.fill(NEW_CAR, WEIGHT_WHEELBASE_KNOBS) == 12 + 2 * sum(map(len, BIG_KNOBS.values()))
    for name in ("README.md", "docs/guide.md"):
        text = " ".join((ROOT / name).read_text("utf-8").split()).lower()
        assert "twelve questions" in text
        assert "two more for each knob that is marked" in text


@pytest.mark.parametrize(
    ("typed", "metres"),
    # 1 in is 0.0254 m by definition (NIST SP 811, B.8).
    [("108", 2.7432), ("2743.2 mm", 2.7432), ("9'", 2.7432), ("108 1/2 in", 2.7559)],
)
def test_either_unit_and_fractions(typed: str, metres: float) -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "geometry.wheelbase": typed})
    assert draft_car(hand.state)[0].geometry.wheelbase_m == pytest.approx(metres, rel=1e-5)


def test_what_is_kept_says_its_unit() -> None:
    hand = Newcomer()
    hand.tell(NEW_CAR, "Coupe", "metric", "unknown", "no", "unknown", "3,200 lb", "2743.2")
    kept = hand.state.sheets["new car"][0].answers
    assert kept["geometry.wheelbase"] == "2743.2 mm"
    assert kept["masses.total"] == "1451.5 kg"  # a thousands sign is read once and for all


@pytest.mark.parametrize(
    ("key", "typed", "named"),
    [
        ("masses.total", "3200 in", "Total weight"),
        ("masses.total", "heavy", "Total weight"),
        ("geometry.wheelbase", "108 ft", "Wheelbase"),
        ("front rebound range", "0", "front rebound"),
        ("front rebound range", "18.5", "front rebound"),
        ("front rebound count", "19", "front rebound"),
        ("front rebound count", "8 / 30", "front rebound"),
        ("front knobs", ("compression", "low-speed compression"), "Front knobs"),
    ],
)
def test_a_wrong_answer_is_refused_by_name_and_nothing_is_lost(
    key: str, typed: object, named: str
) -> None:
    hand = Newcomer()
    while (one := hand.open(NEW_CAR)) is not None and one.key != key:
        hand.tell(NEW_CAR, WEIGHT_WHEELBASE_KNOBS.get(one.key, "unknown"))
    before = hand.state
    with pytest.raises(AnswerError, match=f"{named}.*found .*wanted"):
        hand.tell(NEW_CAR, typed)
    assert hand.state is before


def test_the_front_axle_weight_makes_corners_that_add_up_as_guesses() -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, MORE: "yes", "front weight": "1700"})
    car, _ = draft_car(hand.state)
    assert car.masses.left_front_kg == car.masses.right_front_kg
    assert "masses.left_rear" in car.guesses


def test_left_and_right_apart_become_an_offset() -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "front rebound count": "8 / 10"})
    car, _ = draft_car(hand.state)
    assert [d.knobs[0].start for d in car.dampers[:2]] == [8, 10]
    assert car.dampers[1].knobs[0].offset == 2


def test_turns_without_clicks() -> None:
    assert read_range("3 turns") == EndToEnd(24, turns=True)
    assert read_range("2 1/2 turns") == EndToEnd(20, turns=True)
    assert read_counts("1 3/8", EndToEnd(24, turns=True)) == (11, 11)
    assert read_range("2 1/3 turns") is None


@given(st.integers(0, 20))
def test_the_draft_goes_on_where_it_was_left(after: int) -> None:
    hand = Newcomer()
    for _ in range(after):
        one = hand.open(NEW_CAR)
        assert one is not None
        hand.tell(NEW_CAR, WEIGHT_WHEELBASE_KNOBS.get(one.key, "unknown"))
    again = fold(hand.log)
    assert open_field(NEW_CAR, filling(NEW_CAR, again)) is not None
    one, other = hand.open(NEW_CAR), open_field(NEW_CAR, filling(NEW_CAR, again))
    assert one is not None
    assert other is not None
    assert prompt_of(one) == prompt_of(other)


def test_going_back_opens_the_question_before() -> None:
    hand = Newcomer()
    hand.tell(NEW_CAR, "Coupe", "us")
    for key in ("units", "name"):
        hand.back(NEW_CAR)
        one = hand.open(NEW_CAR)
        assert one is not None
        assert one.key == key
    assert hand.state.sheets["new car"] == ()


def test_a_car_is_named_as_the_crew_names_it() -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "name": 'The "big" one \\ two'})
    assert draft_car(hand.state)[0].name == 'The "big" one \\ two'


def test_a_hand_with_a_car_has_the_sheets_in_its_units() -> None:
    assert filling(NEW_CAR, Hand().state).system == "metric"


def test_a_clearance_that_the_bump_travel_uses_up_is_doubted() -> None:
    hand = Newcomer()
    said = {"front.bump_travel": "4 in", "geometry.ground_clearance": "3 in"}
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, MORE: "yes", **said})
    hints = {one.key: one.hint for one in NEW_CAR.asked(filling(NEW_CAR, hand.state))}
    assert "meets the road" in hints["geometry.ground_clearance kept"]


def test_it_is_said_how_each_number_is_found_out() -> None:
    together = " ".join(NEW_CAR.procedure)
    names = ["Total weight:", "Wheelbase:", "Counting clicks:", "Front axle weight:", "Firmer:"]
    names += [f"{name_of(key)[0].upper()}{name_of(key)[1:]}:" for key in NARROWING]
    assert [name for name in names if name not in together] == []


@pytest.mark.parametrize(
    ("said", "kept"),
    [(kind, kind) for kind in ("radial", "bias slick", "drag radial")] + [("unknown", None)],
)
def test_the_kind_of_the_rear_tyre_stands_in_the_file(said: str, kept: str | None) -> None:
    hand = Newcomer()
    hand.fill(NEW_CAR, {**WEIGHT_WHEELBASE_KNOBS, "rear tyre": said})
    assert draft_car(hand.state)[0].rear.tyre == kept
