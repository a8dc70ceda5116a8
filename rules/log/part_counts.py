"""Where the knobs stood before a part was changed, in the crew's words."""

from rules.car.adjusters import Turn
from rules.car.titles import counts_words
from rules.log.changes import Change
from rules.log.dampers import Job
from rules.log.state import State


def stood_before(state: State, job: Job, key: str) -> float:
    """Return where a knob stands by the book; of a part put back in, where it stood with it."""
    made = state.changes.find(job.change) if job.change else None
    undone = state.changes.find(made.undoes[0]) if made is not None and made.undoes else None
    stood = undone.part.stood if undone is not None and undone.part is not None else {}
    return stood.get(key, state.settings[key])


def counts_before(state: State, change: Change | None) -> str:
    """Say which counts go back with a part: those that stand otherwise now; empty where none do."""
    part = change.part if change is not None else None
    if part is None:
        return ""
    turns = [
        Turn(adjuster=key, before=state.settings[key], after=stood)
        for key, stood in part.stood.items()
        if state.settings.get(key, stood) != stood
    ]
    words = counts_words(turns, state.fitted)
    return f"Counts with it: {words}." if words else "Its knobs are counted again with it."
