"""A count read by hand: where it stands, and the passes and changes that it puts in doubt."""

from rules.car.adjusters import adjusters
from rules.log.events.car import Recounted
from rules.log.folds.due_again import stand_at
from rules.log.folds.fold_car import found_again
from rules.log.folds.fold_merge import agreed
from rules.log.folds.record_off import remembered
from rules.log.said import parts_changed
from rules.log.state import State
from rules.replaced import replace


def recounted(state: State, body: Recounted) -> State:
    """Return the state after a recount, with what it changed, so that it can be taken back."""
    return remembered(state, _counted(_with_split(state, body), body), body)


def _counted(state: State, body: Recounted) -> State:
    booked = state.settings[body.adjuster]
    since = max(state.known_since.get(body.adjuster, 0), _said_to_move(state, body.adjuster))
    if body.adjuster in state.disputed:
        state = agreed(state, body.adjuster)
    if body.adjuster in state.to_recount:
        state = found_again(state, body.adjuster, body.found)
        return stand_at(state, body.adjuster, body.found)
    state = stand_at(state, body.adjuster, body.found)
    if body.found == booked:
        return state
    doubted = state.runs[since:]
    for run in doubted:
        state = state.with_run(replace(run, in_doubt=(*run.in_doubt, body.adjuster)))
    for change in dict.fromkeys(run.change for run in doubted):
        if change is not None:
            state = state.with_change(replace(state.change(change), in_doubt=True))
    return state


def _with_split(state: State, body: Recounted) -> State:
    """Remember a recount that finds a side of a pair elsewhere: it may have broken the pair."""
    if body.found == state.settings[body.adjuster]:
        return state
    return replace(state, split={**state.split, body.adjuster: len(state.runs)})


def _said_to_move(state: State, adjuster: str) -> int:
    """Return how many passes were run before the crew last said that a lever was changed."""
    part = adjusters(state.described_car)[adjuster].part
    changed = state.runs.last_where("something was changed", lambda run: bool(parts_changed(run)))
    return next((run.number - 1 for run in changed if part in parts_changed(run)), 0)
