"""Invented cars for the rules, launched, and what a crew would see of each launch.

Every number is drawn, seeded; no such car exists. Knobs and levers are those of the plain car. The
bounds of what counts as a fault are those of the book's own questions where they name one
(0.3 m and 0.6 m of stand, 60 ft of carry, 60 % of the droop), and a judgement elsewhere.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rules.book.facts import Fact
from rules.car.adjusters import Settings, starts
from rules.car.model import Car
from rules.launch.cloud.car_cloud import deviates, typical_cars
from rules.launch.cloud.on_paper import Params
from rules.launch.goals import MUCH_DROOP, SMALL_STAND_M, numbers_of
from rules.launch.mechanics.run import Launches, launch_many
from rules.launch.mechanics.scalars import SIXTY_FEET_M
from tests.support.crew import CORNERS, knob

Array = NDArray[np.float64]

STEP_S = 0.002
TRACE_S = 0.01
SHIFT_S, SHIFT_DEPTH, SHIFT_LASTS_S = 1.2, 0.5, 0.15
SHIFT_FELT_S = 0.8
"""A gear change: half the thrust gone for 0.15 s, and how long after it the tyres are watched."""

AFTER_THE_HIT_S = (0.2, 1.5)
PULLS_S = 1.2

_BIG_STAND_M = 0.6
_AT_STOP_M, _NEAR_STOP_M, _TOP_M = 0.003, 0.012, 0.003
_BANG_N, _VIOLENT_N = 6000.0, 3000.0
_HARSH = 1.8
_LAZY_RISE_M = 0.05
_SQUAT_M = 0.02
_HIGH_NOSE_M = 0.05
_BOUNCE_M = 0.02
_SAGS = 0.06
_FELL_M = 0.004


def drawn_car(rng: np.random.Generator, number: int) -> Car:
    """Draw a car file: masses, lengths, springs, launch, and where each knob and lever stands."""

    def u(low: float, high: float) -> float:
        return round(float(rng.uniform(low, high)), 4)

    def at(marks: int = 18) -> int:
        # Crews turn knobs to their ends, so that ends come up more often than their share.
        place = float(rng.uniform(-0.2, 1.2))
        return round(min(max(place, 0.0), 1.0) * marks)

    total, base, cg = u(1150, 1650), u(2450, 3000), u(470, 620)
    share = u(0.47, 0.58)
    peak = share * base / cg * u(0.6, 0.96)
    loaded = 1.0 - share + peak * cg / base
    rates = {"front": u(18, 38), "rear": u(22, 40)}
    springs = {
        axle: [f"{rate * factor:.1f} N/mm" for factor in (0.72, 0.85, 1.0, 1.18, 1.38)]
        for axle, rate in rates.items()
    }
    length = {"unit": "mm", "minutes": 20, "lift_car": True}
    droop = u(50, 120)
    levers = [
        {"id": "front limiter", "kind": "travel limiter", "axle": "front", "step": 6}
        | {"low": droop - 30, "high": droop + 30, "start": droop}
        | length,
        *(
            {"id": f"{axle} ride height", "kind": "ride height", "axle": axle, "step": 3}
            | {"low": 90, "high": 210, "start": 150}
            | length
            for axle in ("front", "rear")
        ),
        *(
            {"id": f"{axle} spring", "kind": "spring", "axle": axle, "minutes": 60}
            | {"positions": springs[axle], "start": springs[axle][2]}
            for axle in ("front", "rear")
        ),
        {"id": "launch rpm", "kind": "launch rpm", "axle": "car", "unit": "rpm", "step": 100}
        | {"low": 2000, "high": 6000, "start": 4200, "minutes": 3},
        {"id": "rear tyre pressure", "kind": "tyre pressure", "axle": "rear", "unit": "psi"}
        | {"step": 0.5, "low": 9, "high": 17, "start": 13, "makers_minimum": 10, "minutes": 3},
        {"id": "rear link", "kind": "link position", "axle": "rear", "unit": "hole"}
        | {"positions": ["low", "middle", "high"], "start": "middle", "minutes": 45}
        | {"lift_car": True},
    ]
    front = [
        knob("rebound", "rebound", start=at()),
        knob("low-speed compression", "compression", "low", start=at()),
        knob("high-speed compression", "compression", "high", start=at()),
    ]
    rear = [knob("compression", "compression", start=at()), knob("rebound", "rebound", start=at())]
    masses = {
        "total": total,
        "left_front": total * share / 2,
        "right_front": total * share / 2,
        "front_unsprung": u(50, 90),
        "rear_unsprung": u(110, 180),
    }
    geometry = {
        "wheelbase": base,
        "cg_height": cg,
        "instant_centre_height": u(50, 420),
        "instant_centre_ahead": u(900, 2000),
    }
    raw = {
        "id": f"drawn {number}",
        "name": "Drawn car",
        "units": "metric",
        "invented": True,
        "rear_suspension": "four-link",
        "wheelie_bars": bool(rng.integers(0, 2)),
        "masses": masses,
        "geometry": geometry,
        "front": {"spring_rate": rates["front"], "motion_ratio": 0.9, "bump_travel": u(25, 85)}
        | {"droop_travel": droop, "tyre": "front runner", "tyre_diameter": 660},
        "rear": {"spring_rate": rates["rear"], "motion_ratio": 0.95, "bump_travel": u(60, 100)}
        | {"droop_travel": u(15, 90), "tyre": "bias slick", "tyre_diameter": 720},
        "launch": {"peak_g": peak, "rise": u(0.03, 0.15), "power": total * u(0.18, 0.6)}
        | {"grip": min(5.5, peak / loaded * u(0.95, 2.0))},
        "dampers": [
            {"corner": corner, "knobs": front if "front" in corner else rear} for corner in CORNERS
        ],
        "levers": levers,
    }
    return Car.parse(raw, "metric")


def drawn_cars(count: int, seed: int) -> list[Car]:
    """Draw car files."""
    rng = np.random.default_rng(seed)
    return [drawn_car(rng, number) for number in range(1, count + 1)]


def true_car(car: Car, settings: Settings, number: int, shift: bool) -> Params:
    """Return the one car a file stands for, off what it says as far as a file commonly is."""
    drawn = deviates(car, 2, seed=number).pick(np.array([1]))
    found = typical_cars(car, settings, drawn).cars[0]
    found["dips"] = [[SHIFT_S, SHIFT_DEPTH, SHIFT_LASTS_S]] if shift else []
    return found


@dataclass(frozen=True)
class Fleet:
    """Launches of many cars, with the numbers that a symptom hangs on."""

    cars: Sequence[Params]
    run: Launches

    @cached_property
    def lost(self) -> NDArray[np.bool_]:
        """Which cars left the model."""
        return np.isnan(self.run.columns["front_lift_max"])

    @cached_property
    def numbers(self) -> Mapping[str, Array]:
        """Every number by name, (n,): those of `goals`, and the grip in hand at three moments."""
        found = dict(numbers_of(self.run, self.cars))
        landed = np.nan_to_num(self.run.columns["touchdown_t"], nan=9.0)
        for name, begin, end in (("grip at the hit", 0.02, 0.3),):
            found[name] = self._least(self.in_hand, begin, end)
        for name, begin, end in (
            ("load after the hit", *AFTER_THE_HIT_S),
            ("load after the shift", SHIFT_S, SHIFT_S + SHIFT_FELT_S),
            ("load at the landing", landed - 0.1, landed + 0.5),
        ):
            found[name] = self._least(self.beyond_thrust, begin, end)
        both = [found["load after the hit"], found["load at the landing"]]
        found["load where it let go"] = np.fmin(*both)
        # A landing pushes the rear down too, which is not the squat that a crew means.
        found["rear squat"] = self._rear_until(PULLS_S).max(axis=1)
        return found

    def _rear_until(self, end: float) -> Array:
        return self.run.traces.rear_comp[:, self.run.traces.time <= end]

    @cached_property
    def in_hand(self) -> Array:
        """What the tyres would hold beyond the thrust that is there [N], (n, m)."""
        time, traces = self.run.traces.time, self.run.traces
        rows = []
        for car, x, load in zip(self.cars, traces.x, traces.rear_load, strict=True):
            speed = np.maximum(np.gradient(x, time), 0.1)
            ramp = np.minimum(1.0, time / max(car["t_ramp"], 1e-3))
            thrust = np.minimum(car["F_launch"] * ramp, car["P"] / speed)
            for begin, depth, lasts in car["dips"]:
                thrust = np.where(
                    (time >= begin) & (time < begin + lasts), thrust * (1.0 - depth), thrust
                )
            rows.append(car["mu"] * load - thrust)
        return np.array(rows)

    @cached_property
    def beyond_thrust(self) -> Array:
        """The rear load beyond what weight and thrust hold there in a steady pull [N], (n, m)."""
        time, traces = self.run.traces.time, self.run.traces
        rows = []
        for car, x, load in zip(self.cars, traces.x, traces.rear_load, strict=True):
            pull = car["ms"] * np.gradient(np.gradient(x, time), time)
            weight = 9.81 * (car["ms"] * car["a"] / car["L"] + car["mr"])
            rows.append(load - weight - pull * car["hs"] / car["L"])
        return np.array(rows)

    def _least(self, curves: Array, begin: float | Array, end: float | Array) -> Array:
        time = self.run.traces.time[None, :]
        begins, ends = (np.reshape(one, (-1, 1)) for one in (begin, end))
        inside = (time >= begins) & (time <= ends)
        least = np.where(inside, curves, np.inf).min(axis=1)
        return np.where(np.isfinite(least) & ~self.lost, least, np.nan)


def launched(cars: Sequence[Params]) -> Fleet:
    """Launch cars side by side, with their curves."""
    return Fleet(cars, launch_many(cars, step_s=STEP_S, trace_s=TRACE_S))


def launched_at_start(files: Sequence[Car], shift: bool) -> Fleet:
    """Launch the car of each file where the file starts it."""
    return launched([true_car(one, starts(one), n, shift) for n, one in enumerate(files)])


def stand_of(lift: float) -> str:
    """Return the band of a stand [m]."""
    bands = (("none", 0.005), ("small", SMALL_STAND_M), ("big", _BIG_STAND_M))
    return next((word for word, most in bands if lift <= most), "dangerous")


def seen(fleet: Fleet, row: int, car: Car) -> dict[str, Fact]:
    """Answer the book's questions about a launch from its numbers; what has none is left out."""
    columns = {name: float(values[row]) for name, values in fleet.run.columns.items()}
    params = fleet.cars[row]
    numbers = {name: float(values[row]) for name, values in fleet.numbers.items()}
    lift, left = columns["front_lift_max"], numbers["travel left"]
    static = 9.81 * (params["ms"] * (1.0 - params["a"] / params["L"]) + params["mf"])
    facts: dict[str, Fact] = {"stand": stand_of(lift)}
    if left <= _AT_STOP_M:
        facts["front-travel"] = "at-stop"
    elif left <= _NEAR_STOP_M:
        facts["front-travel"] = "near-stop"
    else:
        harsh = numbers["landing load"] > _HARSH * static
        facts["front-travel"] = "short-harsh" if harsh else "short-soft"
    if lift > 0.005:
        long = not columns["touchdown_x"] <= SIXTY_FEET_M
        facts["carry"] = "long" if long else "short"
    facts["bars"] = "none"
    if car.wheelie_bars:
        facts["bars"] = "hit" if lift > 0.5 else "touched" if lift > SMALL_STAND_M else "clear"
    separation = columns["rear_sep_0p1s"]
    motion = "separates" if separation > 0.003 else "squats" if separation < -0.003 else "neither"
    facts["rear-motion"] = motion
    facts["tyre-hit"] = "over" if motion == "separates" else "under"
    used = columns["rear_ext_max_0p3s"] / params["rear_droop"]
    facts["rear-travel"] = "most" if used > MUCH_DROOP else "some"
    facts["top-out"] = "bang" if columns["front_droop_force_max"] > _BANG_N else "no"
    several = columns["n_reliftoffs_5mm"] >= 2 or columns["relift_max"] > _BOUNCE_M
    facts["bounces"] = "several" if several else "once"
    facts["unload-when"] = happened(fleet, row)[0]
    facts["gear-change"] = _at_the_shift(fleet, row)
    facts["squat-when"] = _squat_when(fleet, row)
    return facts


