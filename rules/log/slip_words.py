"""A time slip in the crew's units: seconds, and mph or km/h."""

from dataclasses import replace

from rules.log.state import SIXTY_FOOT, Run
from rules.passes.slip import FIELDS, Slip
from rules.units import System


def slip_of(run: Run) -> Slip:
    """Return the slip of a pass, with the 60-foot that was answered where it has none itself."""
    slip = run.slip or Slip()
    answered = run.answers.get(SIXTY_FOOT)
    if slip.sixty_s is None and isinstance(answered, int | float):
        return replace(slip, sixty_s=float(answered))
    return slip


def number_words(key: str, value: float, system: System) -> str:
    """Write one number of a slip without its name: 1.312, or 104.25 for a speed."""
    one = FIELDS[key]
    return f"{value / one.size(system):.{2 if one.quantity else 3}f}"
