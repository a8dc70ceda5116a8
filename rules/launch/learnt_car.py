"""What the launch has learnt of a car and of the crew that sees it: only the words for it.

It is worked out in `rules.launch.belief.account`, which needs the array library.
"""

from dataclasses import dataclass
from typing import Literal

from rules.launch.proposed_change import Range

Strength = Literal["weak", "as usual", "strong"]
Hears = Literal["earlier", "as most", "later"]


@dataclass(frozen=True)
class LeverLearnt:
    """How strongly a lever acts against what a typical one does, or the file says.

    lever: an adjuster, the first of its pair.  strength: on most of the cars, `share` of them [-].
    turned: whether the passes were made with more than one setting of it.
    """

    lever: str
    strength: Strength
    share: float
    turned: bool


@dataclass(frozen=True)
class LineLearnt:
    """Where this crew begins to name a symptom, against most crews, on `share` of the cars."""

    symptom: str
    hears: Hears
    share: float


@dataclass(frozen=True)
class LearntCar:
    """What the passes of a car have taught.

    passes: that it was learnt from.  cars: it was read from.
    lift: of the front tyres at today's settings [m].  stands: shares of none, small, big, dangerous
    there.
    """

    passes: int
    cars: int
    levers: tuple[LeverLearnt, ...]
    lift: Range
    stands: tuple[float, float, float, float]
    lines: tuple[LineLearnt, ...]
