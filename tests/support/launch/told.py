"""A launch for the tests: it forecasts what it is told to, and expects nothing of any way."""

from collections.abc import Callable

from rules.car.model import Car
from rules.launch.outlook import Outlook, OutlookAsked, Prospect
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.surprise import Surprise, SurpriseAsked

HOPELESS = Prospect(good=0.0, gone=0.0, better=0.0, harm=0.0, small=1.0, left=1.0)


class Told:
    """A launch that leaves the choice to the book."""

    def __init__(self, forecast: Callable[[ProposedChange], Expected]) -> None:
        self.forecast = forecast

    def __call__(self, question: ProposedChange) -> Expected:
        """Return what it is told to."""
        return self.forecast(question)

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        """Expect nothing of any way."""
        return hopeless(question)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        """Learn nothing."""

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        """Be surprised by nothing."""
        return None


def hopeless(question: OutlookAsked) -> Outlook:
    """Return that no way does anything."""
    ways = tuple(HOPELESS for _ in question.ways)
    return Outlook(ways, HOPELESS, goal="lift", version=1, seed=7, cars=9)
