"""Why a change that waited was set aside, and how it comes to wait for its pass again."""

from itertools import takewhile

from rules.log.changes import Change
from rules.log.events.changes import ChangeTakenUp
from rules.log.state import State
from rules.replaced import replace

ON_TOP = "another turn was made on top of it"
NO_PASS = "no pass said what it did"
OTHER_PARTS = "another damper, valving or spring came before its pass"
TAKEN_BACK = "its verdict was taken back after other changes"


def led_on(state: State, change: Change) -> bool:
    """Tell whether another change was made after this one; a put-back is none to judge."""
    later = takewhile(lambda one: one.id != change.id, reversed(state.changes))
    return any(one.origin != "put back" for one in later)


def take_up(state: State, body: ChangeTakenUp) -> State:
    """Let a change wait again; its open pass is advised about anew where it says nothing now."""
    change = state.change(body.change)
    change = replace(
        change,
        set_aside="",
        mixed=change.mixed_before if change.set_aside == ON_TOP else change.mixed,
        said_after=max(change.said_after, body.after),
    )
    run = state.open_run
    if run is not None and run.number <= body.after:
        state = state.with_run(replace(run, given=None, control_skipped=False))
    return state.with_change(change)
