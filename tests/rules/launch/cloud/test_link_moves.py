"""Link positions and preload in the launch: from the file's places, or not at all."""

from typing import Any

import numpy as np
import pytest

from rules.advice.by_mechanics.choice import Weighted
from rules.advice.by_mechanics.ways import ways
from rules.advice.by_mechanics.words import COMPUTED, SET_AGAIN, drafted
from rules.advice.safety.awake_dangers import is_awake, leads_to, remembered
from rules.advice.safety.dangers import front_danger_of
from rules.advice.safety.moves import Move, takes_clearance
from rules.advice.situation import Situation, situation
from rules.car.adjusters import Turn, adjusters
from rules.car.instant_centre import instant_centre
from rules.car.model import Car
from rules.crew.sheets.describe.rank import measure_next
from rules.launch.car_numbers import car_numbers
from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
from rules.launch.cloud.knobs import is_modelled, moves
from rules.launch.cloud.levers import lever_moves
from rules.launch.cloud.link_moves import HOLE_SLOPE, HOLE_SPREAD, LINK_SPREAD
from rules.launch.cloud.on_paper import Known, on_paper
from rules.launch.mechanics import launch_many
from rules.launch.mechanics.parameters import LINK_BOUNDS
from rules.launch.outlook import Prospect
from rules.log.advice import Draft
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.linked_car import BAR, COLLARS, HOLES, PLACES, linked, with_levers

DEMO = shipped_car("demo")
LINKED = linked()
CENTRE = ("d", "e", *LINK_BOUNDS)


def paper(car: Car, **settings: float) -> dict[str, Any]:
    """Return the car on paper at settings, by ids with _ for a space."""
    told = {key.replace("_", " "): value for key, value in settings.items()}
    return dict(typical_cars(car, told, deviates(car, 2, SEED)).paper)


def test_a_car_without_places_launches_as_it_did() -> None:
    """Its preload stays with the book."""
    assert not LINK_BOUNDS.keys() & on_paper(DEMO).params.keys()
    one = adjusters(DEMO)["launch preload"]
    assert not is_modelled(DEMO, one)
    found = moves(DEMO, {one.id: one.start + 1.0})
    assert (found.moves, found.not_modelled) == ((), (one.id,))
    leaf = shipped_car("leaf-metric")
    assert not is_modelled(leaf, adjusters(leaf)["traction device preload"])


def test_the_links_of_the_file_are_in_the_launch() -> None:
    found, wanted = on_paper(LINKED), instant_centre(LINKED, {})
    assert wanted is not None
    assert [found.params[name] for name in ("d", "e")] == [wanted.height, wanted.ahead]
    rates = wanted.rates(found.params["rr"])
    assert tuple(found.params[name] for name in LINK_BOUNDS) == rates
    assert found.known["d"] is Known.MEASURED
    assert on_paper(linked(guesses=["links"])).known["d"] is Known.GUESSED
    launch_many([{**found.params, "t_end": 0.02}])


def test_a_position_that_stays_moves_nothing() -> None:
    assert moves(LINKED, {HOLES: 1.0}) == moves(LINKED, {})
    assert moves(LINKED, {}).moves == ()
    drawn = deviates(LINKED, 16, SEED)
    before, after = (typical_cars(LINKED, one, drawn).cars for one in ({}, {HOLES: 1.0}))
    assert before == after


@pytest.mark.parametrize("at", range(len(PLACES)))
def test_each_hole_puts_the_centre_where_its_links_cross(at: int) -> None:
    wanted = instant_centre(LINKED, {HOLES: float(at)})
    assert wanted is not None
    found = paper(LINKED, **{HOLES: float(at)})
    turn, slope = wanted.rates(found["rr"]) or (0.0, 0.0)
    told = [found[name] for name in CENTRE]
    assert told == pytest.approx([wanted.height, wanted.ahead, turn, slope])
    start = paper(LINKED)
    assert {name for name in found if found[name] != start[name]} <= set(CENTRE)


def test_what_a_hole_does_is_in_doubt_by_the_stated_share() -> None:
    drawn = deviates(LINKED, 400, SEED)
    before, after = (
        np.array([car["d"] for car in typical_cars(LINKED, at, drawn).cars])
        for at in ({}, {HOLES: 3.0})
    )
    assert np.std(np.log((after - before)[1:] / (after - before)[0])) == pytest.approx(
        LINK_SPREAD, rel=0.15
    )


