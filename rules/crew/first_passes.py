"""The first passes on dampers nobody has run here: how far each goes, and what is looked at after.

Common practice, no source.
"""

from rules.log.state import Round, State

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


def next_pass(state: State) -> str:
    """Say which step of the plan the coming pass is, with its abort point; empty without a plan."""
    plan = _plan(state)
    if plan is None or plan.closed is None:
        return ""
    closed = plan.closed
    ran = sum(run.at > closed for run in state.runs)
    steps = steps_from(str(plan.answers.get("far", SHORT)))
    if ran >= len(steps):
        return ""
    axle, abort = plan.answers.get("axle"), plan.answers.get("abort")
    return (
        f"First passes, {axle} dampers, {ran + 1} of {len(steps)}: {LOOK[steps[ran]]}. "
        f"Abort point: {abort}."
    )


def _plan(state: State) -> Round | None:
    """Return the latest start setting that was finished."""
    rounds = reversed(state.sheets.get(SHEET, ()))
    return next((one for one in rounds if one.closed and one.answers.get("job") == "start"), None)
