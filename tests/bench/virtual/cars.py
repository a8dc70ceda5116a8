"""Invented cars for virtual days: what is true of one, and what its crew has in the car file.

A car is first tuned until nothing is wrong with it; then one to three of its levers are set
wrong. The truth differs from the file by the usual errors: heights and inertias guessed, curves of
dampers off, knobs that do less or more than they should. All ranges: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import exp, log
from typing import Any

import numpy as np

from rules.car.adjusters import Settings
from rules.car.model import CORNERS, Car
from tests.bench.virtual.faults import faults_of
from tests.bench.virtual.truth import Bars, End, G, Launching, Outcome, Stroke, launch

# From end to end a knob makes its force this many times as large.
SPAN = (2.5, 6.0)
KNOB_WORDS = {"comp": "compression", "reb": "rebound"}
PAIRS = ("left", "right")
# How often the levers of one tuned car are set wrong before another car is drawn.
TRIES = 12
_NAMELESS = {"id": "nameless", "name": "Virtual car", "units": "metric"}


@dataclass(frozen=True)
class TrueKnob:
    """What a pair of knobs truly does.

    end, strokes: where it acts and how much of its effect on each stroke.  low, high: share of its
    effect on the bleed and on the high-speed part.  log_span: of the force from end to end.
    tuned: where a good car has it, 0 softest.
    """

    end: str
    strokes: Mapping[str, float]
    low: float
    high: float
    log_span: float
    tuned: float
    marks: int
    from_hard: bool

    def firmness(self, count: float) -> float:
        """Return where a count stands, 0 softest and 1 firmest."""
        return 1.0 - count / self.marks if self.from_hard else count / self.marks

    def count(self, firmness: float) -> int:
        """Return the nearest count to a firmness."""
        share = 1.0 - firmness if self.from_hard else firmness
        return round(min(max(share, 0.0), 1.0) * self.marks)


@dataclass(frozen=True)
class Air:
    """What a pass finds: factors of thrust and grip [-]."""

    thrust: float = 1.0
    grip: float = 1.0


@dataclass(frozen=True)
class TrueCar:
    """A car as it truly is, with its file.

    tuned: as it launches with every lever where a good car has it.
    levers: lever id -> (tuned value, strength of its effect).
    wrong: the levers that were set wrong.  good: settings at which nothing is wrong.
    """

    file: Car
    tuned: Launching
    knobs: Mapping[str, TrueKnob]
    levers: Mapping[str, tuple[float, float]]
    wrong: tuple[str, ...]
    good: Settings
    ring_off: float
    scatter: tuple[float, float]
    drift: tuple[float, float]
    rates: tuple[float, ...] = ()

    def at(self, settings: Mapping[str, float], air: Air = Air()) -> Launching:
        """Return the car at settings, by adjuster id."""
        car = self.tuned
        factors: dict[tuple[str, str], list[float]] = {}
        for name, knob in self.knobs.items():
            end, word = name.split(" ", 1)
            share = sum(knob.firmness(settings[f"{s} {end} {word}"]) for s in PAIRS) / 2.0
            moved = knob.log_span * (share - knob.tuned)
            for stroke, felt in knob.strokes.items():
                low, high = factors.setdefault((end, stroke), [0.0, 0.0])
                factors[end, stroke] = [
                    low + felt * knob.low * moved,
                    high + felt * knob.high * moved,
                ]
        ends = {"front": car.front, "rear": car.rear}
        for (end, stroke), (low, high) in factors.items():
            one: Stroke = getattr(ends[end], stroke)
            turned = replace(one, bleed=one.bleed * exp(low), slope=one.slope * exp(high))
            ends[end] = replace(ends[end], **{stroke: turned})
        thrust, mu, anti = car.thrust * air.thrust, car.mu * air.grip, car.anti
        hump = car.hump
        for name, (usual, strength) in self.levers.items():
            value = settings[name]
            if name == "launch rpm":
                thrust *= (value / usual) ** strength
                hump *= value / usual
            elif name == "rear tyre pressure":
                mu *= 1.0 - strength * ((value - usual) / usual) ** 2
                ends["rear"] = replace(
                    ends["rear"], tyre=ends["rear"].tyre * (value / usual) ** 0.7
                )
            elif name == "front limiter":
                longer = strength * (value - usual) / 1000.0
                ends["front"] = replace(ends["front"], droop=max(0.02, car.front.droop + longer))
            elif name == "front spring":
                rate = self.rates[round(value)] / self.rates[round(usual)]
                ends["front"] = replace(ends["front"], spring=car.front.spring * rate)
            elif name == "upper link":
                anti += strength * (value - usual)
        return replace(
            car, front=ends["front"], rear=ends["rear"], thrust=thrust, mu=mu, anti=anti, hump=hump
        )

    def run(self, settings: Mapping[str, float], air: Air = Air()) -> Outcome:
        """Let it launch."""
        return launch(self.at(settings, air))

    def airs(self, rng: np.random.Generator, passes: int) -> list[Air]:
        """Draw what each pass of a day finds: a slow drift and a scatter from pass to pass."""
        return [
            Air(
                1.0 + self.drift[0] * n / passes + self.scatter[0] * float(rng.standard_normal()),
                1.0 + self.drift[1] * n / passes + self.scatter[1] * float(rng.standard_normal()),
            )
            for n in range(passes)
        ]


class NoCarError(Exception):
    """This draw is no car that could be tuned."""


def true_car(seed: int, gaps: float = 1.0) -> TrueCar:
    """Draw the car of a day, with one to three faults that can be cured; the same for each seed.

    gaps: how much larger than usual the truth's differences from any model are.
    """
    for attempt in range(400):
        rng = np.random.default_rng((seed, attempt))
        try:
            return _drawn(rng, gaps, seed)
        except NoCarError:
            continue
    raise NoCarError(f"no car for seed {seed}")


def _u(rng: np.random.Generator, low: float, high: float) -> float:
    return float(rng.uniform(low, high))


def _off(rng: np.random.Generator, sd: float, most: float = 2.0) -> float:
    return exp(sd * float(np.clip(rng.standard_normal(), -most, most)))


def _tuned(rng: np.random.Generator, gaps: float, kind: str) -> Launching:
    """Draw a car of a kind, its thrust set so that it lifts a little or not at all."""
    heavy = {"leaf": 0.0, "ladder": 0.4, "link": 1.0}[kind]
    base, ms = _u(rng, 2.35, 2.85), _u(rng, 850, 1100) + heavy * _u(rng, 50, 450)
    share = _u(rng, 0.47, 0.56)
    soft = _u(rng, 0.0, 1.0)
    mf, mr = _u(rng, 55, 95), _u(rng, 120, 180)
    kf = ms * _u(rng, 22, 34) * (1.25 - 0.5 * soft)
    kr = ms * _u(rng, 34, 46) * (1.2 - 0.4 * soft)
    size = {"front": (kf * ms / 2) ** 0.5, "rear": (kr * ms / 2) ** 0.5}

    def stroke(end: str, ratio: float) -> Stroke:
        knee = _u(rng, 0.04, 0.12)
        firm = size[end] * ratio * _off(rng, 0.25)
        return Stroke(firm * _u(rng, 0.15, 0.35), knee, firm * _u(rng, 0.5, 0.9))

    hump = _u(rng, -0.05, 0.09) * gaps
    dips: tuple[tuple[float, float, float], ...] = ()
    if rng.random() < 0.45:
        dips = ((_u(rng, 0.8, 1.7), min(0.9, _u(rng, 0.2, 0.5) * gaps), _u(rng, 0.06, 0.16)),)
    hs = _u(rng, 0.48, 0.62)
    bars = None
    if rng.random() < 0.5:
        bars = Bars(_u(rng, 0.17, 0.36), _u(rng, 0.9, 1.5), _u(rng, 6e4, 2e5))
    car = Launching(
        ms=ms, inertia=ms * _u(rng, 1.15, 1.8), hs=hs, ahead=base * (1 - share),
        behind=base * share,
        front=End(
            mf, _u(rng, 0.29, 0.34), kf, _u(rng, 0.05, 0.09), _u(rng, 0.06, 0.13),
            _u(rng, 3.2e5, 4.8e5), _u(rng, 600, 1100), stroke("front", 0.55), stroke("front", 0.45),
        ),
        rear=End(
            mr, _u(rng, 0.34, 0.42), kr, _u(rng, 0.07, 0.11), _u(rng, 0.06, 0.11),
            _u(rng, 2.2e5, 3.4e5), _u(rng, 800, 1500), stroke("rear", 0.5), stroke("rear", 0.5),
        ),
        bars=bars, anti=_u(rng, 0.05, 0.32) if kind != "leaf" else _u(rng, 0.05, 0.22),
        anti_gain=_u(rng, -0.6, 0.6) * gaps, thrust=0.0, rise=_u(rng, 0.05, 0.2),
        hump=hump, hump_s=_u(rng, 0.1, 0.4), power=ms * _u(rng, 200, 480), mu=2.5,
        peak=_u(rng, 0.08, 0.16), falls=min(0.6, _u(rng, 0.15, 0.4) * gaps),
        relax=_u(rng, 0.2, 0.5), twist=_u(rng, 0.0, 0.04) * gaps,
        turning=_u(rng, 60, 160), drag=_u(rng, 0.2, 0.6), dips=dips,
    )  # fmt: skip
    height = hs * 0.93
    threshold = car.total * G * share / height * base
    return _lifting(rng, car, threshold)


def _lifting(rng: np.random.Generator, car: Launching, threshold: float) -> Launching:
    """Find the thrust that lifts the front as far as a good car of this kind does."""
    wanted = _u(rng, 0.02, 0.22)
    spare = _u(rng, 1.15, 1.6)
    low, high = 0.45, 1.15
    found = None
    for _ in range(9):
        share = (low + high) / 2.0
        thrust = threshold * share
        found = replace(
            car,
            thrust=thrust,
            mu=spare * thrust * (1 + max(car.hump, 0.0)) / (car.total * G * 0.95),
        )
        lift = launch(found, run_s=1.2).lift
        if abs(lift - wanted) < 0.02:
            break
        low, high = (share, high) if lift < wanted else (low, share)
    assert found is not None
    return found


def _drawn(rng: np.random.Generator, gaps: float, seed: int) -> TrueCar:
    kind = ("leaf", "ladder", "link")[int(rng.integers(3))]
    tuned = _tuned(rng, gaps, kind)
    if faults_of(launch(tuned)):
        raise NoCarError
    knobs = _knobs(rng, gaps)
    levers, raw_levers = _levers(rng, tuned, kind)
    rates = tuple(
        float(one.split()[0]) for one in raw_levers.get("front spring", {}).get("positions", ())
    )
    scatter = (_u(rng, 0.004, 0.009), _u(rng, 0.005, 0.010))
    drift = (_u(rng, -0.015, 0.01), _u(rng, -0.03, 0.02))
    good = {
        f"{side} {name}": float(knob.count(knob.tuned))
        for name, knob in knobs.items()
        for side in PAIRS
    } | {name: _at_step(raw, levers[name][0]) for name, raw in raw_levers.items()}
    two = seed % 5 >= 3
    for _ in range(TRIES):
        wrong, settings = _set_wrong(rng, knobs, raw_levers, good)
        car = TrueCar(
            Car.parse(_NAMELESS), tuned, knobs, levers, wrong, good, 0.0, scatter, drift, rates
        )
        before = car.run(settings)
        faults = faults_of(before)
        # A car that goes over at once is parked, not tuned.
        if before.over and rng.random() < 0.8:
            continue
        # Two days in five begin with more than one fault.
        if 1 + two <= len(faults) <= 3:
            break
    else:
        raise NoCarError
    # Good for a margin: the day's scatter alone is no fault.
    if any(
        faults_of(car.run(good, one)) for one in (Air(), Air(1.012), Air(0.99), Air(1.0, 0.985))
    ):
        raise NoCarError
    file = _file(rng, tuned, kind, knobs, raw_levers, settings, gaps, seed)
    return replace(car, file=file)


def _at_step(raw: Mapping[str, Any], value: float) -> float:
    if "positions" in raw:
        return float(round(value))
    steps = round((value - raw["low"]) / raw["step"])
    return round(raw["low"] + steps * raw["step"], 6)


def _knobs(rng: np.random.Generator, gaps: float) -> dict[str, TrueKnob]:
    """Draw which knobs the car has and what each truly does."""
    front = ("rebound", "compression")
    plan: list[tuple[str, str, str, str]] = []
    draw = rng.random()
    if draw < 0.45:
        plan += [("front", "rebound", "reb", "all")]
        plan += [("front", "low-speed compression", "comp", "low")]
        plan += [("front", "high-speed compression", "comp", "high")]
    else:
        plan += [
            ("front", word, word[:3] if word == "rebound" else "comp", "all") for word in front
        ]
    if draw < 0.85:
        plan += [("rear", word, "reb" if word == "rebound" else "comp", "all") for word in front]
    found = {}
    for end, word, stroke, speed in plan:
        span = log(_u(rng, *SPAN)) * _off(rng, 0.3 * gaps)
        if rng.random() < 0.12 * gaps:
            span *= _u(rng, 0.05, 0.25)
        strokes = {stroke: 1.0}
        if rng.random() < 0.15 * gaps:
            strokes["reb" if stroke == "comp" else "comp"] = _u(rng, 0.2, 0.7)
        marks = int(rng.choice([8, 12, 16, 18, 24]))
        low, high = {"low": (1.0, 0.1), "high": (0.2, 1.0), "all": (1.0, 0.8)}[speed]
        found[f"{end} {word}"] = TrueKnob(
            end, strokes, low, high, span, _u(rng, 0.3, 0.7), marks, bool(rng.random() < 0.3)
        )
    return found


def _levers(
    rng: np.random.Generator, car: Launching, kind: str
) -> tuple[dict[str, tuple[float, float]], dict[str, dict[str, Any]]]:
    """Draw the levers: their tuned value and strength, and how the file has them."""
    rpm = 100.0 * round(_u(rng, 36, 60))
    levers = {"launch rpm": (rpm, _u(rng, 0.5, 1.2))}
    raw: dict[str, dict[str, Any]] = {
        "launch rpm": {"kind": "launch rpm", "axle": "car", "unit": "rpm", "step": 100.0}
        | {"low": rpm - 1500, "high": rpm + 1200, "minutes": 3}
    }
    psi = 0.5 * round(_u(rng, 22, 34))
    levers["rear tyre pressure"] = (psi + _u(rng, -0.2, 0.2), _u(rng, 1.0, 2.5))
    raw["rear tyre pressure"] = {"kind": "tyre pressure", "axle": "rear", "unit": "psi"} | {
        "step": 0.5, "low": psi - 4, "high": psi + 6, "makers_minimum": psi - 2, "minutes": 3,
    }  # fmt: skip
    if rng.random() < 0.7:
        long = 5.0 * round(car.front.droop * 200.0)
        levers["front limiter"] = (long, _u(rng, 0.85, 1.1))
        raw["front limiter"] = {"kind": "travel limiter", "axle": "front", "unit": "mm"} | {
            "step": 5.0, "low": max(25.0, long - 40), "high": long + 30,
            "minutes": 20, "lift_car": True,
        }  # fmt: skip
    if rng.random() < 0.35:
        middle = round(car.front.spring / 1000.0)
        rates = [f"{round(middle * one)} N/mm" for one in (0.75, 0.87, 1.0, 1.15, 1.3)]
        levers["front spring"] = (2.0, 1.0)
        raw["front spring"] = {"kind": "spring", "axle": "front", "positions": rates} | {
            "minutes": 60, "lift_car": True,
        }  # fmt: skip
    if kind == "link" and rng.random() < 0.5:
        levers["upper link"] = (1.0, _u(rng, 0.03, 0.07))
        raw["upper link"] = {"kind": "link position", "axle": "rear", "unit": "hole"} | {
            "positions": ["low", "middle", "high"], "minutes": 45, "lift_car": True,
        }  # fmt: skip
    return levers, raw


def _set_wrong(
    rng: np.random.Generator,
    knobs: Mapping[str, TrueKnob],
    raw: Mapping[str, dict[str, Any]],
    good: Settings,
) -> tuple[tuple[str, ...], Settings]:
    """Set one to three levers away from where they belong."""
    names = [*knobs, *knobs, *raw]
    wanted = 1 + int(rng.random() < 0.6) + int(rng.random() < 0.3)
    wrong = tuple(dict.fromkeys(names[int(rng.integers(len(names)))] for _ in range(wanted)))
    settings = dict(good)
    for name in wrong:
        way = 1.0 if rng.random() < 0.5 else -1.0
        if name in knobs:
            knob = knobs[name]
            away = knob.count(knob.tuned + way * _u(rng, 0.25, 0.7))
            settings |= {f"{side} {name}": float(away) for side in PAIRS}
            continue
        lever = raw[name]
        if "positions" in lever:
            settings[name] = min(
                max(good[name] + way * int(rng.integers(1, 3)), 0.0), len(lever["positions"]) - 1.0
            )
            continue
        low = max(lever["low"], lever.get("makers_minimum", lever["low"]))
        room = lever["high"] - good[name] if way > 0 else good[name] - low
        settings[name] = _at_step(lever, good[name] + way * room * _u(rng, 0.25, 1.0))
    return wrong, settings


def _file(
    rng: np.random.Generator,
    car: Launching,
    kind: str,
    knobs: Mapping[str, TrueKnob],
    levers: Mapping[str, dict[str, Any]],
    settings: Settings,
    gaps: float,
    seed: int,
) -> Car:
    """Write what the crew knows: some of it measured, some guessed, some left out."""
    base = car.ahead + car.behind
    masses: dict[str, float] = {"total": round(car.total * _off(rng, 0.004), 1)}
    guesses = []
    if rng.random() < 0.6:
        front = car.ms * car.behind / base + car.front.mass
        rear = car.ms * car.ahead / base + car.rear.mass
        total = front + rear
        split = [front / 2, front / 2, rear / 2, rear / 2]
        masses = {"total": round(total, 1)}
        for name, one in zip(
            ("left_front", "right_front", "left_rear", "right_rear"), split, strict=True
        ):
            masses[name] = round(one, 1)
    if rng.random() < 0.5:
        masses["front_unsprung"] = round(car.front.mass * _off(rng, 0.12), 1)
        masses["rear_unsprung"] = round(car.rear.mass * _off(rng, 0.12), 1)
        guesses += ["masses.front_unsprung", "masses.rear_unsprung"]
    geometry: dict[str, float] = {"wheelbase": round(base, 3)}
    whole = (
        car.ms * car.hs + car.front.mass * car.front.radius + car.rear.mass * car.rear.radius
    ) / car.total
    knows = rng.random()
    if knows < 0.75:
        geometry["cg_height"] = round(whole * _off(rng, 0.025 if knows < 0.35 else 0.06), 3)
        if knows >= 0.35:
            guesses.append("geometry.cg_height")
    if rng.random() < 0.6 and kind != "leaf":
        ahead = _u(rng, 0.9, 1.8)
        geometry["instant_centre_ahead"] = round(ahead, 3)
        geometry["instant_centre_height"] = round(car.anti * ahead * _off(rng, 0.12), 3)
    ends = {}
    ratios = {"front": _u(rng, 0.6, 0.95), "rear": _u(rng, 0.8, 1.0)}
    for name, end in (("front", car.front), ("rear", car.rear)):
        one: dict[str, Any] = {"tyre_diameter": round(2 * end.radius * 1.01, 3)}
        one["motion_ratio"] = round(ratios[name], 3)
        if rng.random() < 0.85:
            rate = settings_rate(levers, settings) if name == "front" else 1.0
            ratio = 1.0 if name == "rear" and kind == "leaf" else ratios[name]
            one["spring_rate"] = round(end.spring * rate / 2 / ratio**2 * _off(rng, 0.03), 0)
        if rng.random() < 0.8:
            one["bump_travel"] = round(end.bump * _off(rng, 0.03), 3)
            droop = end.droop
            if name == "front" and "front limiter" in levers:
                droop += (settings["front limiter"] - 5.0 * round(car.front.droop * 200.0)) / 1000.0
            one["droop_travel"] = round(max(0.02, droop) * _off(rng, 0.03), 3)
        if rng.random() < 0.3:
            one["tyre_rate"] = round(end.tyre / 2 * _off(rng, 0.1), 0)
        ends[name] = one
    ends["front"]["tyre"], ends["rear"]["tyre"] = "front runner", "bias slick"
    thrust: dict[str, float] = {}
    if rng.random() < 0.5:
        rpm = settings["launch rpm"] / (levers["launch rpm"]["low"] + 1500)
        thrust["peak_g"] = round(car.thrust * rpm**0.85 / (car.total * G) * _off(rng, 0.04), 2)
    if rng.random() < 0.6:
        thrust["power"] = round(car.power * _off(rng, 0.07), 0)
    dampers = [
        {
            "corner": corner,
            "knobs": _written(rng_of(seed, corner), corner, car, knobs, settings, ratios, gaps),
        }
        for corner in CORNERS
    ]
    suspension = {"leaf": "leaf with traction device", "ladder": "ladder bar", "link": "four-link"}[
        kind
    ]
    return Car.parse(
        {
            "id": f"virtual-{seed}", "name": f"Virtual car {seed}", "units": "metric",
            "invented": True, "rear_suspension": suspension, "wheelie_bars": car.bars is not None,
            "guesses": guesses, "masses": masses, "geometry": geometry, **ends, "launch": thrust,
            "dampers": dampers,
            "levers": [
                {"id": name, **lever, "start": _start(lever, settings[name])}
                for name, lever in levers.items()
            ],
        }
    )  # fmt: skip


def _start(lever: Mapping[str, Any], value: float) -> str | float:
    return str(lever["positions"][int(value)]) if "positions" in lever else value


def settings_rate(levers: Mapping[str, dict[str, Any]], settings: Settings) -> float:
    """Return the rate of the front spring that is in, over the one of the tuned car."""
    if "front spring" not in levers:
        return 1.0
    rates = [float(one.split()[0]) for one in levers["front spring"]["positions"]]
    return rates[int(settings["front spring"])] / rates[2]


def rng_of(seed: int, corner: str) -> np.random.Generator:
    """Return the chance of a damper's sheet: left and right have the same one."""
    return np.random.default_rng((seed, 77, int(corner.endswith("rear"))))


