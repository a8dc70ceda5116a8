"""The launch as the rest of the program asks it; the array library is loaded with the first one."""

from rules.launch.outlook import Model, Outlook, OutlookAsked
from rules.launch.proposed_change import Expected, ProposedChange
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

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        """Say what each of several ways to go on comes to.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.belief.ahead import look_ahead

        return look_ahead(question)

    def surprise(self, question: SurpriseAsked) -> Surprise | None:
        """Say how rare the last pass is by those before it; None where they taught nothing.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.belief.surprises import surprise

        return surprise(question)


launch_model: Model = LaunchModel()
