"""What lane, air and track do to a pass: nothing where none was noted, and learnt where it was.

The directions are common practice, no source; that power goes with the density of the air is of
`rules.passes.air_effect`.
"""

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest

from rules.car.adjusters import starts
from rules.launch.belief import lane_air_track
from rules.launch.belief.ahead import look_ahead
from rules.launch.belief.lane_air_track import COLUMNS, drawn, first_noted, is_another, times
from rules.launch.belief.learning import learnt
from rules.launch.belief.particles import A_PASS, within
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.pass_conditions import NOT_NOTED, PassConditions
from rules.launch.proposed_change import Seen
from rules.log.noted import Surface
from rules.passes.air_effect import air_part
from rules.passes.breathing import POWER_BY_DENSITY
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
TODAY = starts(DEMO)
HERE = tuple(sorted(TODAY.items()))
CARRIES = Seen(HERE, (("stand", "small"),), symptoms=("front-carries",), meeting="m")
SPUN = Seen(HERE, (("hooked", "spun"), ("stand", "none")), symptoms=("spins-at-hit",), meeting="m")
HOOKED = Seen(HERE, (("hooked", "yes"), ("stand", "big")), symptoms=("front-carries",), meeting="m")
LEFT, RIGHT = PassConditions(lane="left"), PassConditions(lane="right")
SEA_LEVEL = PassConditions(density=1.20)
ON_PAPER = np.zeros((1, COLUMNS))


def ahead(*passes: Seen, coming: PassConditions = NOT_NOTED) -> Outlook:
    return look_ahead(
        OutlookAsked(DEMO, TODAY, (TODAY,), passes[-1].symptoms, passes, 48, coming), seed=2
    )


def lift(of: Outlook) -> float:
    [effect] = [one for one in of.unchanged.effects if one.name == "lift"]
    return effect.after.middle


def on_paper(noted: PassConditions, first: PassConditions) -> tuple[float, float, float]:
    """Return what thrust, power and grip are times on the car on paper."""
    found = times(ON_PAPER, noted, first, 0)
    return float(found.thrust[0]), float(found.power[0]), float(found.grip[0])


