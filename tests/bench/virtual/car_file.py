"""What a crew knows of its car: a car file, some of it measured, some guessed, some left out.

The truth differs from it by the usual errors; their sizes: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import exp, log
from typing import Any

import numpy as np

from rules.car.adjusters import Settings
from rules.car.model import CORNERS, Car
from tests.bench.virtual.cars import TrueKnob
from tests.bench.virtual.truth import End, G, Launching, Stroke


def uniform(rng: np.random.Generator, low: float, high: float) -> float:
    """Draw a number between two."""
    return float(rng.uniform(low, high))


def chance_off(rng: np.random.Generator, sd: float, most: float = 2.0) -> float:
    """Draw a factor about one, log-normal."""
    return exp(sd * float(np.clip(rng.standard_normal(), -most, most)))


def car_file(
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
    masses: dict[str, float] = {"total": round(car.total * chance_off(rng, 0.004), 1)}
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
        masses["front_unsprung"] = round(car.front.mass * chance_off(rng, 0.12), 1)
        masses["rear_unsprung"] = round(car.rear.mass * chance_off(rng, 0.12), 1)
        guesses += ["masses.front_unsprung", "masses.rear_unsprung"]
    geometry: dict[str, float] = {"wheelbase": round(base, 3)}
    whole = (
        car.ms * car.hs + car.front.mass * car.front.radius + car.rear.mass * car.rear.radius
    ) / car.total
    knows = rng.random()
    if knows < 0.75:
        geometry["cg_height"] = round(whole * chance_off(rng, 0.025 if knows < 0.35 else 0.06), 3)
        if knows >= 0.35:
            guesses.append("geometry.cg_height")
    if rng.random() < 0.6 and kind != "leaf":
        ahead = uniform(rng, 0.9, 1.8)
        geometry["instant_centre_ahead"] = round(ahead, 3)
        geometry["instant_centre_height"] = round(car.anti * ahead * chance_off(rng, 0.12), 3)
    ends: dict[str, dict[str, Any]] = {}
    ratios = {"front": uniform(rng, 0.6, 0.95), "rear": uniform(rng, 0.8, 1.0)}
    for name, end in (("front", car.front), ("rear", car.rear)):
        axle: dict[str, Any] = {"tyre_diameter": round(2 * end.radius * 1.01, 3)}
        axle["motion_ratio"] = round(ratios[name], 3)
        if rng.random() < 0.85:
            rate = _rate_now(levers, settings) if name == "front" else 1.0
            ratio = 1.0 if name == "rear" and kind == "leaf" else ratios[name]
            axle["spring_rate"] = round(end.spring * rate / 2 / ratio**2 * chance_off(rng, 0.03), 0)
        if rng.random() < 0.8:
            axle["bump_travel"] = round(end.bump * chance_off(rng, 0.03), 3)
            droop = end.droop
            if name == "front" and "front limiter" in levers:
                droop += (settings["front limiter"] - 5.0 * round(car.front.droop * 200.0)) / 1000.0
            axle["droop_travel"] = round(max(0.02, droop) * chance_off(rng, 0.03), 3)
        if rng.random() < 0.3:
            axle["tyre_rate"] = round(end.tyre / 2 * chance_off(rng, 0.1), 0)
        ends[name] = axle
    ends["front"]["tyre"], ends["rear"]["tyre"] = "front runner", "bias slick"
    thrust: dict[str, float] = {}
    if rng.random() < 0.5:
        rpm = settings["launch rpm"] / (levers["launch rpm"]["low"] + 500)
        thrust["peak_g"] = round(
            car.thrust * rpm**0.85 / (car.total * G) * chance_off(rng, 0.04), 2
        )
    if rng.random() < 0.6:
        thrust["power"] = round(car.power * chance_off(rng, 0.07), 0)
    dampers = [
        {
            "corner": corner,
            "knobs": _written(_sheet(seed, corner), corner, car, knobs, settings, ratios, gaps),
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


def _rate_now(levers: Mapping[str, dict[str, Any]], settings: Settings) -> float:
    """Return the rate of the front spring that is in, over the one of the tuned car."""
    if "front spring" not in levers:
        return 1.0
    rates = [float(one.split()[0]) for one in levers["front spring"]["positions"]]
    return rates[int(settings["front spring"])] / rates[2]


def _sheet(seed: int, corner: str) -> np.random.Generator:
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
    off = 1.0 + 0.25 * gaps * float(np.clip(uniform(rng, -1, 1), -0.8 / gaps, 2.0))
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
