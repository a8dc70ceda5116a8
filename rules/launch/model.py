"""The launch as the rest of the program asks it; the array library is loaded with the first one."""

from __future__ import annotations

from contextlib import suppress
from threading import Lock
from typing import TYPE_CHECKING

from rules.car.model import Car

if TYPE_CHECKING:
    from rules.launch.outlook import Model, Outlook, OutlookAsked
    from rules.launch.proposed_change import Expected, ProposedChange, Seen
    from rules.launch.surprise import Surprise, SurpriseAsked


class LaunchModel:
    """Asks the launch of the cloud of cars."""

    def __call__(self, question: ProposedChange) -> Expected:
        """Say what is expected of a change that the book proposes.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.forecast import forecast

        return forecast(question)

    def __init__(self) -> None:
        # Two threads that learn the same passes at once would each do all of the work.
        self._learning = Lock()

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        """Learn from passes before anything is asked; a car that is none teaches nothing."""
        from rules.launch.belief.ahead import latest
        from rules.launch.belief.learning import learnt
        from rules.launch.cloud.car_cloud import SEED

        with self._learning, suppress(ValueError):
            learnt(car, latest(passes), SEED)

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        """Say what each of several ways to go on comes to.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.belief.ahead import look_ahead

        with self._learning:
            return look_ahead(question)

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        """Say how rare the last pass is by those before it; None where they taught nothing.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.belief.surprises import surprise

        with self._learning:
            return surprise(question)


launch_model: Model = LaunchModel()
