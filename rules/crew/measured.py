"""What a crew measures on a pass with a phone, an O-ring and a tape: the questions, the number with
its spread, and the band of the question it belongs to. Optional everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import cos, hypot, radians
from typing import TYPE_CHECKING

from rules.car.body import Axle
from rules.car.model import Car
from rules.log.reading_bounds import end_in, was_braked
from rules.log.state import Run, State
from rules.passes.from_video import (
    Estimate,
    airborne_time,
    lift_height,
    ring_compression,
    scraped,
    touchdown_speed,
)
from rules.passes.reading_ends import BRAKED
from rules.question import UNKNOWN, Choice, Prompt
from rules.units import UNITS, Quantity, System

if TYPE_CHECKING:
    from rules.log.events.passes import Measured, MeasuredWhat
    from rules.log.noted import AsMeasured

Inputs = Mapping[str, float]
# How well a ring on a shaft and a tape under a part are read, on either side; common practice.
RING_GIVE_M = 0.001
TAPE_GIVE_M = 0.002
STAND, FRONT_TRAVEL = "stand", "front-travel"


@dataclass(frozen=True)
class AskFor:
    """One number to ask for; bounds in SI where it has a quantity. `known` reads it off the car."""

    question: str
    low: float
    high: float
    quantity: Quantity | None = None
    unit: str = ""
    whole: bool = False
    known: Callable[[Car], float | None] = lambda car: None


@dataclass(frozen=True)
class Kind:
    """One thing to measure. `work_out` takes its numbers in SI."""

    name: str
    quantity: Quantity | None
    asked: Mapping[str, AskFor]
    work_out: Callable[[Inputs], Estimate]
    hint: str = ""


def _ratio(end: str) -> Callable[[Car], float | None]:
    def known(car: Car) -> float | None:
        axle: Axle = getattr(car, end)
        if axle.motion_ratio is None:
            return None
        return axle.motion_ratio * cos(radians(axle.damper_angle or 0.0))

    return known


_TYRE = AskFor(
    "Diameter of the tyre in the picture?", 0.3, 1.2, Quantity.LENGTH,
    known=lambda car: car.front.tyre_diameter_m,
)  # fmt: skip
_TYRE_PX = AskFor("Height of that tyre in the picture?", 10, 10_000, unit="pixels")
_RATE = AskFor("Frames per second of the film?", 10, 2000, unit="1/s")
_SIDE = "From the side, level with the hub; tyre and gap in the same picture."


_DIVES = AskFor("Was it braked hard before the ring was read?", 0, 1, whole=True)
_DIVED = (
    Choice("no", "No: it rolled out, or the ring was read before the brakes"),
    Choice("yes", "Yes, hard"),
)
# Nobody knows: then the ring may show the dive, and says only that the landing used no more.
BRAKED_AS = {"no": 0.0, "yes": 1.0, UNKNOWN: 1.0}


def _ring(end: str) -> Kind:
    return Kind(
        f"O-ring on the {end} damper shaft",
        Quantity.LENGTH,
        {
            "ring": AskFor("From the seal to the ring, at ride height?", 0.0, 0.5, Quantity.LENGTH),
            "ratio": AskFor(
                "Damper travel over wheel travel (motion ratio)?", 0.1, 1.5, known=_ratio(end)
            ),
            **({BRAKED: _DIVES} if end == "front" else {}),
        },
        lambda of: Estimate(ring_compression(of["ring"], of["ratio"]), RING_GIVE_M / of["ratio"]),
        "The ring at the seal before the pass; read before lifting the car.",
    )


def _touchdown(of: Inputs) -> Estimate:
    scale = of["tyre"] / of["tyre px"]
    early, late = (
        lift_height(of["tyre"], of["tyre px"], of[gap]) for gap in ("earlier gap", "last gap")
    )
    frames = int(of["frames"])
    speed = touchdown_speed(of["last gap"] * scale, of["earlier gap"] * scale, frames, of["rate"])
    return Estimate(speed, hypot(early.give, late.give) * of["rate"] / frames)


KINDS: dict[MeasuredWhat, Kind] = {
    "lift": Kind(
        "Height of the front tyre, in a picture",
        Quantity.LENGTH,
        {
            "tyre": _TYRE,
            "tyre px": _TYRE_PX,
            "gap": AskFor("Gap under it at the highest?", 0, 10_000, unit="pixels"),
        },
        lambda of: lift_height(of["tyre"], of["tyre px"], of["gap"]),
        _SIDE,
    ),
    "airborne": Kind(
        "Time in the air, in a film",
        None,
        {
            "frames": AskFor("Frames with daylight under the tyre?", 1, 10_000, whole=True),
            "rate": _RATE,
        },
        lambda of: airborne_time(int(of["frames"]), of["rate"]),
    ),
    "touchdown": Kind(
        "Touchdown speed, in a film",
        Quantity.PISTON_SPEED,
        {
            "tyre": _TYRE,
            "tyre px": _TYRE_PX,
            "earlier gap": AskFor("Gap a few frames before it lands?", 1, 10_000, unit="pixels"),
            "last gap": AskFor("Gap in the last frame before it lands?", 0, 10_000, unit="pixels"),
            "frames": AskFor("Frames from the one to the other?", 1, 1000, whole=True),
            "rate": _RATE,
        },
        _touchdown,
        _SIDE,
    ),
    "front ring": _ring("front"),
    "rear ring": _ring("rear"),
    "scrape": Kind(
        "Scrape marks under a part",
        Quantity.LENGTH,
        {
            "clearance": AskFor("Clearance under that part at rest?", 0.005, 1.0, Quantity.LENGTH),
            "depth": AskFor("Metal worn off it?", 0.0, 0.05, Quantity.LENGTH),
        },
        lambda of: Estimate(scraped(of["clearance"], of["depth"]), TAPE_GIVE_M),
        "Metal met the road: report it with x as well.",
    ),
}


def question(kind: Kind, key: str, system: System) -> Prompt:
    """Return the question for one number, in the crew's unit."""
    asked = kind.asked[key]
    if key == BRAKED:
        hint = "Brakes dive the nose and push the ring on: then the landing used that much at most."
        return Prompt(key, asked.question, choices=_DIVED, hint=hint, unknown=True)
    size = UNITS[asked.quantity, system].si if asked.quantity else 1.0
    unit = UNITS[asked.quantity, system].name if asked.quantity else asked.unit
    low, high = (float(f"{end / size:.4g}") for end in (asked.low, asked.high))
    return Prompt(key, asked.question, "number", hint=kind.hint, low=low, high=high, unit=unit)


