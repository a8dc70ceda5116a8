"""Invented cars of different kinds; no such car exists, no number is a setting to copy."""

from collections.abc import Mapping
from typing import Any

from rules.car.model import Car
from tests.support.crew import invented_car

Raw = dict[str, Any]


def _knobs(axle: str, at: Mapping[str, float], *knobs: Raw) -> list[Raw]:
    """Put the knobs of an axle where `at` says: front rebound -> front_rebound."""
    return [
        {**one, "start": at.get(f"{axle}_{one['id']}".replace("-", "_").replace(" ", "_"), start)}
        for one in knobs
        for start in [one["start"]]
    ]


def _knob(name: str, controls: str, speed: str = "all", clicks: int = 18, **more: Any) -> Raw:
    one = {"id": name, "controls": controls, "speed": speed, "clicks": clicks}
    one |= {"count_from": "full soft", "start": clicks // 2, **more}
    if "turns" in one:
        del one["clicks"]
    return one


def _launch(rpm: int = 4200, step: int = 100) -> Raw:
    return {"id": "launch rpm", "kind": "launch rpm", "axle": "car", "unit": "rpm"} | {
        "step": step,
        "low": 2000,
        "high": 6000,
        "start": rpm,
        "minutes": 3,
    }


def _pressure(start: float = 13, least: float = 11, step: float = 0.5) -> Raw:
    return {"id": "rear tyre pressure", "kind": "tyre pressure", "axle": "rear", "unit": "psi"} | {
        "step": step,
        "low": 9,
        "high": 25,
        "start": start,
        "makers_minimum": least,
        "minutes": 3,
    }


def _lifted(name: str, kind: str, low: float, high: float, start: float, step: float) -> Raw:
    axle = name.split()[0]
    return {"id": name, "kind": kind, "axle": axle, "unit": "in", "step": step, "low": low} | {
        "high": high,
        "start": start,
        "minutes": 30,
        "lift_car": True,
    }


LIMITER = _lifted("front limiter", "travel limiter", 2, 3.5, 3, 0.25)


def _car(
    front: list[Raw], rear: list[Raw], levers: list[Raw], tyre: str = "bias slick", **more: Any
) -> Car:
    car = invented_car(front, rear, levers, **more)
    return car.model_copy(update={"rear": car.rear.model_copy(update={"tyre": tyre})})


def three_way(bars: bool = False, minimum: float = 11, **at: float) -> Car:
    """Rebound, bleed and high-speed knobs in front; two knobs behind; launch, pressure, limiter."""
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound"),
        _knob("low", "compression", "low"),
        _knob("high", "compression", "high"),
    )
    rear = _knobs("rear", at, _knob("compression", "compression"), _knob("rebound", "rebound"))
    levers = [_launch(), _pressure(13, minimum), {**LIMITER, "start": at.get("limiter", 3)}]
    return _car(front, rear, levers, wheelie_bars=bars)


def counted_from_hard(pressure: float = 17, **at: float) -> Car:
    """Six clicks a knob, counted from full hard; a radial; no bleed, no limiter."""
    hard: Raw = {"clicks": 6, "count_from": "full hard", "start": 3}
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound", **hard),
        _knob("compression", "compression", "unknown", **hard),
    )
    rear = _knobs(
        "rear", at, _knob("rebound", "rebound", **hard), _knob("compression", "compression", **hard)
    )
    return _car(front, rear, [_launch(3600), _pressure(pressure, 16, 1.0)], "radial")


def one_knob(**at: float) -> Car:
    """One knob on each damper, which moves both directions; bars; launch and pressure."""
    both = _knob("knob", "both", "unknown", 12)
    front, rear = _knobs("front", at, both), _knobs("rear", at, both)
    return _car(front, rear, [_launch(), _pressure()], wheelie_bars=True)


def leaf(**at: float) -> Car:
    """Leaf springs and a traction device; front rebound only; eight clicks behind; no launch."""
    front = _knobs("front", at, _knob("rebound", "rebound", clicks=10))
    rear = _knobs(
        "rear",
        at,
        _knob("compression", "compression", clicks=8),
        _knob("rebound", "rebound", clicks=8),
    )
    levers = [_pressure(14, 12)]
    return _car(front, rear, levers, rear_suspension="leaf with traction device")


