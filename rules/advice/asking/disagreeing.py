"""Whether two passes that contradict each other are worth a question."""

from rules.advice.earlier_passes import teaches
from rules.launch.proposed_change import missing
from rules.log.said import GOOD, named_symptoms
from rules.log.state import Run, State
from rules.log.two_passes import contradicted, is_settled


def disagrees(state: State, run: Run) -> Run | None:
    """Return the pass that a pass contradicts, where an answer would weigh in the advice, once.

    None where no launch can learn from the two, where the car is good now, and where the crew was
    asked about these settings before.
    """
    if state.car is None or missing(state.car) or GOOD in named_symptoms(state, run):
        return None
    if not teaches(state, run) or is_settled(state, run):
        return None
    other = contradicted(state, run)
    return other if other is not None and teaches(state, other) else None