def still_asked(kind: Kind, car: Car) -> list[str]:
    """Return the numbers to ask for: those that the car file does not say."""
    return [key for key, asked in kind.asked.items() if asked.known(car) is None]


def measured(state: State, what: MeasuredWhat, given: Inputs) -> Measured:
    """Return the event of a measurement on the pass talked about, or the last.

    given: by the keys of the kind, in the crew's units; what the car file says may be left out.

    Raises:
        ValueError: no pass, a number that is missing, strange or out of bounds, or an
            impossible picture.
    """
    if not state.runs or state.car is None:
        raise ValueError("no pass is in the log yet; measure after it")
    kind, system = KINDS[what], state.car.units
    if strange := sorted(set(given) - set(kind.asked)):
        raise ValueError(f"found {strange[0]!r}, wanted {', '.join(kind.asked)}")
    values: dict[str, float] = {}
    for key, asked in kind.asked.items():
        if key == BRAKED:
            # What was recorded before anybody asked says nothing of it.
            values |= {key: given[key]} if key in given else {}
            continue
        known = asked.known(state.car)
        if key not in given:
            if known is None:
                raise ValueError(f"{key}: missing")
            values[key] = known
            continue
        prompt = question(kind, key, system)
        if asked.whole and given[key] % 1.0:
            raise ValueError(f"{key}: found {given[key]:g}, wanted a whole number")
        if not prompt.low <= given[key] <= prompt.high:
            wanted = f"{prompt.low:g} to {prompt.high:g} {prompt.unit}".strip()
            raise ValueError(f"{key}: found {given[key]:g}, wanted {wanted}")
        size = UNITS[asked.quantity, system].si if asked.quantity else 1.0
        values[key] = given[key] * size
    reading = kind.work_out(values)
    from rules.log.events.passes import Measured

    return Measured(
        run=state.runs[-1].id, what=what, value=reading.value, give=reading.give, inputs=values
    )


def told(body: AsMeasured, car: Car) -> str:
    """Say a measurement with its spread, and the answer it is where it is one."""
    kind = KINDS[body.what]
    unit = UNITS[kind.quantity, car.units] if kind.quantity else None
    size, name = (unit.si, unit.name) if unit else (1.0, "s")
    digits = 1 if name == "in" else 2 if name == "s" else 0
    end = end_in(body, car)
    least = f"{end} " if end in ("at most", "at least") else ""
    value, give = body.value / size, body.give / size
    text = f"{least}{value:.{digits}f} {name}, give or take {give:.{digits}f}"
    band = band_of(body, car)
    return f"{text}: {band}" if band else text


def band_of(body: AsMeasured, car: Car) -> str:
    """Return the answer that a measurement is, both where its spread reaches over the line."""
    if body.what == "lift":
        lines = [("under {12 in|0.3 m}", 0.3), ("{12 to 24 in|0.3 to 0.6 m}", 0.6)]
        size = 0.3048 / 0.3 if car.units == "us" else 1.0
        ends = [body.value - body.give, body.value + body.give]
        names = [
            next((name for name, top in lines if end < top * size), "over {24 in|0.6 m}")
            for end in ends
        ]
        return " or ".join(dict.fromkeys(names))
    if body.what == "front ring" and car.front.bump_travel_m is not None:
        there = car.front.bump_travel_m
        if was_braked(body.inputs) and body.value + body.give >= there:
            return "near the stop, by the landing or by the brakes"
        if body.value - body.give >= there:
            return "at the stop"
        return (
            "short of the stop" if body.value + body.give < there else "at the stop or just short"
        )
    return ""


def hinted(prompt: Prompt, state: State) -> Prompt:
    """Return a question with what was measured on this pass beside it; the crew still answers."""
    what: MeasuredWhat | None = {STAND: "lift", FRONT_TRAVEL: "front ring"}.get(prompt.id)  # type: ignore[assignment]
    run: Run | None = state.open_run
    body = run.measured.get(what) if run is not None and what is not None else None
    if body is None or state.car is None:
        return prompt
    return replace(prompt, hint=f"Measured: {told(body, state.car)}.")