def shown(fleet: Fleet, row: int, symptom: str, facts: Mapping[str, Fact]) -> bool:
    """Tell whether a launch shows a symptom of the book."""
    columns = {name: float(values[row]) for name, values in fleet.run.columns.items()}
    numbers = {name: float(values[row]) for name, values in fleet.numbers.items()}
    flew, params = columns["front_lift_max"] > 0.02, fleet.cars[row]
    match symptom:
        case "front-drops-hard":
            return flew and facts["front-travel"] != "short-soft"
        case "front-bounces":
            return columns["relift_max"] > 0.005
        case "front-carries":
            return facts["stand"] in ("big", "dangerous") or facts.get("carry") == "long"
        case "wheelie-bar-hits":
            return facts["bars"] in ("touched", "hit")
        case "front-rises-violently":
            return columns["front_droop_force_max"] > _VIOLENT_N
        case "front-slow-to-rise":
            return facts["stand"] in ("none", "small") and numbers["front rise"] < _LAZY_RISE_M
        case "nose-stays-high":
            landed = facts["front-travel"] not in ("at-stop", "near-stop")
            return (
                landed
                and facts["stand"] in ("none", "small")
                and (numbers["nose at 3 s"] > _HIGH_NOSE_M)
            )
        case "rear-tops-out":
            return facts["rear-travel"] == "most"
        case "squats-and-drags":
            return numbers["rear squat"] > _SQUAT_M
        case "spins-at-hit":
            return numbers["grip at the hit"] < 0.0
        case "unloads-after-hit":
            weight = 9.81 * (params["ms"] * params["a"] / params["L"] + params["mr"])
            sags = numbers["load where it let go"] < -_SAGS * weight
            return sags and numbers["grip at the hit"] >= 0.0
        case "unloads-at-gear-change":
            weight = 9.81 * (params["ms"] * params["a"] / params["L"] + params["mr"])
            return numbers["load after the shift"] < -_SAGS * weight
    return False


