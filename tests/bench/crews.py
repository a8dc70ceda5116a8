"""Simulated crews of invented cars: seeded passes, judged by the shipped functions after each one.

The scatter (0.012 s) and the drift (-0.004 s a pass) are the sizes that the checks name; common
practice, no source. One sigma of true effect is one scatter.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rules.evidence.passes import PassTime
from rules.evidence.priors import for_sixty
from rules.evidence.verdict import Word, judge
from rules.evidence.worth import USUAL_WORTH_S

SCATTER_S = 0.012
DRIFT_S = -0.004
SIXTY_S = 1.300
# Thirteen passes are twelve looks: one after each pass from the second on.
ALTERNATING = "ABABABABABABA"
PRIORS = for_sixty(SIXTY_S)


@dataclass(frozen=True)
class Look:
    """What was said after one more pass."""

    passes: int
    word: Word
    quicker: float


@dataclass(frozen=True)
class Car:
    """One car's day: the true effect of its change [s], every look, and the naive rule's word."""

    effect_s: float
    looks: tuple[Look, ...]
    naive: Word

    @property
    def first(self) -> Look | None:
        """The first look that told, where the crew stops."""
        return next((one for one in self.looks if one.word != "cannot tell"), None)

    @property
    def said(self) -> Word:
        """What the crew that stops there goes home with."""
        return "cannot tell" if self.first is None else self.first.word

    def ever(self, word: Word) -> bool:
        """Tell whether a crew that never stops is told this at any look."""
        return any(one.word == word for one in self.looks)


def run_cars(
    effects_s: Sequence[float],
    seed: int,
    drift_s: float | Sequence[float] = 0.0,
    scatter_s: float = SCATTER_S,
    order: str = ALTERNATING,
    worth_s: float = USUAL_WORTH_S,
) -> list[Car]:
    """Run one car for each true effect and judge it after every pass from the second on."""
    chance = np.random.default_rng(seed)
    drifts = np.broadcast_to(np.asarray(drift_s, dtype=float), (len(effects_s),))
    cars = []
    for effect, drift in zip(effects_s, drifts, strict=True):
        noise = chance.normal(0.0, scatter_s, len(order))
        passes = [
            PassTime(
                number,
                letter,
                SIXTY_S + effect * (letter == "B") + float(drift) * number + float(noise[number]),
            )
            for number, letter in enumerate(order)
        ]
        looks = []
        for count in range(2, len(order) + 1):
            verdict = judge(passes[:count], "A", "B", PRIORS, worth_s)
            looks.append(Look(count, verdict.word, verdict.quicker))
        first_new = order.index("B")
        faster = passes[first_new].value_s < passes[first_new - 1].value_s
        cars.append(Car(effect, tuple(looks), "helped" if faster else "hurt"))
    return cars


def either_way(sigmas: float, cars: int) -> list[float]:
    """Return true effects [s] of one size, half of them quicker and half slower."""
    return [sigmas * SCATTER_S * (-1 if number % 2 else 1) for number in range(cars)]


def share(cars: Sequence[Car], word: Word) -> float:
    """Return the share of crews that go home with this word."""
    return sum(one.said == word for one in cars) / len(cars)


def bins(cars: Sequence[Car], looks: int | None = None) -> list[tuple[int, float, float]]:
    """Return for each tenth of the stated chance: looks, mean stated, share truly quicker."""
    stated: list[list[tuple[float, float]]] = [[] for _ in range(10)]
    for car in cars:
        for look in car.looks[:looks]:
            place = min(9, int(look.quicker * 10))
            stated[place].append((look.quicker, 0.5 if car.effect_s == 0 else car.effect_s < 0))
    return [
        (len(one), float(np.mean([s for s, _ in one])), float(np.mean([t for _, t in one])))
        if one
        else (0, float("nan"), float("nan"))
        for one in stated
    ]
