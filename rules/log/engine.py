"""How the engine breathes, as the crew said it once: an answer of the pass it was asked after."""

from rules.log.state import State
from rules.passes.breathing import KINDS, Breathing

BREATHING = "breathing"


def is_said(state: State) -> bool:
    """Tell whether it was asked, even where nobody knew."""
    return any(BREATHING in run.answers for run in state.runs)


def breathing_of(state: State) -> Breathing | None:
    """Return what was said last; None where nobody said or knew."""
    said = (run.answers[BREATHING] for run in reversed(state.runs) if BREATHING in run.answers)
    latest = next(said, None)
    return next((one for one in KINDS if one == latest), None)
