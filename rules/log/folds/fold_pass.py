"""How slip and conditions of a pass move the state: the lane is one fact, whoever said it."""

from rules.log import events as ev
from rules.log.state import Run, State
from rules.passes.slip import Lane
from rules.replaced import replace

COMING = ""


def note_slip(state: State, body: ev.SlipNoted) -> State:
    """Keep the latest slip of a pass; a lane it does not say stays as it was noted."""
    run = state.run(body.run)
    return _with_lane(state, replace(run, slip=body.slip), body.slip.lane)


def note_conditions(state: State, body: ev.ConditionsNoted) -> State:
    """Keep what was noted before where this says nothing, unless the units are others now.

    A dew point takes the place of a humidity and the other way round.
    """
    if body.run == COMING:
        return replace(state, coming=_merged(state.coming, body))
    run = state.run(body.run)
    return _with_lane(state, replace(run, conditions=_merged(run.conditions, body)), body.lane)


def take_over(state: State, run: Run) -> State:
    """Give a pass that was begun what was noted for it while it was still to come."""
    noted = state.coming
    if noted is None:
        return state
    noted = noted.model_copy(update={"run": run.id})
    run = replace(run, conditions=noted)
    return _with_lane(replace(state, coming=None), run, noted.lane)


def give_back(state: State, run: Run) -> State:
    """Keep what was noted of a pass that never ran for the one that comes instead."""
    if run.conditions is None:
        return state
    coming = run.conditions.model_copy(update={"run": COMING})
    return replace(state, coming=_merged(coming, state.coming) if state.coming else coming)


def _merged(before: ev.ConditionsNoted | None, body: ev.ConditionsNoted) -> ev.ConditionsNoted:
    if before is not None and before.units == body.units:
        said = body.model_dump(exclude_none=True)
        if "humidity" in said or "dew_point" in said:
            before = before.model_copy(update={"humidity": None, "dew_point": None})
        if "pressure" in said:
            before = before.model_copy(update={"pressure_kind": None})
        body = before.model_copy(update=said)
    return body


def _with_lane(state: State, run: Run, said: Lane | None) -> State:
    lane = said or run.lane
    if lane is not None:
        slip = run.slip and replace(run.slip, lane=lane)
        noted = run.conditions and run.conditions.model_copy(update={"lane": lane})
        run = replace(run, lane=lane, slip=slip, conditions=noted)
    return state.with_run(run)
