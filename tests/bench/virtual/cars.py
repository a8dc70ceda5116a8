"""A car as it truly is: what its knobs and levers do to a launch, and what each pass finds.

All relations: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import exp

import numpy as np

from rules.car.adjusters import Settings
from rules.car.model import Car
from tests.bench.virtual.truth import Launching, Outcome, launch

PAIRS = ("left", "right")


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
            ends[end] = ends[end].turned(stroke, exp(low), exp(high))
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
