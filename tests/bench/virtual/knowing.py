"""The decider on a day on which it knows the true car: the same gates, prices and words.

What the tool's days come to over these is what not knowing the car costs; what these come to over
the oracle's, who tries all single turns, is what gates, prices and the crew's words cost.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from statistics import fmean, median

from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.belief.prospects import NEVER_THERE_S
from rules.launch.outlook import Model, Outlook, OutlookAsked, Prospect
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.surprise import Surprise, SurpriseAsked
from tests.bench.virtual.cars import Air, TrueCar
from tests.bench.virtual.faults import STAND_M, badness, clearly_worse, fault_of, faults_of
from tests.bench.virtual.oracle import around
from tests.bench.virtual.truth import Outcome


class Knowing:
    """Answers for the launch with what is true, but for the scatter of the pass to come."""

    def __init__(self, car: TrueCar, air: Callable[[], Air], believed: Model) -> None:
        self.car, self.air, self.believed = car, air, believed
        self._ran: dict[tuple[tuple[tuple[str, float], ...], Air], Outcome] = {}

    def __call__(self, question: ProposedChange) -> Expected:
        """Say of a change what is believed of it."""
        return self.believed(question)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        """Nothing is left to learn."""

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        """Nothing surprises."""
        return None

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        """Return what each way truly comes to."""
        believed = self.believed.look_ahead(replace(question, ways=question.ways[:1], cars=1))
        ways = tuple(self._prospect(question, one) for one in question.ways)
        unchanged = self._prospect(question, question.today)
        return replace(believed, ways=ways, unchanged=unchanged, hardly_shown=frozenset())

    def _prospect(self, question: OutlookAsked, settings: Settings) -> Prospect:
        before, after = self._over_airs(question.today), self._over_airs(settings)
        had, has = (
            [sum(_treated(one, question.symptoms).values()) for one in some]
            for some in (before, after)
        )
        gone = fmean(not one for one in has)
        return Prospect(
            good=fmean(not faults_of(one) for one in after),
            gone=gone,
            better=fmean(now < was for was, now in zip(had, has, strict=True)),
            harm=fmean(clearly_worse(was, now) for was, now in zip(before, after, strict=True)),
            small=fmean(one.lift < STAND_M for one in after),
            left=fmean(badness(one) for one in after),
            slower=max(0.0, _slower(before, after)),
            then=gone,
        )

    def _over_airs(self, settings: Mapping[str, float]) -> list[Outcome]:
        return [self._run(settings, one) for one in around(self.air())]

    def _run(self, settings: Mapping[str, float], air: Air) -> Outcome:
        key = (tuple(sorted(settings.items())), air)
        if key not in self._ran:
            self._ran[key] = self.car.run(settings, air)
        return self._ran[key]


def _treated(outcome: Outcome, symptoms: tuple[str, ...]) -> dict[str, float]:
    keys = set(map(fault_of, symptoms))
    return {name: how for name, how in faults_of(outcome).items() if name in keys}


def _slower(before: list[Outcome], after: list[Outcome]) -> float:
    """Return what the 60-foot loses [s]; a car that gets there no more loses more than any."""
    both = zip(before, after, strict=True)
    lost = [(now.sixty or was.sixty + NEVER_THERE_S) - was.sixty for was, now in both if was.sixty]
    return median(lost) if lost else 0.0
