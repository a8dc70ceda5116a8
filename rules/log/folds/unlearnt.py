"""Which passes the launch learns nothing from any more, since it was told to begin afresh."""

from rules.log.state import State


def unlearnt(state: State, taken_back: bool) -> tuple[frozenset[str], ...]:
    """Return the passes that teach nothing: all that are done, one that is talked about still does.

    taken_back: the latest fresh beginning is off again.
    """
    if taken_back:
        return state.unlearnt[:-1]
    return (*state.unlearnt, frozenset(run.id for run in state.runs if run.done))
