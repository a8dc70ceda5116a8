"""What the end of a merge does to the state: passes closed, counts that are disputed."""

from datetime import datetime

from rules.growing_sequence import GrowingSequence
from rules.log.events.passes import PassImported
from rules.log.events.whole_log import LogsMerged
from rules.log.state import State
from rules.passes.slip import Slip
from rules.replaced import replace


def join(state: State, body: LogsMerged) -> State:
    """Return the state that two logs add up to.

    A pass that was left open on one laptop while another ran is closed; a count on which the two
    differ waits for a recount, which moves no baseline; a slip that both imported is there once.
    """
    imported: dict[tuple[datetime, Slip], PassImported] = {}
    for one in state.imported:
        imported.setdefault((one.when, one.slip), one)
    runs = state.runs
    for run in state.left_open:
        runs = runs.having(replace(run, done=True))
    disputed = {key: both for key, both in body.counts.items() if key in state.settings}
    return replace(
        state,
        runs=runs,
        imported=GrowingSequence(imported.values()),
        to_recount={**{key: {} for key in disputed}, **state.to_recount},
        disputed={**state.disputed, **disputed},
    )


def agreed(state: State, adjuster: str) -> State:
    """Return the state once a disputed adjuster was counted: an ordinary recount goes on from here.

    One that the car file reads otherwise too keeps waiting for that.
    """
    disputed = {key: both for key, both in state.disputed.items() if key != adjuster}
    waiting = {key: nets for key, nets in state.to_recount.items() if key != adjuster or nets}
    return replace(state, disputed=disputed, to_recount=waiting)
