"""What a crew sees, says and measures of a launch: right nine times in ten, and never exact.

How often a crew is wrong, and by how much: common practice, no source.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from rules.car.model import Car
from rules.launch.severity import BADLY, LITTLE, PLAINLY, PROMPTS, WORDS, how_bad
from rules.log.said import GOOD
from rules.question import UNKNOWN, Prompt
from tests.bench.virtual.faults import (
    AT_STOP_M,
    FAULTS,
    GEAR_CHANGE,
    HARSH,
    HELD_M,
    HIT_N,
    SLOW_M,
    STAND_M,
    TOUCHED_N,
    fault_of,
    faults_of,
    stand,
)
from tests.bench.virtual.truth import SIXTY_FEET_M, Launching, Outcome

STANDS = ("none", "small", "big", "dangerous")
# From how bad on a crew calls a fault plain, and bad: "about 1 plainly", see `faults.FAULTS`.
PLAIN, BAD = 0.75, 1.5
VERDICTS = ("gone", "better", "same", "worse")
# A word for a fault moves by this much of it before a crew calls it otherwise.
CLEARLY = 0.15
A_BLINK_S = 0.2


@dataclass(frozen=True)
class Crewman:
    """How well a crew sees.

    wrong: share of its answers that are another one.  unknown: share that are "don't know".
    verdict: share of its verdicts that are right.  ring_m, lift_m, clock_s: spread of its rulers.
    tells_ring, tells_lift, tells_slip: share of passes on which it says what it read.
    """

    wrong: float = 0.1
    unknown: float = 0.05
    verdict: float = 0.75
    ring_m: float = 0.003
    lift_m: float = 0.05
    clock_s: float = 0.005
    tells_ring: float = 0.0
    tells_lift: float = 0.0
    tells_slip: float = 0.8


def crewman(rng: np.random.Generator, noise: float = 1.0) -> Crewman:
    """Draw a crew: a third measures much, a third a little, a third not at all."""
    ring, lift = ((0.9, 0.6), (0.5, 0.2), (0.0, 0.0))[int(rng.integers(3))]
    return Crewman(
        wrong=0.1 * noise,
        unknown=0.05 * noise,
        verdict=1.0 - 0.25 * noise,
        ring_m=0.003 * noise,
        lift_m=0.05 * noise,
        clock_s=0.005 * noise,
        tells_ring=ring,
        tells_lift=lift,
    )


class Eyes:
    """One crew looking at one pass."""

    def __init__(
        self, crew: Crewman, rng: np.random.Generator, car: Launching, seen: Outcome, file: Car
    ) -> None:
        self.crew, self.rng, self.car, self.seen, self.file = crew, rng, car, seen, file
        # How bad it was is drawn aside, so that days with and without the question are alike.
        self.aside = rng.spawn(1)[0]
        self.asked: dict[str, int] = {}
        self.said: dict[str, Any] = {}

    def symptom(self, fault: str) -> str:
        """Return how the crew names a fault: a car that lets go at the shift is named by that."""
        late = any(t <= self.seen.let_go <= t + length + 0.3 for t, _, length in self.car.dips)
        return GEAR_CHANGE if fault == "unloads-after-hit" and late else fault

    def named(self, at_once: int = 1) -> list[str]:
        """Return the symptoms that the crew names: the worst, now and then another or none."""
        faults = [self.symptom(one) for one in faults_of(self.seen)]
        if not faults:
            return [GOOD]
        if len(faults) > 1 and self.rng.random() < self.crew.wrong:
            faults = faults[1:]
        mild = max(faults_of(self.seen).values()) < 0.6
        if mild and self.rng.random() < self.crew.wrong:
            return [GOOD]
        both = len(faults) > 1 and self.rng.random() < 0.35
        return faults[: max(at_once, 2 if both else 1)]

    def verdict(self, fault: str | None, before: Outcome | None) -> str:
        """Return the crew's word for what became of a fault."""
        now, then = faults_of(self.seen), faults_of(before) if before else {}
        key = fault_of(fault or "")
        had, has = then.get(key, 0.5), now.get(key, 0.0)
        word = "gone" if has == 0.0 else "same"
        if has > 0.0 and abs(has - had) > CLEARLY * max(had, 0.3):
            word = "better" if has < had else "worse"
        if self.rng.random() > self.crew.verdict:
            place = VERDICTS.index(word) + (1 if self.rng.random() < 0.5 else -1)
            word = VERDICTS[min(max(place, 0), 3)]
        new = [one for one in now if one not in then and now[one] > max(has, 0.5)]
        return "other" if new and word in ("same", "better", "worse") else word

    def answer(self, prompt: Prompt) -> str | None:
        """Return what the crew says to a question of the book; None where it has no idea of it."""
        ids = [one.id for one in prompt.choices if not one.why_not]
        if prompt.id in self.said:
            return str(self.said[prompt.id])
        again = self.asked.get(prompt.id, 0)
        self.asked[prompt.id] = again + 1
        reads = _READS.get(prompt.id)
        if reads is None:
            return None
        word = reads(self)
        rng = self.aside if prompt.id in PROMPTS else self.rng
        if not again and prompt.unknown and rng.random() < self.crew.unknown:
            return UNKNOWN
        if len(ids) > 1 and rng.random() < self.crew.wrong:
            word = _beside(prompt.id, word, ids, rng)
        word = word if word in ids else UNKNOWN if prompt.unknown else ids[0]
        self.said[prompt.id] = word
        return word

    def how_bad(self, fault: str) -> str:
        """Return the word for how bad a fault truly was; one that is not there is but little.

        Where the words on the screen hold numbers, the crew goes by them.
        """
        if fault in _IN_WORDS:
            told = _IN_WORDS[fault](self.seen)
            return WORDS[max(sum(value > edge for edge in edges) for value, edges in told)]
        how = faults_of(self.seen).get(fault, 0.0)
        return BADLY if how >= BAD else PLAINLY if how >= PLAIN else LITTLE

    def measured(self) -> list[tuple[str, dict[str, float]]]:
        """Return what was measured on the pass, as the screen takes it, in the file's units."""
        found: list[tuple[str, dict[str, float]]] = []
        seen, ratio = self.seen, self.file.front.motion_ratio or 0.9
        if self.rng.random() < self.crew.tells_ring and seen.ring > 0.0:
            ring = seen.ring + self.crew.ring_m * float(self.rng.standard_normal())
            found.append(
                (
                    "front ring",
                    {"ring": round(max(ring, 0.0) * ratio * 1000.0), "ratio": ratio, "braked": 0},
                )
            )
        if self.rng.random() < self.crew.tells_lift and seen.lift > 0.02 and not seen.over:
            lift = seen.lift + self.crew.lift_m * float(self.rng.standard_normal())
            tyre = self.file.front.tyre_diameter_m or 0.65
            gap = round(max(lift, 0.0) / tyre * 400.0)
            found.append(("lift", {"tyre": round(tyre * 1000.0), "tyre px": 400.0, "gap": gap}))
        return found

    @property
    def sixty(self) -> float | None:
        """The time on the slip, if it was a pass and the slip was kept."""
        if not self.seen.sixty or self.rng.random() > self.crew.tells_slip:
            return None
        return round(self.seen.sixty + self.crew.clock_s * float(self.rng.standard_normal()), 3)