def test_two_links_are_taken_together() -> None:
    """Lines that cross do not add up: both moved are where both cross."""
    lower = {
        "id": "lower link",
        "kind": "link position",
        "axle": "rear",
        "positions": ("low", "high"),
        "start": "low",
        "moves": "lower front",
        "places": ({"ahead": 0.85, "height": 0.24}, {"ahead": 0.85, "height": 0.27}),
    }
    car = with_levers({}, lower)
    both = {HOLES: 3.0, "lower link": 1.0}
    wanted = instant_centre(car, both)
    assert wanted is not None
    found = paper(car, **both)
    assert (found["d"], found["e"]) == pytest.approx((wanted.height, wanted.ahead))
    assert moves(car, both).not_modelled == ()


def test_a_bars_pivot_goes_up_and_turns_the_axle_no_faster() -> None:
    low, high = (paper(BAR, bar_front=at) for at in (0.0, 2.0))
    assert (low["d"], high["d"]) == pytest.approx((0.12, 0.28))
    assert low["e"] == high["e"] == 1.1
    assert low["ic_turn_rate"] == high["ic_turn_rate"] == 0.0
    assert high["ic_slope_rate"] == pytest.approx(-1.0 / 1.1)


def test_a_centre_that_is_known_alone_keeps_its_ratio() -> None:
    """A maker's chart names the place and not how it wanders."""
    car = Car.parse(
        BAR.model_dump(by_alias=True)
        | {"levers": [BAR.levers[0].model_dump(by_alias=True) | {"moves": "instant centre"}]}
    )
    found = paper(car, bar_front=2.0)
    assert (found["d"], found["e"]) == pytest.approx((0.28, 1.1))
    assert not LINK_BOUNDS.keys() & found.keys()


def test_the_body_takes_its_ends_of_the_links_along() -> None:
    """Rear up by 20 mm: a pivot 1.1 m ahead of 2.7 rises by 20 (1 - 1.1 / 2.7)."""
    raw = BAR.model_dump(by_alias=True)
    height = {"id": "rear height", "kind": "ride height", "axle": "rear", "unit": "mm"}
    car = Car.parse(raw | {"levers": [*raw["levers"], {**height, "start": 100.0}]})
    assert paper(car, rear_height=120.0)["d"] == pytest.approx(0.2 + 0.02 * (1 - 1.1 / 2.7))


def test_a_preload_at_the_springs_raises_the_body_by_the_seats_way_over_the_motion_ratio() -> None:
    """A spring keeps its length under the same weight; by hand: 10 mm over 0.8 is 12.5 mm."""
    car = with_levers({}, COLLARS)
    raw = car.model_dump(by_alias=True)
    raw["rear"] |= {"motion_ratio": 0.8, "spring_rate": 25e3}
    car = Car.parse(raw)
    start, wound = paper(car), paper(car, rear_collars=10.0)
    assert wound["rear_bump"] - start["rear_bump"] == pytest.approx(0.0125)
    assert wound["rear_droop"] - start["rear_droop"] == pytest.approx(-0.0125)
    assert wound["hs"] - start["hs"] == pytest.approx(0.00625)
    assert wound["kr"] == start["kr"]
    moved = {name for name in wound if wound[name] != start[name]}
    assert moved == {"rear_bump", "rear_droop", "hs", *CENTRE}


def test_a_preload_that_hangs_the_axle_on_its_stop_is_unknown() -> None:
    """So is one without the spring's rate or ratio, and one that no springs' seats hold."""
    car = with_levers({}, COLLARS)
    one = adjusters(car)["rear collars"]
    assert is_modelled(car, one, 10.0)
    assert not is_modelled(car, one, 200.0)
    for rear in ({"spring_rate": None}, {"motion_ratio": None, "spring_motion_ratio": None}):
        raw = car.model_dump(by_alias=True)
        raw["rear"] |= rear
        assert not is_modelled(Car.parse(raw), one, 10.0)
    plain = with_levers({}, {**COLLARS, "at_springs": False})
    assert not is_modelled(plain, adjusters(plain)["rear collars"], 10.0)


def after_a_pass(car: Car, **told: object) -> Situation:
    crew = Crew(car=car)
    crew.tell(**{"symptoms": ["front-carries"], "stand": "small", "carry": "long"} | told)
    return situation(crew.state, crew.run, crew.book)


