"""A change that was made whole after its pass is run before anything is stacked on it."""

from rules.adjusters import Adjuster
from rules.advice import Draft
from rules.situation import Situation
from rules.steps import lets_front_rise


def made_whole(now: Situation) -> Draft | None:
    """Return the pass that a change waits for since it was made whole; None where none does.

    After danger too, unless what was put right lets the front rise more: the whole change is a
    setting that no pass has shown, and not the car sent out again as it was.
    """
    change = now.state.open_change
    if change is None or now.run.control_skipped or change.said_after < now.run.number:
        return None
    if now.danger and any(_rose(now, key) for key in now.run.in_doubt if key in now.fitted):
        return None
    return Draft(
        kind="control",
        title="Run the whole change first: turn nothing more",
        cause="A side of it was put right after this pass: no pass has had all of it yet.",
        why="One more turn on top would be two changes at once, and neither would be known.",
        expect="What the whole change does, good or bad.",
        look_for="The same fault as before, and whether both sides now do the same.",
        cautions=("Look both counts over once more before the pass.",),
    )


def _rose(now: Situation, key: str) -> bool:
    """Tell whether an adjuster that was put right since lets the front rise more than before."""
    one: Adjuster = now.fitted[key]
    moved = next(
        step.moved
        for change in reversed(now.state.changes)
        if change.origin == "put back"
        for step in change.steps
        if step.turn.adjuster == key
    )
    return lets_front_rise(one, moved * one.up(True) > 0)
