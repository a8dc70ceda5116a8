"""A travel survey of which an answer is said again: what is asked, found and blocked. Invented."""

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.model import Car
from rules.crew.sheets.rounds import correctable, faults, filling, said_again
from rules.crew.sheets.sheet import KEPT
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.question import UNKNOWN, AnswerError, Given
from rules.units import POUND_FORCE_N, STANDARD_GRAVITY_M_S2
from rules.wording import say
from tests.support.shop import HEAVY, MASSES, RIGHT, SURVEYED, Hand, dont_know, edits_of

BOTH_SIDES = {**SURVEYED, **RIGHT, "front alike": "no"}
WITH_SPRING = {
    f"front height {n} with spring":
    f"{n - 3} in / {14 - 0.6 * (n - 3)} in / {10 - 0.5 * (n - 3)} in" for n in range(1, 6)
}  # fmt: skip


def again(hand: Hand, key: str, value: Given) -> None:
    """Say one answer again."""
    hand.record(said_again(TRAVEL_SURVEY, hand.state, key))
    hand.tell(TRAVEL_SURVEY, value)


def stops(hand: Hand) -> dict[str, list[str]]:
    """Return what blocks by inspection, one sentence each."""
    rounds = hand.state.sheets[TRAVEL_SURVEY.id]
    return {inspection: words.splitlines() for inspection, words in rounds[-1].stops.items()}


def damper_ratio(hand: Hand) -> float | None:
    found = {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}
    return found["left front damper ratio"].value


def test_rows_are_asked_with_the_spring_once_it_is_off_the_damper_and_come_back() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    again(hand, "front coil-over", "no")
    one = hand.open(TRAVEL_SURVEY)
    assert one is not None
    assert one.key == "front height 1 with spring"
    assert "wheel / damper / spring" in one.question
    assert damper_ratio(hand) == pytest.approx(0.8)
    hand.fill(TRAVEL_SURVEY, WITH_SPRING)
    assert edits_of(hand, TRAVEL_SURVEY)["front.spring_motion_ratio"] == pytest.approx(0.5)
    assert damper_ratio(hand) == pytest.approx(0.6)
    again(hand, "front coil-over", "yes")
    assert hand.open(TRAVEL_SURVEY) is None
    assert damper_ratio(hand) == pytest.approx(0.8)
    again(hand, "front coil-over", "no")
    assert hand.open(TRAVEL_SURVEY) is None
    assert edits_of(hand, TRAVEL_SURVEY)["front.spring_motion_ratio"] == pytest.approx(0.5)


def test_a_pan_in_the_road_blocks_while_the_rows_are_asked_again() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, "oil pan": "2 in"})
    before = stops(hand)
    again(hand, "front coil-over", "no")
    assert stops(hand) == before
    hand.fill(TRAVEL_SURVEY)
    assert stops(hand) == before


def test_a_row_that_contradicts_another_lifts_no_other_block() -> None:
    hand = Hand(HEAVY)
    hand.fill(
        TRAVEL_SURVEY,
        {**SURVEYED, "touch hoses": "yes", "front shortest": "12 in", "rear shortest": "11 in"},
    )
    before = stops(hand)
    again(hand, "front height 1", "-2 in / 14.1 in")
    assert faults(TRAVEL_SURVEY, filling(TRAVEL_SURVEY, hand.state))
    assert stops(hand) == before
    result = hand.result(TRAVEL_SURVEY)
    assert result.says[0] == "Some lengths do not go together."
    assert any("left front, lengths: found" in one.lower() for one in result.says)
    assert "front.bump_travel" not in edits_of(hand, TRAVEL_SURVEY)
    assert "left front shaft left at full bump" in {
        one.name for one in result.findings if one.level == "stop"
    }
    assert open_blocks(hand.state, hand.book)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("front full bump", "14 in"), ("front full droop", "14 in"),
        ("front spring free", "10 in"), ("front spring solid", "10 in"),
    ],
)  # fmt: skip
def test_a_length_that_leaves_no_travel_is_refused_by_name(key: str, value: str) -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    hand.record(said_again(TRAVEL_SURVEY, hand.state, key))
    with pytest.raises(AnswerError, match=f"found {value}; wanted"):
        hand.tell(TRAVEL_SURVEY, value)