def happened(fleet: Fleet, row: int) -> tuple[str, ...]:
    """Return what may be said of the moment when the tyres let go, the likeliest first.

    The moment is that of the least rear load beyond what the thrust holds. Where several things
    happen at once, a crew may name any of them.
    """
    time, params, traces = fleet.run.traces.time, fleet.cars[row], fleet.run.traces
    begin, end = AFTER_THE_HIT_S
    landed = float(fleet.run.columns["touchdown_t"][row])
    end = max(end, landed + 0.4) if np.isfinite(landed) else end
    inside = (time >= begin) & (time <= end)
    when = float(time[np.argmin(np.where(inside, fleet.beyond_thrust[row], np.inf))])
    rear, before = traces.rear_comp[row], time <= when + 0.02
    at_top = traces.front_comp[row] <= _TOP_M - params["front_droop"]
    topped = bool(at_top.any()) and abs(float(time[np.argmax(at_top)]) - when) <= 0.15
    highest = float(rear[before].min())
    shortly = (time >= when - 0.1) & (time <= when + 0.1)
    told = {
        "front-landed": bool(np.isfinite(landed)) and -0.05 <= when - landed <= 0.4,
        "rear-droop": highest <= _TOP_M - params["rear_droop"],
        "front-top": topped,
        "rear-fell": highest < -_FELL_M and rear[shortly].max() - highest > _FELL_M,
    }
    return tuple(word for word, true in told.items() if true) or ("nothing",)


def _at_the_shift(fleet: Fleet, row: int) -> str:
    """Say what the car did at the gear change."""
    time, traces, params = fleet.run.traces.time, fleet.run.traces, fleet.cars[row]
    felt = (time >= SHIFT_S) & (time <= SHIFT_S + 0.6)
    if traces.rear_comp[row][felt].min() <= _TOP_M - params["rear_droop"]:
        return "rear-top"
    nose = traces.nose[row]
    fell = nose[int(np.searchsorted(time, SHIFT_S))] - nose[felt].min()
    return "nose-drop" if fell > 0.02 else "flare"


def _squat_when(fleet: Fleet, row: int) -> str:
    time, rear = fleet.run.traces.time, fleet.run.traces.rear_comp[row]
    pulling = rear[time <= PULLS_S]
    later = rear[(time > 0.8) & (time <= PULLS_S)].mean()
    return "stays" if later > 0.6 * pulling.max() else "hit"