def _beside(prompt: str, word: str, ids: list[str], rng: np.random.Generator) -> str:
    """Return a wrong answer: the next band where there are bands, any other otherwise."""
    bands = STANDS if prompt == "stand" else WORDS if prompt in PROMPTS else ()
    if word in bands:
        place = bands.index(word) + (1 if rng.random() < 0.5 else -1)
        return bands[min(max(place, 0), len(bands) - 1)]
    others = [one for one in ids if one != word]
    return others[int(rng.integers(len(others)))]


def _front_travel(eyes: Eyes) -> str:
    seen = eyes.seen
    left = seen.bump - seen.ring - eyes.crew.ring_m * float(eyes.rng.standard_normal()) / 3.0
    if left <= AT_STOP_M:
        return "at-stop"
    if left <= 0.012:
        return "near-stop"
    return "short-harsh" if seen.load > HARSH else "short-soft"


def _travel_share(eyes: Eyes) -> str:
    ring = eyes.seen.ring + eyes.crew.ring_m * float(eyes.aside.standard_normal())
    return "half-or-less" if ring <= eyes.seen.bump / 2.0 else "more"


def _bars(eyes: Eyes) -> str:
    if eyes.car.bars is None:
        return "none"
    force = eyes.seen.bars
    return "hit" if force > HIT_N else "touched" if force > TOUCHED_N else "clear"


