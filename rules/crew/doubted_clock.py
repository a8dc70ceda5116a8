"""A pass that is dated before the one before it is asked back, once.

A clock was set back then, or had a wrong date. No time that was noted is ever moved: what was meant
stays an answer of the pass, for whoever reads the log.
"""

from rules.log.call_time import went_back
from rules.log.state import Run, State
from rules.moments import day_and_clock
from rules.question import UNKNOWN, Choice, Prompt

MEANT = "dated-before"
NOW, BEFORE, KEEP = "now", "before", "keep"


def open_doubt(state: State, run: Run) -> Run | None:
    """Return the pass before, where the clock went back since and nobody said why yet."""
    before = pass_before(state, run)
    is_asked = before is not None and MEANT not in run.answers and went_back(before.at, run.at)
    return before if is_asked else None


def pass_before(state: State, run: Run) -> Run | None:
    """Return the pass that was noted before a pass; None where it is the first."""
    place = state.runs.place(run.id)
    return state.runs[place - 1] if place else None


def prompt(run: Run, before: Run) -> Prompt:
    """Ask which of two clocks is wrong; letters answer."""
    return Prompt(
        MEANT,
        f"It is dated {day_and_clock(run.at)}, before pass {before.number} at "
        f"{day_and_clock(before.at)}. Which is wrong?",
        choices=(
            Choice(NOW, "The clock now: it was set back, or has a wrong date", key="t"),
            Choice(BEFORE, f"The clock at pass {before.number}: it was ahead", key="e"),
            Choice(KEEP, "Neither: both are as it was", key="y"),
            Choice(UNKNOWN, "Nobody knows", key="i"),
        ),
        hint="No time is moved: the log keeps both, and what you say.",
        default=UNKNOWN,
    )
