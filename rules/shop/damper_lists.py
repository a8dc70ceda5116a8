"""What dampers and springs that were changed ask for before the car runs: their lists."""

from collections.abc import Iterator

from rules.log.dampers import JobKind
from rules.log.state import State

LISTS: dict[JobKind, str] = {
    "fitted": "damper-fitted",
    "opened": "damper-opened",
    "serviced": "",
    "spring": "springs-changed",
}
BEFORE_PASS = frozenset(filter(None, LISTS.values()))
"""Lists that hold the car and the advice, but no turn: the work they follow is not done before."""
BARE = "Nothing stands at the {}: the shop's damper sheet says what is fitted."


def asked_by_dampers(state: State) -> Iterator[tuple[tuple[str, str], str]]:
    """Yield list and reason with the words, of every job at the car and every bare corner.

    A damper that is opened on the bench or sent away asks for nothing until it is fitted.
    """
    for job in state.dampers.jobs:
        if LISTS[job.what] and job.places:
            yield (LISTS[job.what], job.id), job.says
    for corner in state.dampers.bare:
        reason = f"{corner} bare {len(state.dampers.jobs)}"
        yield (LISTS["fitted"], reason), BARE.format(corner)
