"""What a crew sees and measures of a pass, and how it answers: honest eyes, ordinary rulers.

How well rulers are read, and from where on eyes tell two launches apart: common practice, no
source.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log

import numpy as np

from rules.car.model import Car
from rules.crew import doubted_clock
from rules.crew.doubted_time import MEANT
from rules.launch.belief.faults import HARD_KNOCK_N, STAND_LINES_M, front_weight
from rules.launch.belief.how_bad import EDGES
from rules.launch.mechanics.scalars import SIXTY_FEET_M
from rules.launch.severity import PROMPTS, WORDS, how_bad
from rules.log.events.passes import MeasuredWhat
from rules.log.said import GOOD, SYMPTOMS, VERDICT, WHAT_ELSE
from rules.log.state import SIXTY_FOOT
from rules.practice.played_pass import PlayedPass
from rules.question import UNKNOWN, Given, Prompt
from rules.units import UNITS, Quantity

RING_M, LIFT_M, CLOCK_S = 0.0015, 0.012, 0.002
STANDS = ("none", "small", "big", "dangerous")
# What an eye takes for no change of a fault, as a share of it.
CLEARLY = 0.08
AT_STOP_M, NEAR_STOP_M, HARSH, MOVED_M = 0.001, 0.012, 3.0, 0.004
_TYRE_PIXELS = 400.0


@dataclass(frozen=True)
class Readings:
    """What was measured of one pass, in SI; None where there was nothing to measure.

    lift_m: greatest height of the front tyres.  ring_m: travel of the front wheels, by the O-ring.
    down_at_m: where the front came down.  sixty_s: the 60-foot on the slip.
    """

    lift_m: float | None
    ring_m: float | None
    down_at_m: float | None
    sixty_s: float | None


def readings(seen: PlayedPass) -> Readings:
    """Return what rulers and slip say of a pass: the same pass, the same readings."""
    rng = np.random.default_rng([seen.seed, 4, seen.number])
    lift_off, ring_off, clock_off = (float(one) for one in rng.standard_normal(3))
    columns, over = seen.outcome.columns, seen.outcome.over
    flew = columns["front_lift_max"] > STAND_LINES_M[0] and not over
    sixty = columns["t_60ft"]
    return Readings(
        lift_m=max(0.0, columns["front_lift_max"] + LIFT_M * lift_off) if flew else None,
        ring_m=None if over else max(0.0, _ring(seen) + RING_M * ring_off),
        down_at_m=columns["touchdown_x"] if flew and columns["touchdown_x"] > 0.0 else None,
        sixty_s=round(sixty + CLOCK_S * clock_off, 3) if sixty == sixty and not over else None,
    )


def measurements(seen: PlayedPass, car: Car) -> list[tuple[MeasuredWhat, dict[str, float]]]:
    """Return the readings as a crew types them in, in the car file's units."""
    read, length = readings(seen), UNITS[Quantity.LENGTH, car.units].si
    found: list[tuple[MeasuredWhat, dict[str, float]]] = []
    ratio = car.front.motion_ratio
    if read.ring_m is not None and ratio is not None:
        ring = round(read.ring_m * ratio / length, 3)
        found.append(("front ring", {"ring": ring, "braked": 0.0}))
    tyre = car.front.tyre_diameter_m
    if read.lift_m is not None and tyre is not None:
        gap = round(read.lift_m / tyre * _TYRE_PIXELS)
        found.append(("lift", {"tyre px": _TYRE_PIXELS, "gap": gap}))
    return found


def answer(
    prompt: Prompt, seen: PlayedPass, before: PlayedPass | None, treated: str | None
) -> Given | None:
    """Return how this crew answers a question about a pass; None where it is the hand's to answer.

    before: the pass before it.  treated: the symptom that the last change was made for.
    """
    open_ids = [one.id for one in prompt.choices if not one.why_not]
    if prompt.topic == SYMPTOMS:
        return tuple(one for one in seen.outcome.faults if one in open_ids) or (GOOD,)
    if prompt.topic == WHAT_ELSE:
        return ("nothing",)
    if prompt.topic == VERDICT:
        return _verdict(seen, before, treated)
    if prompt.topic == SIXTY_FOOT:
        return readings(seen).sixty_s or UNKNOWN
    if prompt.topic in (MEANT, doubted_clock.MEANT):
        return "keep"
    if prompt.id in PROMPTS:
        word = _how_bad(seen, prompt.id)
    elif reads := _READS.get(prompt.id):
        word = reads(seen)
    else:
        return UNKNOWN if prompt.unknown and prompt.kind == "one" and not prompt.about else None
    return word if word in open_ids else UNKNOWN if prompt.unknown else None


