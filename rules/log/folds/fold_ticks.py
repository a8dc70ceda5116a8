"""How the marks of a list move the state: those of a pass lie with it, however many there were."""

from collections.abc import Set

from rules.log.events.lists import ItemTicked
from rules.log.state import State
from rules.replaced import replace


def tick(state: State, body: ItemTicked) -> State:
    """Return the state with one item of a list marked."""
    run = state.runs.find(body.reason)
    if run is not None:
        marks = {**run.ticks, (body.inspection, body.item): body.mark}
        return state.with_run(replace(run, ticks=marks))
    key = (body.inspection, body.reason, body.item)
    return replace(state, ticked={**state.ticked, key: body.mark})


def unticked(state: State, lists: Set[tuple[str, str]]) -> State:
    """Return the state with the marks of lists off, each by its inspection and its reason."""
    for reason in {reason for _, reason in lists}:
        run = state.runs.find(reason)
        if run is not None:
            kept = {key: mark for key, mark in run.ticks.items() if (key[0], reason) not in lists}
            state = state.with_run(replace(run, ticks=kept))
    if not lists:
        return state
    return replace(
        state, ticked={key: mark for key, mark in state.ticked.items() if key[:2] not in lists}
    )
