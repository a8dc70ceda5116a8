"""The instant centre from the links' places: by hand, and against two rods turned for real.

The construction is that of any text on vehicle dynamics (Gillespie, chapter 7; Milliken and
Milliken, chapter 17; from memory); the numbers are worked by hand.
"""

from math import cos, hypot, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.chassis import anti_squat
from rules.car.checks import cross_faults
from rules.car.instant_centre import Spot, crossing, instant_centre
from rules.car.links import FOUR_ENDS, LinkEnd
from rules.car.model import Car
from tests.support.launch.linked_car import BAR, HOLES, PLACES, linked, with_levers

Ends = dict[LinkEnd, Spot]
# Upper line 0.48 - 0.2 x, lower line 0.16 + 0.1 x: they cross at x = 16/15, z = 4/15.
BY_HAND: Ends = {
    "upper front": (0.6, 0.36),
    "upper rear": (0.0, 0.48),
    "lower front": (0.9, 0.25),
    "lower rear": (0.0, 0.16),
}


def test_where_two_lines_cross_by_hand() -> None:
    found = crossing(BY_HAND)
    assert found is not None
    assert (found.ahead, found.height) == pytest.approx((16 / 15, 4 / 15))
    assert found.ratio == pytest.approx(0.25)
    # With the car's centre a fifth of the wheelbase high: 100 * 0.25 / 0.2.
    assert anti_squat(found.height, found.ahead, 0.54, 2.7) == pytest.approx(125.0)


def test_the_anti_squat_of_a_textbook_axle_is_full_on_the_right_line() -> None:
    """Gillespie's solid axle: 100 % where d / e = h / L; 20.5 in over 108.5 in, from memory."""
    slope = 20.5 / 108.5
    through = {"upper front": (0.5, 0.3), "upper rear": (0.0, 0.45)}
    # The lower link aims at where the upper one meets the line of that slope from the contact.
    x = 0.45 / (slope + 0.3)
    ends: Ends = {**through, "lower front": (x, slope * x), "lower rear": (0.05, 0.2)}  # type: ignore[dict-item]
    found = crossing(ends)
    assert found is not None
    assert anti_squat(found.height, found.ahead, 20.5, 108.5) == pytest.approx(100.0)


def test_links_side_by_side_cross_nowhere() -> None:
    level: Ends = {
        "upper front": (0.6, 0.4),
        "upper rear": (0.0, 0.46),
        "lower front": (0.6, 0.2),
        "lower rear": (0.0, 0.26),
    }
    assert crossing(level) is None


def turned(ends: Ends, axle: float, up: float) -> Ends:
    """Return the ends with the axle up in the body: both rods keep their length, by Newton."""
    (uf, ur), (lf, lr) = (
        (ends["upper front"], ends["upper rear"]), (ends["lower front"], ends["lower rear"]),
    )  # fmt: skip
    lengths = [hypot(f[0] - r[0], f[1] - r[1]) for f, r in ((uf, ur), (lf, lr))]

    def placed(on: float, turn: float) -> list[Spot]:
        return [
            (
                on + r[0] * cos(turn) - (r[1] - axle) * sin(turn),
                axle + up + r[0] * sin(turn) + (r[1] - axle) * cos(turn),
            )
            for r in (ur, lr)
        ]

    def off(on: float, turn: float) -> list[float]:
        spots = zip((uf, lf), placed(on, turn), lengths, strict=True)
        return [hypot(f[0] - r[0], f[1] - r[1]) - long for f, r, long in spots]

    on, turn, h = 0.0, 0.0, 1e-6
    for _ in range(20):
        a, b = off(on, turn)
        a_on, b_on = ((one - was) / h for one, was in zip(off(on + h, turn), (a, b), strict=True))
        a_t, b_t = ((one - was) / h for one, was in zip(off(on, turn + h), (a, b), strict=True))
        whole = a_on * b_t - a_t * b_on
        on, turn = on - (a * b_t - b * a_t) / whole, turn - (b * a_on - a * b_on) / whole
    rears = placed(on, turn)
    return {**ends, "upper rear": rears[0], "lower rear": rears[1]}


