"""The state as it would be, before anything is written down."""

from collections.abc import Iterable
from datetime import UTC, datetime
from uuid import UUID

from rules.log.events.event import Body, Event
from rules.log.folds.fold import apply
from rules.log.state import State

_NOBODY = UUID(int=0)
_START = datetime(2000, 1, 1, tzinfo=UTC)


def after(state: State, bodies: Iterable[Body]) -> State:
    """Return the state after these bodies; the time stands still."""
    for body in bodies:
        at = state.now or _START
        state = apply(state, Event(id=_NOBODY, device="imagined", seq=1, at=at, body=body))
    return state