def in_turns(**at: float) -> Car:
    """Knobs without clicks, five turns in eighths; a launch lever and nothing else."""
    turns: Raw = {"turns": 5, "marks_per_turn": 8, "start": 2.5}
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound", **turns),
        _knob("compression", "compression", "high", **turns),
    )
    rear = _knobs(
        "rear",
        at,
        _knob("compression", "compression", **turns),
        _knob("rebound", "rebound", **turns),
    )
    return _car(front, rear, [_launch()], wheelie_bars=True)


def no_knobs(launch: bool = True) -> Car:
    """Plain dampers; springs and a limiter in the trailer; launch and pressure."""
    springs = {"id": "front spring", "kind": "spring", "axle": "front", "unit": "lb/in"} | {
        "step": 25,
        "low": 150,
        "high": 350,
        "start": 250,
        "minutes": 60,
        "lift_car": True,
    }
    levers = [springs, LIMITER, _pressure(), *([_launch()] if launch else [])]
    stock = [{"kind": "spring", "axle": "front", "name": "stiffer pair", "rate": 52000.0}]
    return _car([], [], levers, stock=stock)


def no_bleed(**at: float) -> Car:
    """Rebound and a high-speed knob in front, no bleed to open; ride height on collars."""
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound", clicks=12),
        _knob("high", "compression", "high", clicks=12),
    )
    rear = _knobs("rear", at, _knob("rebound", "rebound", clicks=12))
    return _car(front, rear, [_launch(), _pressure()])


def with_links(**at: float) -> Car:
    """Three-way front, and everything else to set: links, preload, bar, spring, ride heights."""
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound"),
        _knob("low", "compression", "low"),
        _knob("high", "compression", "high"),
    )
    rear = _knobs("rear", at, _knob("compression", "compression"), _knob("rebound", "rebound"))
    levers = [
        _launch(),
        _pressure(),
        LIMITER,
        _lifted("front ride height", "ride height", 3, 6, 4.5, 0.25),
        _lifted("rear link", "link position", 0, 6, 3, 1),
        _lifted("rear preload", "preload", -3, 3, 0, 0.5),
        _lifted("rear bar", "anti-roll bar", 0, 4, 2, 1),
        {**_lifted("front spring", "spring", 150, 350, 250, 25), "unit": "lb/in"},
    ]
    return _car(front, rear, levers, wheelie_bars=True)


def on_stands(launch: bool = True) -> Car:
    """Front knobs that are reached only with the car on stands, six minutes a pair."""
    front = [
        _knob("rebound", "rebound", minutes=6, lift_car=True),
        _knob("high", "compression", "high", minutes=6, lift_car=True),
    ]
    return _car(front, [], [_launch()] if launch else [])


def four_clicks(**at: float) -> Car:
    """Four clicks a knob, front only, and a tyre whose maker's minimum nobody wrote down."""
    clicks = {"clicks": 4, "start": 2}
    front = _knobs(
        "front",
        at,
        _knob("rebound", "rebound", **clicks),
        _knob("compression", "compression", "unknown", **clicks),
    )
    pressure = _pressure(14)
    del pressure["makers_minimum"]
    return _car(front, [], [_launch(), pressure], rear_suspension="ladder bar")


def with_valvings() -> Car:
    """No knobs in front and no launch lever; three stacks by their label, without a table."""
    stacks = {"id": "front valving", "kind": "valving", "axle": "front", "start": "stack 2"} | {
        "positions": ["stack 1", "stack 2", "stack 3"],
        "minutes": 90,
        "lift_car": True,
    }
    return _car([], [_knob("rebound", "rebound")], [stacks, _pressure()])


def split(left: float, right: float) -> Car:
    """A deliberate split of the front rebound, right minus left kept as an offset."""
    raw = three_way().model_dump(by_alias=True, exclude_none=True)
    for damper in raw["dampers"]:
        for knob in damper["knobs"]:
            if damper["corner"].endswith("front") and knob["id"] == "rebound":
                first = damper["corner"] == "left front"
                knob["start"] = left if first else right
                knob["offset"] = 0.0 if first else right - left
    return Car.parse(raw)