def _rear_motion(eyes: Eyes) -> str:
    return (
        "separates" if eyes.seen.sep > 0.004 else "squats" if eyes.seen.sep < -0.004 else "neither"
    )


def _unload_when(eyes: Eyes) -> str:
    seen = eyes.seen
    if seen.bars > 300.0:
        return "bars"
    if seen.rear_droop > 0.95:
        return "rear-droop"
    if seen.lift > 0.02 and seen.let_go > seen.airborne:
        return "front-landed"
    return "rear-fell" if seen.squat > 0.5 else "nothing"


def _gear_change(eyes: Eyes) -> str:
    return "nose-drop" if eyes.seen.lift > 0.05 else "flare"


def _hooked(eyes: Eyes) -> str:
    seen = eyes.seen
    if seen.spin_hit > 0.05 or seen.spin_late > 0.1:
        return "spun"
    return "lazy" if seen.rise < SLOW_M else "yes"


_IN_WORDS: Mapping[str, Callable[[Outcome], tuple[tuple[float, tuple[float, float]], ...]]] = {
    "front-bounces": lambda o: ((o.hop, (0.05, 0.1)),),
    "front-carries": lambda o: ((o.lift, (0.4, 0.5)), (o.down_at, (23.0, 30.0))),
    "nose-stays-high": lambda o: ((max(o.nose - o.held, o.nose - 0.13), (0.025, 0.05)),),
    "spins-at-hit": lambda o: ((o.spin_hit + o.spin_late, (A_BLINK_S, 1.0 / 3.0)),),
    "unloads-after-hit": lambda o: ((o.spin_late, (A_BLINK_S, 0.5)),),
}
"""By fault what the question how bad it was holds in numbers: a value with the edges between its
words. A blink lasts some 0.2 s; from memory."""

_READS: Mapping[str, Callable[[Eyes], str]] = {
    "stand": lambda e: STANDS[stand(e.seen.lift)],
    "front-travel": _front_travel,
    "travel-share": _travel_share,
    "stop-meant": lambda e: "landing" if e.seen.ring >= e.seen.bump - AT_STOP_M else "braking",
    "carry": lambda e: "long" if e.seen.down_at > SIXTY_FEET_M else "short",
    "bars": _bars,
    "rear-motion": _rear_motion,
    "tyre-hit": lambda e: "over" if e.seen.sep > 0.0 else "under",
    "rear-travel": lambda e: "most" if e.seen.rear_droop > 0.6 else "some",
    "on-lift": lambda e: "sinks" if e.seen.nose > e.seen.held + HELD_M else "at-once",
    "bounces": lambda e: "several" if e.seen.hops >= 2 else "once",
    "top-out": lambda e: "bang" if e.seen.bang > 6000.0 else "no",
    "hooked": _hooked,
    "unload-when": _unload_when,
    "gear-change": _gear_change,
    "squat-when": lambda e: "stays",
    "rpm-drop": lambda e: "usual",
    "usual-stand": lambda e: "low" if e.seen.lift < STAND_M else "high",
    "contact": lambda e: "none",
    "shake": lambda e: "mild",
    "steering-feel": lambda e: "light",
    "body-temperature": lambda e: "warm",
    "rod-return": lambda e: "alike",
    "staging": lambda e: "same",
    **{how_bad(fault): partial(Eyes.how_bad, fault=fault) for fault in FAULTS},
}
