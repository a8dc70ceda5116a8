"""A change that was made whole, or left alone, after its pass is run before another turn."""

from itertools import islice

from rules.advice.candidates import Considered
from rules.advice.situation import Situation
from rules.car.steps import lets_front_rise
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change


def made_whole(now: Situation, _considered: Considered) -> Draft | None:
    """Return the pass that a change waits for since it was made whole; None where none does.

    After danger too, unless what was put right lets the front rise more: the whole change is a
    setting that no pass has shown, and not the car sent out again as it was.
    """
    change = now.state.open_change
    if change is None or now.run.control_skipped or change.said_after < now.run.number:
        return None
    if now.danger and _rose(now):
        return None
    return Draft(
        kind="control",
        title="Run the change that is on the car first: turn nothing more",
        cause=f"No pass has had it whole and alone: {change.title}.",
        why="One more turn on top would be two changes at once, and neither would be known.",
        expect="What the change does, good or bad.",
        look_for="The same fault as before, and whether both sides now do the same.",
        cautions=("Look both counts over once more before the pass.",),
    )


def _rose(now: Situation) -> bool:
    """Tell whether what was put right last lets the front rise more than before."""
    made = now.state.changes.last_where("is a put-back", _is_put_back)
    last = islice(made, 1)
    steps = [step for one in last for step in one.steps if step.turn.adjuster in now.fitted]
    return any(
        lets_front_rise(one, step.moved * one.up(True) > 0)
        for step in steps
        if step.moved
        for one in (now.fitted[step.turn.adjuster],)
    )


def _is_put_back(change: Change) -> bool:
    return change.origin == PUT_BACK
