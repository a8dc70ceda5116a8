"""Any answers to a travel survey, any of them said again: nothing fails, no block is lost."""

import re
from itertools import chain

from hypothesis import given
from hypothesis import strategies as st

from rules.car.model import Car
from rules.crew.sheets.rounds import correctable, faults, filling, said_again, with_unit
from rules.crew.sheets.sheet import KEPT, Filling, SheetField
from rules.crew.sheets.survey import PARTS, TRAVEL_SURVEY
from rules.question import UNKNOWN, AnswerError
from rules.shop.entered import TOUCHES
from tests.support.sample import examples
from tests.support.shop import HEAVY, MASSES, RIGHT, SURVEYED, Hand, dont_know

WHOLE = Car.parse(
    HEAVY.model_dump(by_alias=True)
    | {
        "masses": {**MASSES, "left_front": 371, "right_front": 351, "left_rear": 329,
                   "right_rear": 349, "pitch_inertia": 1800},
        "front": {"spring_rate": 40_000, "motion_ratio": 0.8, "spring_motion_ratio": 0.6,
                  "bump_travel": 0.10, "droop_travel": 0.07},
        "rear": {"motion_ratio": 0.9, "damper_angle": 20},
    }
)  # fmt: skip
BAD = {
    "front shortest": "12 in", "front spring free": "11.5 in", "front spring solid": "7.9 in",
    "oil pan": "2 in", "touch hoses": "yes", "touch joints": "yes", "rear shortest": "11 in",
    "right front shortest": "12 in", "right front spring free": "11.5 in",
}  # fmt: skip
FOUND = re.compile(r"Travel survey, (.*): (?:contact|the spring is loose)(?:, .*)?\.")

INCHES = st.one_of(st.integers(-24, 60).map(float), st.floats(0.5, 30.0))
LENGTHS = st.builds("{:.4g} {}".format, INCHES, st.sampled_from(["in", "mm", "ft", ""]))
ROWS = st.lists(LENGTHS, min_size=1, max_size=4).map(" / ".join)
LIKELY_ROWS = st.builds(
    lambda wheel, ratio, off, width: " / ".join(
        f"{one:.4g} in" for one in (wheel, 14 - ratio * wheel + off, 10 - ratio * wheel)[:width]
    ),
    st.sampled_from([-3, -2, -1, 0, 1, 2, 2.5]), st.sampled_from([0.3, 0.8, 0.81, 1.2]),
    st.sampled_from([0.0, 0.0, 0.2, -3.0]), st.sampled_from([2, 2, 2, 3, 3, 1]),
)  # fmt: skip
RATES = st.builds("{:.4g} {}".format, st.floats(10, 2000), st.sampled_from(["lb/in", "N/mm"]))
TYPED = st.one_of(LENGTHS, RATES, st.sampled_from(sorted({*SURVEYED.values(), *BAD.values()})))


def values_of(one: SheetField) -> st.SearchStrategy[str]:
    """Return what may be said to a field, likely or not."""
    unknown = st.just(UNKNOWN)
    if one.choices:
        return st.one_of(st.sampled_from([choice.id for choice in one.choices]), unknown)
    own = [said[one.key] for said in (SURVEYED, RIGHT, BAD) if one.key in said]
    likely = st.sampled_from(own) if own else unknown
    if one.kind == "text":
        return st.one_of(LIKELY_ROWS, likely, ROWS, unknown)
    return st.one_of(likely, TYPED, unknown)


def every_field(car: Car) -> list[SheetField]:
    """Return every field the sheet can have, either place of the springs, both sides."""
    sides = dict.fromkeys(("front alike", "rear alike"), "no") | dict.fromkeys(PARTS, "5 in")
    state = Hand(car).state
    places = [dict.fromkeys(("front coil-over", "rear coil-over"), said) for said in ("yes", "no")]
    asked = [TRAVEL_SURVEY.fields(Filling(state, {**sides, **place})) for place in places]
    return list({one.key: one for one in chain(*asked)}.values())


@given(data=st.data())
@examples(10, 30)
def test_no_answers_at_all_make_it_fail(data: st.DataObject) -> None:
    """Any answers whatever, as a log of other rules might hold them, refused or not."""
    car = data.draw(st.sampled_from([HEAVY, WHOLE]))
    fields = data.draw(st.permutations(every_field(car)))
    known = fields[: data.draw(st.integers(0, len(fields)))]
    said = {one.key: kept(one, data.draw(values_of(one), label=one.key), car) for one in known}
    now = Filling(Hand(car).state, {key: value for key, value in said.items() if value})
    list(TRAVEL_SURVEY.asked(now))
    faults(TRAVEL_SURVEY, now)
    TRAVEL_SURVEY.stops(now)
    result = TRAVEL_SURVEY.result(now)
    assert not (result.says and result.edits)
    assert all(one.says for one in result.findings)