def _verdict(seen: PlayedPass, before: PlayedPass | None, treated: str | None) -> str:
    now = seen.outcome.faults
    then = before.outcome.faults if before else {}
    fault = treated if treated is not None else next(iter(then), "")
    has, had = now.get(fault, 0.0), then.get(fault, 1.0)
    if any(one not in then and times > max(has, 1.0) for one, times in now.items()):
        return "other"
    if not has:
        return "gone"
    change = log(has / had)
    return "same" if abs(change) < CLEARLY else "better" if change < 0.0 else "worse"


def _how_bad(seen: PlayedPass, prompt: str) -> str:
    symptom = next(one for one in EDGES if how_bad(one) == prompt)
    return WORDS[seen.outcome.how_bad(symptom)]


def _ring(seen: PlayedPass) -> float:
    return max(seen.outcome.columns["front_comp_max_after_td"], 0.0)


def _stand(seen: PlayedPass) -> str:
    return STANDS[3 if seen.outcome.over else seen.outcome.stand]


def _front_travel(seen: PlayedPass) -> str:
    left = seen.outcome.car["front_bump"] - _ring(seen)
    if left <= AT_STOP_M:
        return "at-stop"
    if left <= NEAR_STOP_M:
        return "near-stop"
    at_rest = float(front_weight(lambda name: np.asarray(seen.outcome.car[name])))
    load = seen.outcome.columns["front_tyre_load_max_after_td"]
    return "short-harsh" if load > HARSH * at_rest else "short-soft"


def _bars(seen: PlayedPass) -> str:
    if "bar_height" not in seen.outcome.car:
        return "hit" if "wheelie-bar-hits" in seen.outcome.faults else "clear"
    force = seen.outcome.columns["bar_force_max"]
    return "hit" if force > HARD_KNOCK_N else "touched" if force > 0.0 else "clear"


def _rear_motion(seen: PlayedPass) -> str:
    rise = seen.outcome.columns["rear_sep_0p1s"]
    return "separates" if rise > MOVED_M else "squats" if rise < -MOVED_M else "neither"


def _share_of_droop(seen: PlayedPass) -> float:
    droop = max(float(seen.outcome.car["rear_droop"]), 1e-3)
    return seen.outcome.columns["rear_ext_max_0p3s"] / droop


def _unload_when(seen: PlayedPass) -> str:
    columns = seen.outcome.columns
    if columns["bar_force_max"] > 0.0:
        return "bars"
    if _share_of_droop(seen) > 0.95:
        return "rear-droop"
    return "front-landed" if columns["front_lift_max"] > STAND_LINES_M[0] else "rear-fell"


def _hooked(seen: PlayedPass) -> str:
    faults = seen.outcome.faults
    if "spins-at-hit" in faults or "unloads-after-hit" in faults:
        return "spun"
    return "lazy" if "front-slow-to-rise" in faults else "yes"


_READS: Mapping[str, Callable[[PlayedPass], str]] = {
    "stand": _stand,
    "front-travel": _front_travel,
    "stop-meant": lambda seen: "landing" if _front_travel(seen) == "at-stop" else "braking",
    "travel-share": lambda s: (
        "half-or-less" if _ring(s) <= s.outcome.car["front_bump"] / 2 else "more"
    ),
    "carry": lambda s: "long" if s.outcome.columns["touchdown_x"] > SIXTY_FEET_M else "short",
    "bars": _bars,
    "rear-motion": _rear_motion,
    "tyre-hit": lambda s: "over" if s.outcome.columns["rear_sep_0p1s"] > 0.0 else "under",
    "rear-travel": lambda s: "most" if _share_of_droop(s) > 0.6 else "some",
    "on-lift": lambda s: "sinks" if s.outcome.settles_slowly or s.outcome.stand > 1 else "at-once",
    "bounces": lambda s: "several" if s.outcome.columns["n_reliftoffs_5mm"] >= 2 else "once",
    "top-out": lambda s: "bang" if "front-rises-violently" in s.outcome.faults else "no",
    "hooked": _hooked,
    "unload-when": _unload_when,
    "squat-when": lambda s: "stays",
    "rpm-drop": lambda s: "usual",
    "usual-stand": lambda s: "low" if s.outcome.stand < 2 else "high",
    "contact": lambda s: "none",
}
