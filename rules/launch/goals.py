"""What a symptom hangs on in a launch, which way it is to go, and how far is enough.

The numbers of a launch as the crew thinks of them, from the scalars and curves of a batch; a car
that overturned counts as infinitely bad where less is better, and never as a number.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.launch.cloud.on_paper import Params
from rules.launch.mechanics.landing import Settled, nose_at_rest, settled
from rules.launch.mechanics.run import Launches, Traces
from rules.launch.mechanics.scalars import SIXTY_FEET_M
from rules.launch.proposed_change import Measure, ProposedChange, Seen
from rules.passes.reading_ends import bounds

Array = NDArray[np.float64]
Numbers = Mapping[str, Array]

MEASURES: dict[str, Measure] = {
    "landing travel": "length",
    "travel left": "length",
    "lift": "length",
    "air time": "time",
    "carry": "distance",
    "landing load": "force",
    "bounce": "length",
    "top-out force": "force",
    "front rise": "length",
    "nose at 3 s": "length",
    "settle": "distance",
    "rear droop used": "length",
    "rear squat": "length",
    "least rear load": "force",
    "60-foot": "time",
}
# Less than this is no change: what a crew cannot see or a clock cannot tell. A judgement.
LEAST_CHANGE = {"length": 0.0005, "distance": 0.1, "force": 20.0, "time": 0.001}
MARGIN_M = 0.010
SMALL_STAND_M = 0.3
MUCH_DROOP = 0.6
_CLEARLY = 0.2


@dataclass(frozen=True)
class Goal:
    """The number a symptom hangs on.

    wanted: -1 where less is better, 1 where more is.
    enough: tells car by car whether the symptom is cured with a margin, from the numbers before
    and after and the cars.
    """

    name: str
    wanted: int
    enough: Callable[[Numbers, Numbers, Sequence[Params]], NDArray[np.bool_]]


def goal_of(question: ProposedChange) -> Goal | None:
    """Return what the change is after; None where the launch says nothing about the symptom."""
    facts = question.facts
    landing = Goal("landing travel", -1, _room_left)
    lift = Goal("lift", -1, _small_stand)
    match question.symptom:
        case "front-drops-hard" if facts.get("front-travel") == "short-harsh":
            return Goal("landing load", -1, _by_a_fifth("landing load", -1))
        case "front-drops-hard":
            return lift if facts.get("stand") in ("big", "dangerous") else landing
        case "front-bounces" if facts.get("front-travel") in ("at-stop", "near-stop"):
            return landing
        case "front-bounces":
            return Goal("bounce", -1, lambda _, after, cars: after["bounce"] < MARGIN_M / 2.0)
        case "front-carries":
            long = facts.get("carry") == "long" and facts.get("stand") not in ("big", "dangerous")
            return Goal("carry", -1, _comes_down) if long else lift
        case "wheelie-bar-hits":
            return Goal("lift", -1, _by_a_fifth("lift", -1))
        case "front-rises-violently":
            return Goal("top-out force", -1, _by_a_fifth("top-out force", -1))
        case "front-slow-to-rise":
            return Goal("front rise", 1, _by_a_fifth("front rise", 1))
        case "nose-stays-high":
            return Goal("nose at 3 s", -1, _by_a_fifth("nose at 3 s", -1))
        case "rear-tops-out":
            return Goal("rear droop used", -1, _droop_left)
        case "squats-and-drags":
            return Goal("rear squat", -1, _by_a_fifth("rear squat", -1))
        case "spins-at-hit" | "unloads-after-hit":
            return Goal("least rear load", 1, _by_a_fifth("least rear load", 1))
    return None


def numbers_of(run: Launches, cars: Sequence[Params]) -> dict[str, Array]:
    """Return every number of `MEASURES`, (n,); NaN where a car has none."""
    columns = run.columns
    bump = np.array([car["front_bump"] for car in cars])
    used = columns["front_comp_max_after_td"]
    return {
        "landing travel": np.maximum(used, 0.0),
        "travel left": bump - used,
        "lift": columns["front_lift_max"],
        "air time": columns["touchdown_t"] - columns["liftoff_t"],
        "carry": columns["touchdown_x"],
        "landing load": columns["front_tyre_load_max_after_td"],
        "bounce": columns["relift_max"],
        "top-out force": columns["front_droop_force_max"],
        "front rise": columns["body_front_rise_0p2s"],
        "nose at 3 s": columns["body_front_rise_3p0s"],
        "settle": settle(run, cars)[1],
        "rear droop used": np.maximum(columns["rear_ext_max_0p3s"], 0.0),
        "rear squat": np.maximum(columns["rear_comp_max"], 0.0),
        "least rear load": columns["rear_load_min_0p1_1s"],
        "60-foot": columns["t_60ft"],
    }


def settle(run: Launches, cars: Sequence[Params]) -> tuple[Array, Array]:
    """Return when [s] and how far down the track [m] the nose has come to rest, (n,) each.

    Counted from the start of the run, and not before the touchdown; NaN where not by the end, or
    without curves. See `rules.launch.landing.settled`.
    """
    time, distance = np.full((2, len(cars)), np.nan)
    if run.kept is None:
        return time, distance
    for number, car in enumerate(cars):
        if not np.isfinite(run.traces.nose[number]).all():
            continue
        touchdown = run.columns["touchdown_t"][number]
        since = float(touchdown) if np.isfinite(touchdown) else 0.0
        one = _settled(run.traces, number, car, since)
        if one.time is not None and one.distance is not None:
            time[number], distance[number] = one.time, one.distance
    return time, distance


def _settled(traces: Traces, number: int, car: Params, since: float) -> Settled:
    rest = _at_rest(traces, number, car)
    return settled(traces.time, traces.x[number], traces.nose[number], rest, since)


def thrust_over(traces: Traces, number: int, car: Params) -> Array:
    """Return what pushes a car at each moment [N], (m,): thrust, power over speed, or the grip.

    The start's ramp and the dips of gear changes are left out.
    """
    speed = np.gradient(traces.x[number], traces.time)
    thrust = np.minimum(car["F_launch"], car["P"] / np.maximum(speed, 0.1))
    return np.asarray(np.minimum(thrust, car["mu"] * np.maximum(traces.rear_load[number], 0.0)))


def _at_rest(traces: Traces, number: int, car: Params) -> Array:
    """Return how high the nose would sit under the thrust of each moment [m], (m,)."""
    return nose_at_rest(
        thrust_over(traces, number, car),
        car["hs"], car["L"], car["kf"], car["ktf"], car["front_droop"], car["kds"],
    )  # fmt: skip


def held_up(run: Launches, cars: Sequence[Params], at_s: float = 3.0) -> float:
    """Return the share of the nose's height at a time that thrust and spring alone hold [-].

    The median over the cars that have both numbers; 0 where none has.
    """
    if run.kept is None:
        return 0.0
    place = int(np.searchsorted(run.traces.time, at_s - 1e-9))
    shares = [
        _at_rest(run.traces, number, car)[place] / run.traces.nose[number, place]
        for number, car in enumerate(cars)
        if run.traces.nose[number, place] > 0.0
    ]
    return float(np.median(shares)) if shares else 0.0


def held_by_bleed(cars: Sequence[Params]) -> float:
    """Return how far above its rest low-speed compression can hold the nose [m], the median.

    Formula: F0 / k, the blow-off's preload over the wheel rate: below that force only the bleed
    passes, and where the spring pulls less the nose all but stands still.
    """
    return float(np.median([car["damper"]["front"]["comp"]["F0"] / car["kf"] for car in cars]))


def seen_distance(columns: Numbers, cars: Sequence[Params], seen: Seen) -> Array:
    """Return how far each car is from what the crew saw on a pass; 0 where all of it fits.

    Each sighting counts one for being off by about what a crew misjudges: 50 mm of lift, 5 mm of
    travel, 2 m of distance; together the root of their squares. What was measured counts by its own
    give instead, and at an end of what it reads as a bound. A car that left the model stands for a
    dangerous stand.
    """
    facts = dict(seen.facts)
    lost = np.isnan(columns["front_lift_max"])
    total = np.zeros(len(cars))
    stand = {"none": (0, 0.02), "small": (0.02, 0.3), "big": (0.3, 0.6), "dangerous": (0.6, 9.0)}
    ends = stand.get(str(facts.get("stand")))
    if ends is not None:
        lift = np.where(lost, 1.0, columns["front_lift_max"])
        total += _off(lift, *ends, 0.05)
    bump = np.array([car["front_bump"] for car in cars])
    left = bump - np.where(lost, 0.0, columns["front_comp_max_after_td"])
    if facts.get("front-travel") == "at-stop":
        total += _off(left, -1.0, 0.003, 0.005)
    elif facts.get("front-travel") == "near-stop":
        total += _off(left, 0.003, 0.02, 0.005)
    elif facts.get("front-travel") in ("short-harsh", "short-soft"):
        total += _off(left, 0.003, 1.0, 0.005)
    carry = np.nan_to_num(columns["touchdown_x"], nan=0.0)
    if facts.get("carry") in ("short", "long"):
        ends = (0.0, SIXTY_FEET_M) if facts["carry"] == "short" else (SIXTY_FEET_M, 1e3)
        total += _off(carry, *ends, 2.0)
    motion = {"separates": (0.003, 1.0), "squats": (-1.0, -0.003), "neither": (-0.004, 0.004)}
    ends = motion.get(str(facts.get("rear-motion")))
    if ends is not None:
        total += _off(np.nan_to_num(columns["rear_sep_0p1s"]), *ends, 0.003)
    droop = np.array([max(car["rear_droop"], 1e-3) for car in cars])
    used = np.nan_to_num(columns["rear_ext_max_0p3s"]) / droop
    if facts.get("rear-travel") in ("most", "some"):
        ends = (MUCH_DROOP, 9.0) if facts["rear-travel"] == "most" else (-9.0, MUCH_DROOP)
        total += _off(used, *ends, 0.1)
    for what, (value, give) in seen.measured:
        if what in MEASURED:
            found = np.nan_to_num(MEASURED[what](columns))
            there = STOPS.get(what)
            reaches = [
                bounds(what, value, give, car[there] if there else None, seen.braked)
                for car in cars
            ]
            low, high = np.array(reaches).T
            total += _off(found, low, high, max(give, 1e-3 * abs(value), 1e-3))
    # Cars that left the model have no numbers to compare, unless a dangerous stand was seen.
    return np.sqrt(total) + np.where(lost & (facts.get("stand") != "dangerous"), 1e3, 0.0)


MEASURED: dict[str, Callable[[Numbers], Array]] = {
    "lift": lambda columns: columns["front_lift_max"],
    "airborne": lambda columns: columns["touchdown_t"] - columns["liftoff_t"],
    "touchdown": lambda columns: -columns["touchdown_axle_vz"],
    "front ring": lambda columns: columns["front_comp_max_after_td"],
    "rear ring": lambda columns: columns["rear_comp_max"],
}


STOPS = {"front ring": "front_bump", "rear ring": "rear_bump"}


def _off(values: Array, low: float | Array, high: float | Array, about: float) -> Array:
    """Return the square of how far values are outside, in units of `about`."""
    return np.asarray((np.maximum(np.maximum(low - values, values - high), 0.0) / about) ** 2)


def _room_left(_: Numbers, after: Numbers, cars: Sequence[Params]) -> NDArray[np.bool_]:
    bump = np.array([car["front_bump"] for car in cars])
    return np.asarray(after["travel left"] >= np.maximum(MARGIN_M, 0.1 * bump))


def _small_stand(_: Numbers, after: Numbers, __: Sequence[Params]) -> NDArray[np.bool_]:
    return np.asarray(after["lift"] <= 0.9 * SMALL_STAND_M)


def _comes_down(_: Numbers, after: Numbers, __: Sequence[Params]) -> NDArray[np.bool_]:
    return np.asarray(np.nan_to_num(after["carry"]) <= 0.9 * SIXTY_FEET_M)


def _droop_left(_: Numbers, after: Numbers, cars: Sequence[Params]) -> NDArray[np.bool_]:
    droop = np.array([car["rear_droop"] for car in cars])
    return np.asarray(after["rear droop used"] <= 0.9 * MUCH_DROOP * droop)


def _by_a_fifth(
    name: str, wanted: int
) -> Callable[[Numbers, Numbers, Sequence[Params]], NDArray[np.bool_]]:
    def enough(before: Numbers, after: Numbers, _: Sequence[Params]) -> NDArray[np.bool_]:
        return np.asarray(wanted * (after[name] - before[name]) >= _CLEARLY * np.abs(before[name]))

    return enough
