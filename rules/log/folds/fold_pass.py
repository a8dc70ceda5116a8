"""How slip and conditions of a pass move the state: the lane is one fact, whoever said it."""

from rules.log.events.passes import ConditionsNoted, SlipNoted
from rules.log.noted import Conditions
from rules.log.state import Run, State
from rules.passes.slip import Lane
from rules.replaced import replace

COMING = ""


def note_slip(state: State, body: SlipNoted) -> State:
    """Keep the latest slip of a pass; a lane it does not say stays as it was noted."""
    run = state.run(body.run)
    return _with_lane(state, replace(run, slip=body.slip), body.slip.lane)


def note_conditions(state: State, body: ConditionsNoted) -> State:
    """Keep what was noted before where this says nothing, unless the units are others now."""
    said = Conditions.of(body)
    if body.run == COMING:
        return replace(state, coming=state.coming.then(said) if state.coming else said)
    run = state.run(body.run)
    known = run.conditions.then(said) if run.conditions else said
    return _with_lane(state, replace(run, conditions=known), body.lane)


def take_over(state: State, run: Run) -> State:
    """Give a pass that was begun what was noted for it while it was still to come."""
    noted = state.coming
    if noted is None:
        return state
    return _with_lane(replace(state, coming=None), replace(run, conditions=noted), noted.lane)


def give_back(state: State, run: Run) -> State:
    """Keep what was noted of a pass that never ran for the one that comes instead."""
    noted = run.conditions
    if noted is None:
        return state
    return replace(state, coming=noted.then(state.coming) if state.coming else noted)


def _with_lane(state: State, run: Run, said: Lane | None) -> State:
    lane = said or run.lane
    if lane is not None:
        slip = run.slip and replace(run.slip, lane=lane)
        noted = run.conditions and replace(run.conditions, lane=lane)
        run = replace(run, lane=lane, slip=slip, conditions=noted)
    return state.with_run(run)