def _written(
    rng: np.random.Generator, corner: str, car: Launching, knobs: Mapping[str, TrueKnob],
    settings: Settings, ratios: Mapping[str, float], gaps: float,
) -> list[dict[str, Any]]:  # fmt: skip
    """Write a damper's knobs, some with the maker's points, which are off by up to a quarter."""
    end = corner.split()[1]
    found = []
    for name, knob in knobs.items():
        if knob.end != end:
            continue
        word = name.split(" ", 1)[1]
        controls = "rebound" if word == "rebound" else "compression"
        speed = "low" if word.startswith("low") else "high" if word.startswith("high") else "all"
        one: dict[str, Any] = {
            "id": word, "controls": controls, "speed": speed, "clicks": knob.marks,
            "count_from": "full hard" if knob.from_hard else "full soft",
            "start": settings[f"{corner} {word}"], "minutes": 5,
        }  # fmt: skip
        if rng.random() < 0.4:
            one[f"{controls}_points"] = _points(
                rng, knob, getattr(car, end), controls, ratios[end], gaps
            )
        found.append(one)
    return found


def _points(
    rng: np.random.Generator, knob: TrueKnob, end: End, controls: str, ratio: float, gaps: float
) -> dict[str, dict[str, float]]:
    stroke: Stroke = end.comp if controls == "compression" else end.reb
    off = 1.0 + 0.25 * gaps * float(np.clip(_u(rng, -1, 1), -0.8 / gaps, 2.0))
    # The sheet has the span the maker meant, not what this pair does.
    span = log(4.0)
    points = {}
    for name, firmness in (("soft", 0.0), ("firm", 1.0)):
        moved = span * (firmness - knob.tuned)
        turned = replace(
            stroke,
            bleed=stroke.bleed * exp(knob.low * moved),
            slope=stroke.slope * exp(knob.high * moved),
        )
        for place, speed in (("low", 0.07), ("high", 0.25)):
            force = turned.force(speed * 1.0 / ratio) / ratio / 2.0 * off
            points[f"{name}_{place}"] = {"speed": speed, "force": round(max(force, 5.0), 1)}
    return points