def test_a_link_is_a_way_with_its_places_or_without() -> None:
    for car in (LINKED, DEMO):
        assert any(way.levers[0].part == "link position" for way in ways(after_a_pass(car)))


def test_without_places_a_hole_up_raises_the_line_to_the_instant_centre() -> None:
    """A fifth of what full anti-squat takes, h / L: common practice, no source."""
    lever = next(one for one in adjusters(DEMO).values() if one.part == "link position")
    params = on_paper(DEMO).params
    for holes in (-1.0, 1.0):
        (move,) = lever_moves(DEMO, lever, lever.start + holes) or ()
        assert (move.name, move.lever, move.spread) == ("d", lever.id, HOLE_SPREAD)
        assert move.add / params["e"] == pytest.approx(holes * HOLE_SLOPE)
    assert 0.1 < HOLE_SLOPE / (params["hs"] / params["L"]) < 0.35


def test_words_of_our_own_say_what_is_set_again_after_a_link() -> None:
    """Pinion angle and preload; common practice, no source."""
    now = after_a_pass(LINKED)
    way = next(one for one in ways(now) if one.levers[0].part == "link position")
    best = Weighted(way, Prospect(0.5, 0.5, 0.8, 0.0, 0.9, 0.0), book=False)
    said = drafted(now, best, Draft(kind="leave", title=""), ())
    assert said.label == COMPUTED
    assert SET_AGAIN["link position"] in said.cautions


def test_after_a_big_stand_no_link_goes_up_and_no_front_collar_down() -> None:
    """More anti-squat lifts; less height takes travel from the landing; common practice."""
    front = {**COLLARS, "id": "front collars", "axle": "front"}
    car = with_levers({}, front)
    told = {"stand": "big", "bars": "clear", "front-travel": "at-stop"}
    for way in ways(after_a_pass(car, **told)):
        assert not (way.levers[0].part == "link position" and way.upward)
        assert not (way.levers[0].part == "preload" and not way.upward)
    assert takes_clearance(Move(part="preload", axle="front", upward=False))


def test_a_link_up_goes_towards_a_danger_and_one_down_proves_nothing() -> None:
    crew = Crew(car=LINKED)
    crew.tell(symptoms=["front-carries"], stand="big", bars="clear", carry="long")
    danger = remembered(crew.state)
    assert danger is not None
    low = {**crew.state.settings, HOLES: 0.0}
    up, down = (Turn(adjuster=HOLES, before=1.0, after=1.0 + way) for way in (1.0, -1.0))
    assert leads_to(crew.state.fitted, up, danger)
    assert not leads_to(crew.state.fitted, down, danger)
    assert is_awake(crew.state, danger, low)
    softer = {**low, "launch rpm": low["launch rpm"] - 500.0}
    assert not is_awake(crew.state, danger, softer)
    assert is_awake(crew.state, danger, {**softer, HOLES: 2.0})


def test_a_front_collar_down_goes_towards_a_hard_landing_and_one_up_proves_nothing() -> None:
    crew = Crew(car=with_levers({}, {**COLLARS, "id": "front collars", "axle": "front"}))
    crew.tell(**{"symptoms": ["front-drops-hard"], "stand": "small", "front-travel": "at-stop"})
    danger = front_danger_of(crew.state, crew.run)
    assert danger is not None
    down = Turn(adjuster="front collars", before=0.0, after=-2.0)
    assert leads_to(crew.state.fitted, down, danger)
    assert is_awake(crew.state, danger, {**crew.state.settings, "front collars": 4.0})


def test_known_links_are_not_asked_for_again() -> None:
    for car, asked in ((LINKED, False), (linked(guesses=["links"]), True)):
        keys = [one.key for one in measure_next(car, 0)]
        assert ("geometry.instant_centre_height" in keys) is asked


@pytest.mark.long
def test_the_numbers_of_the_car_tell_its_links() -> None:
    found = [one for one in car_numbers(LINKED, {}).numbers if "anti-squat" in one.name]
    today, hanging, less, more = found
    assert (less.at, more.at) == ("hole 1", "hole 3")
    told = [one.on_paper for one in (less, today, more)]
    assert told == sorted(told, key=float)  # type: ignore[arg-type]
    assert today.says == ""
    assert hanging.on_paper is not None
    assert today.on_paper is not None
    assert hanging.on_paper > today.on_paper
    plain = [one for one in car_numbers(DEMO, {}).numbers if "anti-squat" in one.name]
    assert len(plain) == 1