def kept(one: SheetField, value: str, car: Car) -> str:
    """Return what a log keeps of a value; nothing of one out of a field's own bounds."""
    if one.wanted is None:
        return value
    try:
        return with_unit(value, one.wanted, car.units)
    except AnswerError:
        return ""


@given(data=st.data())
@examples(2, 20)
def test_no_answer_said_again_loses_a_block_that_does_not_hang_on_it(data: st.DataObject) -> None:
    """Fill a survey, say some of it again, and hold every block against what it hangs on."""
    hand = Hand(data.draw(st.sampled_from([HEAVY, WHOLE])))
    bad = data.draw(st.lists(st.sampled_from(sorted(BAD)), unique=True))
    odd = {one.key: one for one in data.draw(st.lists(st.sampled_from(every_field(HEAVY))))}
    said = {**SURVEYED, **RIGHT, **{key: BAD[key] for key in bad}}
    said["front alike"] = data.draw(st.sampled_from(["yes", "no"]))
    said |= {key: data.draw(values_of(one), label=key) for key, one in odd.items()}
    to_the_end(hand, said)
    for _ in range(data.draw(st.integers(1, 6))):
        now = filling(TRAVEL_SURVEY, hand.state)
        keys = [key for key, _, _ in correctable(TRAVEL_SURVEY, now)]
        turning = [key for key in keys if key.endswith(("alike", "coil-over", "height 1"))]
        key = data.draw(st.one_of(st.sampled_from(keys), st.sampled_from(turning)))
        one = next(one for one in TRAVEL_SURVEY.fields(now) if one.key == key)
        before, copied = blocks(hand), right_is_copied(hand)
        hand.record(said_again(TRAVEL_SURVEY, hand.state, key))
        assert_kept(before, blocks(hand), key, copied)
        to_the_end(hand, {**said, key: data.draw(values_of(one), label=f"{key} again")})
        hand.result(TRAVEL_SURVEY)


def to_the_end(hand: Hand, said: dict[str, str]) -> None:
    """Answer what is open, with "don't know" where an answer is refused."""
    while (one := hand.open(TRAVEL_SURVEY)) is not None:
        before, copied = blocks(hand), right_is_copied(hand)
        try:
            hand.tell(TRAVEL_SURVEY, said.get(one.key, dont_know(one)))
        except AnswerError:
            hand.tell(TRAVEL_SURVEY, UNKNOWN)
        assert_kept(before, blocks(hand), one.key.removesuffix(KEPT), copied)


def blocks(hand: Hand) -> set[str]:
    """Return the names of what blocks advice now."""
    rounds = hand.state.sheets.get(TRAVEL_SURVEY.id, ())
    lines = "\n".join(rounds[-1].stops.values()).splitlines() if rounds else []
    names = [FOUND.fullmatch(one) for one in lines]
    assert all(names)
    return {one[1] for one in names if one}


def right_is_copied(hand: Hand) -> bool:
    """Tell whether nothing of the right front was measured."""
    now = filling(TRAVEL_SURVEY, hand.state)
    return not any(now.said(key) for key in RIGHT)


def assert_kept(before: set[str], after: set[str], key: str, copied: bool) -> None:
    lost = {name for name in before - after if not hangs_on(name, key, copied)}
    assert not lost, f"{key} lifted {lost}"


LENGTHS_OF = {
    "shaft left at full bump": ("ride", "full bump", "shortest"),
    "coil bind": ("ride", "full bump", "spring at ride", "spring solid"),
    "spring at full droop": ("ride", "full droop", "spring at ride", "spring free"),
}


def hangs_on(name: str, key: str, copied: bool) -> bool:
    """Tell whether what was found hangs on an answer. copied: the right front is the left's."""
    if name in TOUCHES.values():
        return key == f"touch {next(one for one, words in TOUCHES.items() if words == name)}"
    if name.startswith("clearance under"):
        part = next(one for one, (_, words) in PARTS.items() if name.endswith(words))
        lengths = ("ride", "full bump", "squash", "coil-over")
        return key in (part, f"{part} ahead") or "height" in key or key.endswith(lengths)
    side, end, *rest = name.split(" ")
    what = " ".join(rest)
    places = [end] if side == "left" else [end, f"right {end}"]
    keys = [f"{place} {one}" for place in places for one in LENGTHS_OF[what]]
    if side == "right" and (copied or end == "rear"):
        keys.append(f"{end} alike")
    ratio = what != "shaft left at full bump"
    return key in keys or (
        ratio and (key == f"{end} coil-over" or any(key.startswith(f"{p} height") for p in places))
    )