def test_rows_under_another_key_of_an_older_log_are_not_measured() -> None:
    """Rows with a spring column once stood under the key of rows without one."""
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    now = filling(TRAVEL_SURVEY, hand.state)
    rows = {f"front height {n}": f"{n - 3} in / {17 - n} in / {13 - n} in" for n in range(1, 6)}
    old = type(now)(now.state, {**now.answers, **rows, "front coil-over": "no"})
    asked = [one.key for one in TRAVEL_SURVEY.fields(old)]
    assert "front height 1 with spring" in asked
    names = {one.name: one for one in TRAVEL_SURVEY.result(old).findings}
    assert names["left front damper ratio"].level == "unknown"
    assert TRAVEL_SURVEY.stops(old) == {}
    wide = {f"{key} with spring": f"{n - 3} in / {17 - n} in" for n, key in enumerate(rows, 1)}
    whole = {**wide, **{f"front height {n} with spring": rows[f"front height {n}"] for n in (1, 2)}}
    narrow = type(now)(now.state, {**old.answers, **whole})
    assert not any(one.key.endswith(KEPT) for one in TRAVEL_SURVEY.asked(narrow))
    assert "wanted wheel / damper / spring" in faults(TRAVEL_SURVEY, narrow)[0]


def test_a_right_side_that_was_measured_is_not_taken_as_the_left() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**BOTH_SIDES, "right front spring free": "11.5 in"})
    before = stops(hand)
    assert list(before) == ["loose-spring"]
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front alike"))
    assert stops(hand) == before
    with pytest.raises(AnswerError, match="Front right side: found as on the left, but the right"):
        hand.tell(TRAVEL_SURVEY, "yes")
    hand.tell(TRAVEL_SURVEY, UNKNOWN)
    assert stops(hand) == before
    hand.record(said_again(TRAVEL_SURVEY, hand.state, "front alike"))
    hand.tell(TRAVEL_SURVEY, "no")
    right = [key for key in filling(TRAVEL_SURVEY, hand.state).answers if key in RIGHT]
    for key in right:
        again(hand, key, UNKNOWN)
    again(hand, "front alike", "yes")
    assert hand.open(TRAVEL_SURVEY) is None
    assert stops(hand) == {}


def test_what_blocks_is_one_sentence_for_each_finding_with_its_value() -> None:
    """By hand: 10 in at ride height and 2 in of droop are 12 in; 11.75 and 11.5 in free."""
    hand = Hand(HEAVY)
    said = {
        **BOTH_SIDES, "right front spring free": "11.5 in", "front spring free": "11.75 in",
        "touch hoses": "yes", "oil pan": "2 in",
    }  # fmt: skip
    hand.fill(TRAVEL_SURVEY, said)
    blocking = stops(hand)
    assert [say(one, "us") for one in blocking["loose-spring"]] == [
        "Travel survey, left front spring at full droop: the spring is loose, -0.25 in.",
        "Travel survey, right front spring at full droop: the spring is loose, -0.5 in.",
    ]
    pan, hoses = blocking["contact-marks"]
    assert say(pan, "us").startswith("Travel survey, clearance under the oil pan: contact, -")
    assert hoses.endswith("steered lock to lock: contact.")


WEIGHED = Car.parse(
    HEAVY.model_dump(by_alias=True)
    | {"masses": {**MASSES, "left_front": 371, "right_front": 351, "left_rear": 329,
                  "right_rear": 349}}
)  # fmt: skip


@pytest.mark.parametrize(
    ("said", "left", "right"), [(BOTH_SIDES, 341.0, 321.0), (SURVEYED, 331.0, 331.0)]
)
def test_a_spring_is_held_against_its_own_corner_of_the_scales(
    said: dict[str, str], left: float, right: float
) -> None:
    """By hand: 371 and 351 kg less 30 kg unsprung each, at 0.8; 200 lb/in closed by 4 in."""
    hand = Hand(WEIGHED)
    hand.fill(TRAVEL_SURVEY, said)
    names = {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}
    by_length = 200 * POUND_FORCE_N * 4
    for side, sprung in (("left", left), ("right", right)):
        by_scales = sprung * STANDARD_GRAVITY_M_S2 / 0.8
        found = names[f"{side} front spring against scales"]
        assert found.value == pytest.approx(by_length - by_scales, abs=0.01)


def test_every_answer_can_be_said_again_after_any_correction_of_the_springs_place() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    for place in ("no", "unknown", "yes"):
        again(hand, "front coil-over", place)
        while (one := hand.open(TRAVEL_SURVEY)) is not None:
            hand.tell(TRAVEL_SURVEY, WITH_SPRING.get(one.key, dont_know(one)))
        now = filling(TRAVEL_SURVEY, hand.state)
        assert correctable(TRAVEL_SURVEY, now)
        assert faults(TRAVEL_SURVEY, now) == []
