"""How the engine breathes, as the crew said it once: an answer of the pass it was asked after."""

from rules.growing_sequence import Passing
from rules.log.state import Run, State
from rules.passes.breathing import KINDS, Breathing

BREATHING = "breathing"


def _says(run: Run) -> bool:
    return BREATHING in run.answers


ASKED = Passing(BREATHING, _says)


def is_said(state: State) -> bool:
    """Tell whether it was asked, even where nobody knew."""
    return next(state.runs.last_where(*ASKED), None) is not None


def breathing_of(state: State) -> Breathing | None:
    """Return what was said last; None where nobody said or knew."""
    latest = next(state.runs.last_where(*ASKED), None)
    said = latest.answers[BREATHING] if latest is not None else None
    return next((one for one in KINDS if one == said), None)
