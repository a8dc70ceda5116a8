"""How a record that the crew takes back leaves the state; the log keeps both."""

from rules.growing_sequence import GrowingSequence
from rules.log.events.car import Recounted
from rules.log.events.whole_log import RecordTakenBack
from rules.log.folds.fold_ticks import unticked
from rules.log.recounts import Recounting
from rules.log.state import Run, State
from rules.replaced import replace

AGAIN = "Its ticks were taken back: it is gone through again."


def take_off(state: State, body: RecordTakenBack) -> State:
    """Return the state as if the record had not been made."""
    match body.record:
        case "meeting":
            return _without_meeting(state, body.of)
        case "note":
            return _without_note(state, body.of)
        case "recount":
            return _without_recount(state, body.of)
        case "pair":
            return replace(state, split={**state.split, body.of: len(state.runs)})
        case "list":
            where = (body.part, body.of)
            return replace(unticked(state, {where}), owed={**state.owed, where: AGAIN})
        case "slip":
            return _with(state, replace(state.run(body.of), slip=None))
        case "conditions":
            return _with(state, replace(state.run(body.of), conditions=None))
        case "measured":
            run = state.run(body.of)
            kept = {what: one for what, one in run.measured.items() if what != body.part}
            return _with(state, replace(run, measured=kept))


def _with(state: State, changed: Run) -> State:
    lane = changed.slip.lane if changed.slip else None
    noted = changed.conditions.lane if changed.conditions else None
    changed = replace(changed, lane=lane or noted)
    return state.with_run(changed)


def _without_meeting(state: State, meeting_id: str) -> State:
    """Let the meeting before go on; what was done since belongs to it.

    Raises:
        LookupError: another meeting is on.
    """
    meeting = state.meeting
    if meeting is None or meeting.id != meeting_id:
        raise LookupError(f"meeting: found {meeting_id!r}; wanted the one that is on")
    before = state.meetings[-2].id if len(state.meetings) > 1 else None
    for run in reversed(state.runs):
        if run.number <= meeting.since:
            break
        state = state.with_run(replace(run, meeting=before))
    for one in reversed(state.changes):
        if one.passes < meeting.since:
            break
        if one.meeting == meeting_id:
            state = state.with_change(replace(one, meeting=before))
    return replace(
        state,
        meetings=state.meetings.but_last(),
        session=meeting.session_before,
        call_at=meeting.call_before,
    )


def _without_note(state: State, at: str) -> State:
    """Leave out the last note written at a time, as ISO 8601."""
    found = [n for n, one in enumerate(state.notes) if one.at.isoformat() == at]
    if not found:
        raise LookupError(f"note: found none written at {at}")
    kept = (one for n, one in enumerate(state.notes) if n != found[-1])
    return replace(state, notes=GrowingSequence(kept))


def remembered(before: State, now: State, body: Recounted) -> State:
    """Keep what a recount changed; one that was asked for can only be counted again."""
    kept = {key: one for key, one in now.recounts.items() if key != body.adjuster}
    if body.adjuster in before.to_recount or body.adjuster in before.disputed:
        return replace(now, recounts=kept)
    one = Recounting(
        found=body.found,
        before=before.settings[body.adjuster],
        since=before.known_since.get(body.adjuster, 0),
        runs=frozenset(
            run.id
            for was, run in now.runs.changed_from(before.runs)
            if was and run and body.adjuster in set(run.in_doubt) - set(was.in_doubt)
        ),
        changes=frozenset(
            one.id
            for had, one in now.changes.changed_from(before.changes)
            if had and one and one.in_doubt and not had.in_doubt
        ),
        split=before.split,
        turns=now.steps_stand,
    )
    return replace(now, recounts={**kept, body.adjuster: one})


def can_take_recount_off(state: State, adjuster: str) -> bool:
    """Tell whether nothing was turned or ordered since a recount."""
    one = state.recounts.get(adjuster)
    return one is not None and one.turns == state.steps_stand


def _without_recount(state: State, adjuster: str) -> State:
    one = state.recounts[adjuster]
    for run in filter(None, map(state.runs.find, one.runs)):
        kept = tuple(key for key in run.in_doubt if key != adjuster)
        state = state.with_run(replace(run, in_doubt=kept))
    for each in filter(None, map(state.changes.find, one.changes)):
        state = state.with_change(replace(each, in_doubt=False))
    known_since = {key: at for key, at in state.known_since.items() if key != adjuster}
    if one.since:
        known_since[adjuster] = one.since
    return replace(
        state,
        settings={**state.settings, adjuster: one.before},
        known_since=known_since,
        split=one.split,
        recounts={key: kept for key, kept in state.recounts.items() if key != adjuster},
    )
