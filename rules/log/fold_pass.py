"""How slip and conditions of a pass move the state: the lane is one fact, whoever said it."""

from dataclasses import replace

from rules.log import events as ev
from rules.log.state import Run, State
from rules.passes.slip import Lane


def note_slip(state: State, body: ev.SlipNoted) -> State:
    """Keep the latest slip of a pass; a lane it does not say stays as it was noted."""
    run = state.run(body.run)
    return _with_lane(state, replace(run, slip=body.slip), body.slip.lane)


def note_conditions(state: State, body: ev.ConditionsNoted) -> State:
    """Keep what was noted before where this says nothing, unless the units are others now.

    A dew point takes the place of a humidity and the other way round.
    """
    run = state.run(body.run)
    before = run.conditions
    if before is not None and before.units == body.units:
        said = body.model_dump(exclude_none=True)
        if "humidity" in said or "dew_point" in said:
            before = before.model_copy(update={"humidity": None, "dew_point": None})
        if "pressure" in said:
            before = before.model_copy(update={"pressure_kind": None})
        body = before.model_copy(update=said)
    return _with_lane(state, replace(run, conditions=body), body.lane)


def _with_lane(state: State, run: Run, said: Lane | None) -> State:
    lane = said or run.lane
    if lane is not None:
        slip = run.slip and replace(run.slip, lane=lane)
        noted = run.conditions and run.conditions.model_copy(update={"lane": lane})
        run = replace(run, lane=lane, slip=slip, conditions=noted)
    return state.with_run(run)