def test_what_nobody_noted_moves_no_number_by_its_last_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were it otherwise, sizes twenty times as large would show."""
    learnt.cache_clear()
    before, cloud = ahead(CARRIES), learnt(DEMO, (CARRIES,), 2).z
    monkeypatch.setattr(lane_air_track, "A_LANE", 20.0 * lane_air_track.A_LANE)
    monkeypatch.setattr(lane_air_track, "power_by_density", lambda breathing: (15.0, 8.0))
    for name in ("AT_THE_LAUNCH", "GRIP_BY_10_C"):
        mean, spread = getattr(lane_air_track, name)
        monkeypatch.setattr(lane_air_track, name, (20.0 * mean, 20.0 * spread))
    learnt.cache_clear()
    assert np.array_equal(cloud, learnt(DEMO, (CARRIES,), 2).z)
    assert ahead(CARRIES) == before
    learnt.cache_clear()


def test_the_cars_are_drawn_from_numbers_of_their_own() -> None:
    cars = learnt(DEMO, (), 2)
    alone = within(np.random.default_rng([2, 0]).standard_normal(cars.z.shape))
    assert np.array_equal(cars.z[1:], alone[1:])
    assert np.max(np.abs(np.corrcoef(cars.z.T, cars.beside.T)[-COLUMNS:, :-COLUMNS])) < 0.25


def test_noted_alike_on_every_pass_air_and_track_move_nothing() -> None:
    z = drawn(50, np.random.default_rng(1))
    same = PassConditions(density=1.15, track_c=41.0, surface="prepared")
    found = times(z, same, first_noted([NOT_NOTED, same, SEA_LEVEL]), 0)
    for one in (found.thrust, found.power, found.grip):
        assert np.array_equal(one, np.ones(50))


def test_denser_air_gives_no_more_power_than_its_density_and_less_of_it_at_the_launch() -> None:
    thrust, power, grip = on_paper(PassConditions(density=1.26), SEA_LEVEL)
    assert 1.0 < thrust < power <= 1.26 / 1.20
    assert grip == 1.0
    assert on_paper(PassConditions(density=1.26), NOT_NOTED) == (1.0, 1.0, 1.0)


def test_power_follows_the_air_as_the_engine_breathes() -> None:
    """The same numbers as for the times: `rules.passes.breathing`."""
    for breathing, (share, _) in POWER_BY_DENSITY.items():
        thrust, power, _ = on_paper(PassConditions(density=1.26, breathing=breathing), SEA_LEVEL)
        assert power == pytest.approx((1.26 / 1.20) ** share)
        assert 1.0 <= thrust <= power


def test_the_60_foot_is_moved_by_no_more_than_what_is_said_of_it() -> None:
    """A time under a steady push goes with its root; `air_effect` has what the 60-foot moves by."""
    thrust, _, _ = on_paper(PassConditions(density=1.05), SEA_LEVEL)
    said = air_part(1.3, 1.20, 1.05, sixty=True)
    assert 0.0 < 1.3 * (thrust**-0.5 - 1.0) < said.seconds + 2.0 * said.give_s


def test_a_hotter_track_holds_less_and_surfaces_hold_in_the_order_of_the_log() -> None:
    hot = on_paper(PassConditions(track_c=55.0), PassConditions(track_c=35.0))
    assert hot[:2] == (1.0, 1.0)
    assert hot[2] < 1.0
    holds = {one: on_paper(PassConditions(surface=one), NOT_NOTED)[2] for one in get_args(Surface)}
    assert holds["prepared"] == max(holds.values()) == 1.0
    assert holds["unprepared"] == min(holds.values()) < 0.9


def test_lanes_of_a_meeting_lie_on_both_sides_and_another_meetings_are_its_own() -> None:
    z = drawn(2000, np.random.default_rng(3))
    here, there = (times(z, LEFT, NOT_NOTED, meeting).grip for meeting in (0, 1))
    assert np.allclose(here * times(z, RIGHT, NOT_NOTED, 0).grip, 1.0)
    assert abs(float(np.corrcoef(np.log(here), np.log(there))[0, 1])) < 0.1


@pytest.mark.sweep
def test_the_passes_in_a_lane_teach_its_grip_and_the_coming_lane_is_foretold_by_it() -> None:
    """It spins in the left lane and stands up in the right one, with nothing turned."""
    passes = (replace(SPUN, noted=LEFT), replace(HOOKED, noted=RIGHT))
    beside = learnt(DEMO, passes, 2).beside
    left = times(beside, LEFT, NOT_NOTED, 0).grip
    assert np.median(left) < 0.995
    as_last = ahead(*passes).unchanged
    # Cars that go over have no lift to be told, and no small stand either.
    assert as_last.small < ahead(*passes, coming=LEFT).unchanged.small - 0.2
    assert as_last == ahead(*passes, coming=RIGHT).unchanged


@pytest.mark.long
def test_thinner_air_to_come_lets_the_front_rise_less() -> None:
    noted = replace(HOOKED, noted=SEA_LEVEL)
    assert lift(ahead(noted, coming=PassConditions(density=1.05))) < lift(ahead(noted))


@pytest.mark.long
def test_a_stand_that_the_coming_air_brings_is_new() -> None:
    """Harm is told against what was seen, so turning nothing can do harm where more comes."""
    noted = replace(CARRIES, noted=PassConditions(density=1.05))
    assert ahead(noted).unchanged.harm == 0.0
    assert ahead(noted, coming=PassConditions(density=1.25)).unchanged.harm > 0.02


@pytest.mark.parametrize(
    ("coming", "last", "another"),
    [
        (NOT_NOTED, NOT_NOTED, False),
        (RIGHT, LEFT, True),
        (RIGHT, NOT_NOTED, False),
        (PassConditions(density=1.201), SEA_LEVEL, False),
        (PassConditions(density=1.15), SEA_LEVEL, True),
        (SEA_LEVEL, NOT_NOTED, False),
        (PassConditions(track_c=33.0), PassConditions(track_c=35.0), False),
        (PassConditions(track_c=20.0), PassConditions(track_c=35.0), True),
        (PassConditions(surface="cold"), PassConditions(surface="prepared"), True),
    ],
)
def test_a_pass_is_another_where_it_is_moved_by_more_than_passes_scatter(
    coming: PassConditions, last: PassConditions, another: bool
) -> None:
    assert is_another(coming, last, A_PASS) is another
