"""The passes of other days, imported ones too, in the order run: they teach the forecast."""

from dataclasses import replace

from rules.advice.timed_passes import REMEMBERED, Timed, imported_times, pass_times
from rules.evidence.passes import PassTime
from rules.log.state import State


def earlier_times(state: State, timed: Timed) -> list[PassTime]:
    """Return the times of other meetings, and before them those that were imported."""
    imported = imported_times(state, timed)
    before = [replace(one, order=one.order - len(imported)) for one in imported]
    now = state.meeting.id if state.meeting else None
    meetings = dict.fromkeys(run.meeting for run in state.runs if run.meeting != now)
    others = [one for meeting in meetings for one in pass_times(state, meeting, timed)]
    return [*before, *others][-REMEMBERED:]
