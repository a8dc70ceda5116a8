"""What is asked of the cloud of cars about several ways to go on, and what it answers.

Only the words for it: the cloud itself is in `rules.launch.belief`, which needs the array library.
"""

from dataclasses import dataclass
from typing import Protocol

from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.pass_conditions import NOT_NOTED, PassConditions
from rules.launch.proposed_change import Effect, Expected, ProposedChange, Range, Seen
from rules.launch.surprise import Surprise, SurpriseAsked

# The place of turning nothing, where ways are told by their places.
NOTHING = -1


@dataclass(frozen=True)
class OutlookAsked:
    """Ways to go on that are weighed on the same cars.

    today: the settings the last pass was made with.  ways: whole sets of settings.
    symptoms: what is treated, the first before all.
    passes: what was seen so far, the oldest first; the last is the one that is answered.
    cars: how many cars of the cloud each way is launched on.
    coming: lane, air and track of the pass that comes, as far as they are noted.
    holds: whether the first way is launched with tyres that hold, too.
    """

    car: Car
    today: Settings
    ways: tuple[Settings, ...]
    symptoms: tuple[str, ...]
    passes: tuple[Seen, ...]
    cars: int
    coming: PassConditions = NOT_NOTED
    holds: bool = False


@dataclass(frozen=True)
class Prospect:
    """What a way comes to on the next pass, over the cloud.

    good: chance that the crew sees no fault at all.  gone: that what is treated is gone.
    better: that it is clearly less.  harm: that a danger is clearly worse than it was seen, a stand
    one band up, the landing newly at the stop, the bars newly hit, or a car that goes over.
    small: share of the cars that stay under a small stand.
    left: how far over their lines all faults still are, in the logarithm of their index.
    slower: what the 60-foot loses to today's settings in the middle of the cloud [s]; below 0 only
    where the times themselves say that a way back gains.
    then: chance that what is treated is gone by then, or by one more way after what is seen.
    if_same, if_worse: which way is then best, by its place, where the pass looks the same or worse;
    `NOTHING` for none. Counted from the settings before this way.
    """

    good: float
    gone: float
    better: float
    harm: float
    small: float
    left: float
    slower: float = 0.0
    then: float = 0.0
    if_same: int = NOTHING
    if_worse: int = NOTHING
    effects: tuple[Effect, ...] = ()


@dataclass(frozen=True)
class IfItHolds:
    """What the front does once grip comes back to tyres that spun or unloaded.

    stand: how high the front tyres go [m].  up: share of the cars on which the stand is a band
    higher than on the last pass, and big at least.
    """

    stand: Range
    up: float


@dataclass(frozen=True)
class Outlook:
    """The answer: a prospect for each way, and for a pass with the settings of the last one.

    cars: on which each way was launched.  cloud: how many there are to choose from.
    if_it_holds: of the first way, where it was asked.
    hardly_shown: the questions of which hardly any car would get the answer that was given.
    """

    ways: tuple[Prospect, ...]
    unchanged: Prospect
    goal: str
    version: int
    seed: int
    cars: int
    cloud: int = 0
    if_it_holds: IfItHolds | None = None
    hardly_shown: frozenset[str] = frozenset()


class Model(Protocol):
    """What the launch is asked through, so that the array library is loaded when it is needed."""

    def __call__(self, question: ProposedChange) -> Expected:
        """Say what is expected of a change that the book proposes."""
        ...

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        """Learn from passes before anything is asked, so that the answer is there sooner."""
        ...

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        """Say what each of several ways to go on comes to."""
        ...

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        """Say how rare the last pass is by those before it; None where they taught nothing."""
        ...
