"""What a survey and a weighing used to take without a word. The car is invented.

Each is refused or doubted in a sentence that names the field, what was found and what is wanted.
"""

from math import cos, radians, sin

import pytest

from rules.car.model import Car
from rules.crew.sheets.cg import CG_HEIGHT
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.sheet import KEPT
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.crew.sheets.survey_place import DOWN, OUT
from rules.question import AnswerError
from rules.shop.odd_rows import odd_row
from rules.units import INCH_M
from tests.support.shop import HEAVY, RIGHT, SURVEYED, Hand, dont_know, edits_of


def up_to(key: str, said: dict[str, str] | None = None, car: Car = HEAVY) -> Hand:
    """Return a hand that stands before a field of the survey."""
    hand, told = Hand(car), {**SURVEYED, **(said or {})}
    while (one := hand.open(TRAVEL_SURVEY)) is not None and one.key != key:
        hand.tell(TRAVEL_SURVEY, told.get(one.key, dont_know(one)))
    assert one is not None, key
    return hand


@pytest.mark.parametrize(
    ("key", "typed", "words"),
    [
        (
            "front ride",
            "51 in",
            "Front damper at ride height: found '51 in'; wanted a number from 100",
        ),
        (
            "front longest",
            "23 in",
            "found 584.2 mm open and 292.1 mm closed; wanted less than twice",
        ),
        ("front height 1", "0 in / 15 1/4 in", "wheel at ride height; wanted 355.6 mm, as said"),
        ("front height 1", "-2 in / 12.5 in", "below ride height; wanted more than at ride height"),
        ("front height 5", "2 in / 11.6 in", "wanted at least its length at full bump, 304.8 mm"),
        ("front height 1", "-3 in / 16.5 in", "wanted at most its length at full droop, 406.4 mm"),
    ],
)
def test_a_length_that_contradicts_another_is_refused(key: str, typed: str, words: str) -> None:
    with pytest.raises(AnswerError, match=words):
        up_to(key).tell(TRAVEL_SURVEY, typed)


@pytest.mark.parametrize(("sign", "side"), [(-1, "below"), (1, "above")])
def test_heights_all_on_one_side_of_ride_height_are_refused(sign: int, side: str) -> None:
    rows = {f"front height {n}": f"{sign * n * 0.3} in / {14 - sign * n * 0.24} in"
            for n in range(1, 6)}  # fmt: skip
    hand = up_to("front height 5", rows)
    with pytest.raises(AnswerError, match=f"found every height at or {side} ride height; wanted"):
        hand.tell(TRAVEL_SURVEY, rows["front height 5"])


def rising(wheel: float) -> float:
    """Return a damper's length [in] with a ratio of 0.6 at ride height, rising 0.1 an inch."""
    return 14.0 - 0.6 * wheel - 0.05 * wheel**2


@pytest.mark.parametrize("slip", [0.25, -0.25, 0.5])
@pytest.mark.parametrize("place", range(5))
def test_a_slip_in_any_row_of_a_rising_ratio_is_named_at_the_last(slip: float, place: int) -> None:
    wheels = [-2.0, -1.0, 0.0, 1.0, 2.0]
    lengths = [rising(one) + slip * (number == place) for number, one in enumerate(wheels)]
    odd = odd_row([one * INCH_M for one in wheels], [one * INCH_M for one in lengths])
    assert odd is not None
    if place in (0, 4):
        assert odd.place == place
        assert odd.wanted == pytest.approx(rising(wheels[place]) * INCH_M)


def test_a_rising_ratio_alone_is_not_doubted_and_its_last_slip_is() -> None:
    rows = {f"front height {n}": f"{n - 3} in / {rising(n - 3)} in" for n in range(1, 6)}
    hand = up_to("front height 5", rows)
    hand.tell(TRAVEL_SURVEY, "2 in / 12.35 in")
    doubt = hand.open(TRAVEL_SURVEY)
    assert doubt is not None
    assert doubt.key == f"front height 5{KEPT}"
    assert "found 313.7 mm long; by the other heights it is about 320 mm" in doubt.hint
    clean = up_to("front height 5", rows)
    clean.tell(TRAVEL_SURVEY, rows["front height 5"])
    after = clean.open(TRAVEL_SURVEY)
    assert after is not None
    assert not after.key.endswith(KEPT)


