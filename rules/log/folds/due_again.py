"""When an open advice is due again: it was given for other settings, another time or other air."""

from rules.log.state import State
from rules.replaced import replace


def advice_due(state: State) -> State:
    """Drop an advice that was given for other settings or another time, until it is settled."""
    run = state.open_run
    return state if run is None else state.with_run(replace(run, given=None))


def advice_put_by(state: State) -> State:
    """Let an advice be due again in what was noted; until then a log may still settle it."""
    run = state.open_run
    if run is None or run.given is None:
        return state
    return state.with_run(replace(run, given=None, put_by=run.given))


def stand_at(state: State, adjuster: str, value: float) -> State:
    """Let an adjuster stand at a number, as of the passes so far."""
    state = replace(
        state,
        settings={**state.settings, adjuster: value},
        known_since={**state.known_since, adjuster: len(state.runs)},
    )
    return advice_due(state)
