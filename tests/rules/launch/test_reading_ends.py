"""A reading at an end of what it reads is a bound: no true car is thrown out by it.

Property: a car's own reading, read off its own launch as a crew reads it, lies at no distance from
that car. Reference case 02 (an independent multibody engine) lands a small stand with the front
never past ride height: its peak compression after touchdown is -60.8 mm, so its ring stays at 0.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import inf
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rules.crew.measured import told
from rules.launch.as_seen import POOL, as_seen
from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
from rules.launch.goals import seen_distance
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Seen
from rules.log.events.passes import Measured
from rules.log.reading_bounds import comparable, end_in
from rules.passes.reading_ends import bounds, end_of
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
FILE = Path(__file__).parents[2] / "support" / "launch" / "launch_cases.json"
CASES = json.loads(FILE.read_text("utf-8"))["cases"]
GIVE = 0.001


def read(what: str, used: float, there: float, dive: float = 0.0) -> float:
    """Return what a ring shows: never below the seal, never past the stop, deepest of both."""
    return min(max(used, dive, 0.0), there)


def test_ten_of_ten_true_cars_keep_their_own_ring() -> None:
    """Soft launches, where the front comes down without going past ride height."""
    easy = DEMO.model_copy(update={"launch": DEMO.launch.model_copy(update={"peak_g": 1.6})})
    cars = typical_cars(easy, {}, deviates(easy, 64, SEED)).cars
    columns = launch_many(cars).columns
    used = columns["front_comp_max_after_td"]
    rested = [n for n in range(len(cars)) if np.isfinite(used[n]) and used[n] < 0.0][:10]
    assert len(rested) == 10
    for n in rested:
        shown = read("front ring", float(used[n]), cars[n]["front_bump"])
        assert shown == 0.0
        off = seen_distance(columns, cars, Seen(measured=(("front ring", (shown, GIVE)),)))
        assert off[n] == 0.0


@lru_cache(maxsize=1)
def true_cars() -> tuple[Sequence[dict[str, Any]], Mapping[str, Any]]:
    """Return a cloud and what its cars do, launched once for every ring."""
    cars = typical_cars(DEMO, {}, deviates(DEMO, 32, SEED)).cars
    return cars, launch_many(cars).columns


@pytest.mark.parametrize("dive", [0.0, 0.047, 0.058])
@pytest.mark.parametrize("what", ["front ring", "rear ring"])
def test_no_true_car_is_thrown_out_by_any_ring(what: str, dive: float) -> None:
    """47 to 58 mm: the brakes' dive at 0.8 to 1 g, from the launch model's definition."""
    cars, columns = true_cars()
    name = {"front ring": "front_comp_max_after_td", "rear ring": "rear_comp_max"}[what]
    bump = {"front ring": "front_bump", "rear ring": "rear_bump"}[what]
    front = what == "front ring"
    for n, car in enumerate(cars):
        used = float(columns[name][n])
        if not np.isfinite(used):
            continue
        shown = read(what, used, car[bump], dive if front else 0.0)
        seen = Seen(measured=((what, (shown, GIVE)),), braked=front and dive > 0.0)
        assert seen_distance(columns, cars, seen)[n] == 0.0


def test_a_reference_case_whose_ring_stays_at_the_seal() -> None:
    case = next(one for one in CASES if one["name"] == "02_small_stand")
    used = case["scalars"]["front_comp_max_after_td"]
    assert used == pytest.approx(-0.0608, abs=1e-4)
    low, high = bounds("front ring", read("front ring", used, 0.065), GIVE, 0.065)
    assert low <= used <= high
    # Case 01 goes 3 mm into its bump stop at 65 mm: the ring reads 65, and at least that is true.
    deep = next(one for one in CASES if one["name"] == "01_baseline")
    used = deep["scalars"]["front_comp_max_after_td"]
    low, high = bounds("front ring", read("front ring", used, 0.065), GIVE, 0.065)
    assert low <= used <= high


@pytest.mark.parametrize(
    ("what", "value", "there", "braked", "end"),
    [
        ("front ring", 0.0, 0.057, False, "at most"),
        ("front ring", 0.0005, 0.057, False, "at most"),
        ("front ring", 0.030, 0.057, False, ""),
        ("front ring", 0.057, 0.057, False, "at least"),
        ("front ring", 0.057, None, False, ""),
        ("front ring", 0.047, 0.057, True, "at most"),
        ("front ring", 0.058, 0.057, True, "tells nothing"),
        ("rear ring", 0.0, 0.089, False, "at most"),
        ("rear ring", 0.089, 0.089, False, "at least"),
        ("rear ring", 0.047, 0.089, True, ""),
        ("lift", 0.0, None, False, "at most"),
        ("lift", 0.2, None, False, ""),
        ("scrape", 0.1, None, False, "at least"),
        ("airborne", 0.5, None, False, ""),
    ],
)
def test_every_end_of_every_reading(
    what: str, value: float, there: float | None, braked: bool, end: str
) -> None:
    assert end_of(what, value, GIVE, there, braked) == end
    low, high = bounds(what, value, GIVE, there, braked)
    assert low <= value <= high
    assert (low == -inf) == (end in ("at most", "tells nothing"))


def ring(value: float, **inputs: float) -> Measured:
    return Measured(run="r", what="front ring", value=value, give=GIVE, inputs=inputs)


def test_a_ring_after_hard_braking_is_told_and_compared_as_a_bound() -> None:
    assert DEMO.front.bump_travel_m == pytest.approx(0.05715)
    assert end_in(ring(0.047, braked=1.0), DEMO) == "at most"
    assert told(ring(0.047, braked=1.0), DEMO).startswith("at most 1.9 in")
    assert told(ring(0.0), DEMO).startswith("at most 0.0 in")
    assert told(ring(0.047), DEMO).startswith("1.9 in"), "an older log was not asked"
    assert not comparable(ring(0.030), ring(0.047, braked=1.0), DEMO), "the brakes may have done it"
    assert comparable(ring(0.047), ring(0.030, braked=1.0), DEMO), "no more than 30 of 47 mm"
    assert not comparable(ring(0.058), ring(0.058), DEMO), "how far past the stop is not known"


@pytest.mark.long
def test_a_braked_ring_at_the_stop_chooses_no_cars() -> None:
    plain = Seen(settings=(), facts=(("stand", "small"),))
    dived = replace(plain, measured=(("front ring", (0.058, GIVE)),), braked=True)
    one, two = (as_seen(DEMO, (seen,), POOL, SEED) for seen in (plain, dived))
    assert two.effective >= 0.5 * one.effective