def test_what_needs_the_springs_out_is_asked_while_they_are_out_and_nothing_else() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, {**SURVEYED, **RIGHT, "front alike": "no"})
    fields = list(TRAVEL_SURVEY.fields(filling(TRAVEL_SURVEY, hand.state)))
    stages = [one.stage for one in fields]
    assert stages == sorted(stages, key=(DOWN, OUT).index)
    down = {one.key for one in fields if one.stage == DOWN}
    assert {"front ride", "right front ride", "front spring at ride", "oil pan"} <= down
    out = {one.key for one in fields if one.stage == OUT}
    assert {"front spring free", "right front full bump", "front height 1", "touch pan"} <= out


def test_a_car_without_bars_is_asked_no_bar_heights() -> None:
    hand = Hand(HEAVY)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    assert "survey.wheelie_bars" not in filling(TRAVEL_SURVEY, hand.state).answers
    names = [one.name for one in hand.result(TRAVEL_SURVEY).findings]
    assert not any("wheelie bar" in one for one in names)
    barred = Hand(Car.parse(HEAVY.model_dump(by_alias=True) | {"wheelie_bars": True}))
    barred.fill(TRAVEL_SURVEY, SURVEYED)
    assert "survey.wheelie_bars" in filling(TRAVEL_SURVEY, barred.state).answers


MASS, FRONT, HEIGHT, BASE, HUB = 1400.0, 0.53, 0.55, 2.7, 0.32


def weighed(*, front_too: bool = False, friction: float = 0.0) -> dict[str, str]:
    """Rigid statics in two dimensions, moments about an axle; scales rub by `friction` [kg]."""
    said = {"locked": "yes", "level front": f"{MASS * FRONT} kg", "level front hub": "320 mm",
            "level rear hub": "320 mm", "level rear": f"{MASS * (1 - FRONT)} kg"}  # fmt: skip
    for prefix, ends, sign in (("", ("front", "rear"), 1), ("other ", ("rear", "front"), -1)):
        for number, degrees in enumerate((5, 9, 13), 1):
            turn = sign * radians(degrees)
            ahead = FRONT * BASE * cos(turn) + (HEIGHT - HUB) * sin(turn)
            front = MASS * ahead / (BASE * cos(turn))
            load = front if sign > 0 else MASS - front
            down, up = ends
            said[f"{prefix}{down} {number}"] = f"{load + friction:.4f} kg"
            said[f"{prefix}{down} {number} down"] = f"{load - friction:.4f} kg"
            said[f"{prefix}{down} hub {number}"] = "320 mm"
            said[f"{prefix}{up} hub {number}"] = f"{320 + 1000 * BASE * abs(sin(turn)):.3f} mm"
            said[f"{prefix}another {number}"] = "yes" if prefix and number < 3 else "no"
    return said | {"other axle": "yes" if front_too else "no"}


@pytest.mark.parametrize("front_too", [False, True])
@pytest.mark.parametrize("friction", [0.0, 3.0])
def test_both_axles_and_both_ways_give_the_height(front_too: bool, friction: float) -> None:
    hand = Hand(HEAVY)
    hand.fill(CG_HEIGHT, weighed(front_too=front_too, friction=friction))
    assert edits_of(hand, CG_HEIGHT)["geometry.cg_height"] == pytest.approx(HEIGHT, abs=4e-3)
    names = {one.name: one for one in hand.result(CG_HEIGHT).findings}
    assert names["up against down"].value == pytest.approx(2 * friction, abs=1e-3)
    assert names["up against down"].level == ("look" if friction else "ok")


@pytest.mark.parametrize("number", [2, 3])
def test_one_height_entered_again_is_refused(number: int) -> None:
    said = weighed()
    said[f"rear hub {number}"] = said[f"rear hub {number - 1}"]
    hand = Hand(HEAVY)
    with pytest.raises(AnswerError, match=f"found .*, the height of rear up, height {number - 1}"):
        hand.fill(CG_HEIGHT, said)


def test_of_the_front_raised_it_is_the_front_hub_that_is_named() -> None:
    said = weighed(front_too=True)
    said["other front hub 2"] = said["other front hub 1"]
    hand = Hand(HEAVY)
    with pytest.raises(AnswerError, match=r"found the front hub at 555\.3 mm, the height of front"):
        hand.fill(CG_HEIGHT, said)


def test_the_level_height_is_no_raised_one_and_the_wrong_axle_is_named() -> None:
    with pytest.raises(AnswerError, match=r"the height of level; wanted 25\.4 mm higher"):
        Hand(HEAVY).fill(CG_HEIGHT, {**weighed(), "rear hub 1": "321 mm"})
    turned = {"front hub 1": "600 mm", "rear hub 1": "320 mm"}
    with pytest.raises(AnswerError, match="with the rear raised; wanted the other side of 600 mm"):
        Hand(HEAVY).fill(CG_HEIGHT, {**weighed(), **turned})
