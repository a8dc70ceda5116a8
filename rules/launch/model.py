"""The launch as the rest of the program asks it; the array library is loaded with the first one."""

from rules.launch.proposed_change import Expected, ProposedChange
from rules.launch.weighing import Model, Weighed, Weighing


class LaunchModel:
    """Asks the launch of the cloud of cars."""

    def __call__(self, question: ProposedChange) -> Expected:
        """Say what is expected of a change that the book proposes.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.forecast import forecast

        return forecast(question)

    def weigh(self, question: Weighing) -> Weighed:
        """Say what each of several ways to go on comes to.

        Raises:
            ValueError: numbers that no car can have.
        """
        from rules.launch.belief.weigh import weigh

        return weigh(question)


launch_model: Model = LaunchModel()
