"""Invented cars for virtual days, from a light one on leaf springs to a heavy one on four links.

A car is first tuned until nothing is wrong with it; then one to three of its levers are set
wrong, so that something is. All ranges: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from math import log
from typing import Any

import numpy as np

from rules.car.adjusters import Settings
from rules.car.model import Car
from tests.bench.virtual.car_file import car_file, chance_off, uniform
from tests.bench.virtual.cars import PAIRS, Air, TrueCar, TrueKnob
from tests.bench.virtual.faults import faults_of
from tests.bench.virtual.fleets import USUAL, Fleet
from tests.bench.virtual.truth import Bars, End, G, Launching, Stroke, launch

# How often the levers of one tuned car are set wrong before another car is drawn.
TRIES = 12
_NAMELESS = {"id": "nameless", "name": "Virtual car", "units": "metric"}


class NoCarError(Exception):
    """This draw is no car that could be tuned."""


def true_car(seed: int, gaps: float = 1.0, fleet: Fleet = USUAL) -> TrueCar:
    """Draw the car of a day, with one to three faults that can be cured; the same for each seed.

    gaps: how much larger than usual the truth's differences from any model are.
    """
    for attempt in range(400):
        rng = np.random.default_rng((seed, attempt))
        try:
            return _drawn(rng, gaps, seed, fleet)
        except NoCarError:
            continue
    raise NoCarError(f"no car for seed {seed}")


def _tuned(rng: np.random.Generator, gaps: float, kind: str, of: Fleet) -> Launching:
    """Draw a car of a kind, its thrust set so that it lifts a little or not at all."""
    u = partial(uniform, rng)
    heavy = {"leaf": 0.0, "ladder": 0.4, "link": 1.0}[kind]
    base, ms = u(*of.base), u(*of.sprung) + heavy * u(*of.heavy)
    share = u(*of.front_share)
    soft = u(0.0, 1.0)
    mf, mr = u(55, 95), u(120, 180)
    kf = ms * u(*of.front_rate) * (1.25 - 0.5 * soft)
    kr = ms * u(*of.rear_rate) * (1.2 - 0.4 * soft)
    size = {"front": (kf * ms / 2) ** 0.5, "rear": (kr * ms / 2) ** 0.5}

    def stroke(end: str, ratio: float) -> Stroke:
        knee = u(*of.knee)
        firm = size[end] * ratio * chance_off(rng, 0.25)
        return Stroke(firm * u(*of.bleed), knee, firm * u(*of.slope))

    hump = u(*of.hump) * gaps
    dips: tuple[tuple[float, float, float], ...] = ()
    if rng.random() < 0.45:
        dips = ((u(0.8, 1.7), min(0.9, u(0.2, 0.5) * gaps), u(0.06, 0.16)),)
    hs = u(*of.height)
    bars = None
    if rng.random() < 0.5:
        bars = Bars(u(0.17, 0.36), u(0.9, 1.5), u(6e4, 2e5))
    car = Launching(
        ms=ms, inertia=ms * u(1.15, 1.8), hs=hs, ahead=base * (1 - share),
        behind=base * share,
        front=End(
            mf, u(0.29, 0.34), kf, u(0.05, 0.09), u(0.06, 0.13),
            u(3.2e5, 4.8e5), u(600, 1100), stroke("front", 0.55), stroke("front", 0.45),
        ),
        rear=End(
            mr, u(0.34, 0.42), kr, u(0.07, 0.11), u(0.06, 0.11),
            u(2.2e5, 3.4e5), u(800, 1500), stroke("rear", 0.5), stroke("rear", 0.5),
        ),
        bars=bars, anti=u(0.05, 0.32) if kind != "leaf" else u(0.05, 0.22),
        anti_gain=u(-0.6, 0.6) * gaps, thrust=0.0, rise=u(*of.rise),
        hump=hump, hump_s=u(0.1, 0.4), power=ms * u(200, 480), mu=2.5,
        peak=u(*of.peak), falls=min(0.6, u(*of.falls) * gaps),
        relax=u(*of.relax), twist=u(0.0, 0.04) * gaps,
        turning=u(60, 160), drag=u(0.2, 0.6),
        rollout=u(0.12, 0.28), dips=dips,
    )  # fmt: skip
    height = hs * 0.93
    threshold = car.total * G * share / height * base
    return _lifting(rng, car, threshold, of)


def _lifting(rng: np.random.Generator, car: Launching, threshold: float, of: Fleet) -> Launching:
    """Find the thrust that lifts the front as far as a good car of this kind does."""
    wanted = uniform(rng, *of.lift)
    spare = uniform(rng, *of.spare)
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


def _drawn(rng: np.random.Generator, gaps: float, seed: int, fleet: Fleet) -> TrueCar:
    kind = ("leaf", "ladder", "link")[int(rng.integers(3))]
    tuned = _tuned(rng, gaps, kind, fleet)
    if faults_of(launch(tuned)):
        raise NoCarError
    knobs = _knobs(rng, gaps, fleet)
    levers, raw_levers = _levers(rng, tuned, kind, fleet)
    rates = tuple(
        float(one.split()[0]) for one in raw_levers.get("front spring", {}).get("positions", ())
    )
    scatter = (uniform(rng, 0.004, 0.009), uniform(rng, 0.005, 0.010))
    drift = (uniform(rng, -0.015, 0.01), uniform(rng, -0.03, 0.02))
    good = {
        f"{side} {name}": float(knob.count(knob.tuned))
        for name, knob in knobs.items()
        for side in PAIRS
    } | {name: _at_step(raw, levers[name][0]) for name, raw in raw_levers.items()}
    two, hard = seed % 5 == 3, seed % 5 == 4
    for _ in range(3 * TRIES if two or hard else TRIES):
        wrong, settings = _set_wrong(rng, knobs, raw_levers, good, 1 + hard, fleet)
        car = TrueCar(
            Car.parse(_NAMELESS), tuned, knobs, levers, wrong, good, 0.0, scatter, drift, rates
        )
        before = car.run(settings)
        faults = faults_of(before)
        # A car that goes over at once is parked, not tuned.
        if before.over and rng.random() < 0.8:
            continue
        # One day in five begins with more than one fault, one needs more than one turn put right.
        if 1 + two <= len(faults) <= 3 and not (hard and _one_turn_back(car, settings)):
            break
    else:
        raise NoCarError
    # Good for a margin: the day's scatter alone is no fault.
    if any(
        faults_of(car.run(good, one)) for one in (Air(), Air(1.012), Air(0.99), Air(1.0, 0.985))
    ):
        raise NoCarError
    file = car_file(rng, tuned, kind, knobs, raw_levers, settings, gaps, seed)
    return replace(car, file=file)


def _one_turn_back(car: TrueCar, settings: Settings) -> bool:
    """Tell whether one of the levers that were set wrong, set right again, is enough."""
    return any(
        not faults_of(car.run({**settings, **{key: car.good[key] for key in _of(car, name)}}))
        for name in car.wrong
    )


def _of(car: TrueCar, name: str) -> tuple[str, ...]:
    return tuple(f"{side} {name}" for side in PAIRS) if name in car.knobs else (name,)


def _at_step(raw: Mapping[str, Any], value: float) -> float:
    if "positions" in raw:
        return float(round(value))
    low, step = float(raw["low"]), float(raw["step"])
    return round(low + round((value - low) / step) * step, 6)


def _knobs(rng: np.random.Generator, gaps: float, of: Fleet) -> dict[str, TrueKnob]:
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
        span = log(uniform(rng, *of.strength)) * chance_off(rng, 0.3 * gaps)
        if rng.random() < of.lazy * gaps:
            span *= uniform(rng, 0.05, 0.25)
        strokes = {stroke: 1.0}
        if rng.random() < of.both * gaps:
            strokes["reb" if stroke == "comp" else "comp"] = uniform(rng, 0.2, 0.7)
        marks = int(rng.choice(of.marks))
        low, high = {"low": (1.0, 0.1), "high": (0.2, 1.0), "all": (1.0, 0.8)}[speed]
        found[f"{end} {word}"] = TrueKnob(
            end, strokes, low, high, span, uniform(rng, *of.tuned), marks, bool(rng.random() < 0.3)
        )
    return found


def _levers(
    rng: np.random.Generator, car: Launching, kind: str, of: Fleet
) -> tuple[dict[str, tuple[float, float]], dict[str, dict[str, Any]]]:
    """Draw the levers: their tuned value and strength, and how the file has them."""
    rpm = 100.0 * round(uniform(rng, 36, 60))
    levers = {"launch rpm": (rpm, uniform(rng, 0.5, 1.2))}
    raw: dict[str, dict[str, Any]] = {
        "launch rpm": {"kind": "launch rpm", "axle": "car", "unit": "rpm", "step": 100.0}
        | {"low": rpm - 500, "high": rpm + 600, "minutes": 3}
    }
    psi = 0.5 * round(uniform(rng, *of.pressure))
    levers["rear tyre pressure"] = (psi + uniform(rng, -0.2, 0.2), uniform(rng, *of.window))
    raw["rear tyre pressure"] = {"kind": "tyre pressure", "axle": "rear", "unit": "psi"} | {
        "step": 0.5, "low": psi - 3, "high": psi + 4, "makers_minimum": psi - 2, "minutes": 3,
    }  # fmt: skip
    if rng.random() < 0.7:
        long = 5.0 * round(car.front.droop * 200.0)
        levers["front limiter"] = (long, uniform(rng, 0.85, 1.1))
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
        levers["upper link"] = (1.0, uniform(rng, 0.03, 0.07))
        raw["upper link"] = {"kind": "link position", "axle": "rear", "unit": "hole"} | {
            "positions": ["low", "middle", "high"], "minutes": 45, "lift_car": True,
        }  # fmt: skip
    return levers, raw


def _set_wrong(
    rng: np.random.Generator,
    knobs: Mapping[str, TrueKnob],
    raw: Mapping[str, dict[str, Any]],
    good: Settings,
    least: int,
    of: Fleet,
) -> tuple[tuple[str, ...], Settings]:
    """Set one to three levers away from where they belong, now and then less than `least`."""
    names = [*knobs, *knobs, *raw]
    wanted = least + int(rng.random() < 0.6) + int(rng.random() < 0.3)
    wrong = tuple(dict.fromkeys(names[int(rng.integers(len(names)))] for _ in range(wanted)))
    settings = dict(good)
    for name in wrong:
        way = 1.0 if rng.random() < 0.5 else -1.0
        if name in knobs:
            knob = knobs[name]
            away = knob.count(knob.tuned + way * uniform(rng, *of.away))
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
        settings[name] = _at_step(lever, good[name] + way * room * uniform(rng, 0.25, 1.0))
    return wrong, settings
