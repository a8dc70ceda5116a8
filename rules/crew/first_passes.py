"""The first passes on dampers nobody has run here: how far each goes, and what is looked at after.

Common practice, no source.
"""

from rules.advice.safety.dangers import front_danger_of
from rules.advice.safety.gates import is_danger
from rules.book import Book
from rules.log.rounds import Round
from rules.log.said import named_symptoms
from rules.log.state import Run, State

SHEET = "dampers"
SHORT, SIXTY, FULL = "short hit", "60-foot", "full pass"
LOOK = {
    SHORT: "short hit, off the throttle before the front is high: O-rings, leaks, hoses, marks",
    SIXTY: "to the 60-foot: how high, how it came down, both O-rings, does it go straight",
    FULL: "full pass, only after both before it were clean: the settle, light steering, shake",
}


def steps_from(first: str) -> list[str]:
    """Return the steps of the plan, from the one that the crew begins with."""
    steps = [SHORT, SIXTY, FULL]
    return steps[steps.index(first) :] if first in steps else steps


def next_pass(state: State, book: Book) -> str:
    """Say which step of the plan the coming pass is, with its abort point; empty without a plan.

    A pass that was not clean is no step: the same one comes again.
    """
    plan = _plan(state)
    if plan is None or plan.closed is None:
        return ""
    closed = plan.closed
    ran = [run for run in state.runs if run.at > closed]
    clean = sum(_is_clean(state, book, run) for run in ran)
    steps = steps_from(str(plan.answers.get("far", SHORT)))
    if clean >= len(steps):
        return ""
    axle, abort = plan.answers.get("axle"), plan.answers.get("abort")
    is_again = bool(ran) and not _is_clean(state, book, ran[-1])
    again = " again, for the last was not clean" * is_again
    return (
        f"First passes, {axle} dampers, {clean + 1} of {len(steps)}{again}: {LOOK[steps[clean]]}. "
        f"Abort point: {abort}."
    )


def _is_clean(state: State, book: Book, run: Run) -> bool:
    """Tell whether a pass showed no danger and nothing that has to be inspected."""
    named = frozenset(named_symptoms(state, run))
    return not is_danger(named, run.answers, book) and front_danger_of(state, run) is None


def _plan(state: State) -> Round | None:
    """Return the latest start setting that was finished."""
    rounds = reversed(state.sheets.get(SHEET, ()))
    return next((one for one in rounds if one.closed and one.answers.get("job") == "start"), None)