@given(
    *(st.floats(low, high) for low, high in ((0.4, 0.7), (0.30, 0.42), (0.45, 0.55))),
    *(st.floats(low, high) for low, high in ((0.6, 1.1), (0.18, 0.28), (0.17, 0.24))),
)
def test_the_centre_wanders_as_the_rods_turn(
    uf: float, uz: float, ur: float, lf: float, lz: float, lr: float
) -> None:
    """The closed form against two rods of fixed length, the axle 1 mm up and down."""
    ends: Ends = {
        "upper front": (uf, uz),
        "upper rear": (0.05, ur),
        "lower front": (lf, lz),
        "lower rear": (0.08, lr),
    }
    found = crossing(ends)
    if found is None or not 0.3 < found.ahead < 3.0 or found.wanders is None:
        return
    step = 0.001
    up, down = (crossing(turned(ends, 0.36, one)) for one in (step, -step))
    assert up is not None
    assert down is not None
    moved = ((up.ahead - down.ahead) / step / 2, (up.height - down.height) / step / 2)
    assert found.wanders == pytest.approx(moved, rel=0.02, abs=0.01)


def test_a_ladder_bars_pivot_stays_in_the_body() -> None:
    found = instant_centre(BAR, {})
    assert found is not None
    assert (found.ahead, found.height, found.wanders) == (1.1, 0.2, (0.0, 0.0))
    higher = instant_centre(BAR, {"bar front": 2.0})
    assert higher is not None
    assert higher.height == 0.28
    raised = instant_centre(BAR, {}, rear_up=0.02)
    assert raised is not None
    assert raised.height == pytest.approx(0.2 + 0.02 * (1 - 1.1 / 2.7))


def test_each_hole_has_more_anti_squat_than_the_one_before() -> None:
    car = linked()
    found = [instant_centre(car, {HOLES: float(at)}) for at in range(len(PLACES))]
    ratios = [one.ratio for one in found if one is not None]
    assert len(ratios) == len(PLACES)
    assert ratios == sorted(ratios)
    assert instant_centre(car, {}) == found[1]
    assert cross_faults(car) == []


def test_without_all_four_ends_there_is_none() -> None:
    car = linked()
    for end in FOUR_ENDS[1:]:
        raw = car.model_dump(by_alias=True)
        raw["links"][end.replace(" ", "_")] = None
        assert instant_centre(Car.parse(raw), {}) is None
    assert instant_centre(car, {HOLES: 17.0}) is None


@pytest.mark.parametrize(
    ("where", "lever"),
    [
        ("moves", {"kind": "preload"}),
        ("moves", {"axle": "front"}),
        ("places", {"places": PLACES[:2]}),
        ("places", {"moves": None}),
        ("places", {"places": tuple(reversed(PLACES))}),
        ("at_springs", {"at_springs": True}),
    ],
)
def test_levers_that_cannot_be_are_faults(where: str, lever: dict[str, object]) -> None:
    """Positions from the most to the least among them: "raise" is gated as the harder hit."""
    found = [fault.where for fault in cross_faults(with_levers(lever))]
    assert f"lever {HOLES}.{where}" in found


def test_one_place_told_twice_is_told_alike() -> None:
    raw = linked().model_dump(by_alias=True)
    there = raw["links"]
    there["upper_front"] = {"ahead": 0.62, "height": 0.393}
    assert cross_faults(Car.parse(raw)) == []
    there["upper_front"] = {"ahead": 0.62, "height": 0.44}
    assert [one.where for one in cross_faults(Car.parse(raw))] == [f"lever {HOLES}.places"]
    told = linked(geometry={"instant_centre_ahead": 1.3, "instant_centre_height": 0.25})
    assert cross_faults(told) == []
    told = linked(geometry={"instant_centre_ahead": 1.3, "instant_centre_height": 0.4})
    assert [one.where for one in cross_faults(told)] == ["geometry.instant_centre_height"]
    guessed = linked(guesses=["links"])
    assert cross_faults(guessed) == []


def test_a_spring_preload_is_a_length_of_one_axle() -> None:
    good = {"id": "rear collars", "kind": "preload", "axle": "rear", "unit": "mm", "start": 0.0,
            "at_springs": True}  # fmt: skip
    for more, where in (
        ({}, None),
        ({"unit": "flats"}, "lever rear collars.unit"),
        ({"axle": "car"}, "lever rear collars.at_springs"),
        ({"kind": "ride height"}, "lever rear collars.at_springs"),
    ):
        raw = linked().model_dump(by_alias=True)
        raw["levers"] = [*raw["levers"], {**good, **more}]
        found = [fault.where for fault in cross_faults(Car.parse(raw))]
        assert found == ([where] if where else [])
    raw["levers"] = [*raw["levers"][:-1], good, {**good, "id": "left collar"}]
    found = [fault.where for fault in cross_faults(Car.parse(raw))]
    assert found == ["lever rear collars.at_springs", "lever left collar.at_springs"]
