"""A change that waits for its pass again: nothing lies on top of it any more, or it is whole now.

What counts is where everything stands, whichever road led there: ticked put-backs, a recount, a
turn made back by hand.
"""

from rules.log.changes import Change, is_in
from rules.log.events.changes import ChangeProposed, ChangeTakenUp, ChangeWithdrawn
from rules.log.events.event import Body
from rules.log.folds.waiting import NO_PASS, ON_TOP, OTHER_PARTS, TAKEN_BACK
from rules.log.state import State
from rules.log.state_after import after
from rules.log.work_orders import INSTEAD

PUT_RIGHT = "what was turned beside it is put right"


def can_be_taken_up(state: State, change: Change) -> bool:
    """Tell whether a change was set aside by the crew's own word, and no pass was made since."""
    by_word = change.set_aside not in ("", ON_TOP, NO_PASS, OTHER_PARTS, TAKEN_BACK)
    ran = any(run.number > change.passes and run.id not in change.runs for run in state.runs)
    return by_word and change.status in ("applied", "run") and not ran


def with_taken_up(state: State, bodies: list[Body]) -> list[Body]:
    """Add the events by which a change waits for its pass again, where these lead to it."""
    if not bodies or not state.changes:
        return bodies
    now = after(state, bodies)
    if now.changes == state.changes and now.settings == state.settings:
        return bodies
    return [*bodies, *(_uncovered(now) or _made_whole(state, now))]


def _uncovered(now: State) -> list[Body]:
    """Return what takes up the change under the latest turns, once the car stands as it left it."""
    later: list[Change] = []
    for change in now.changes.last_where("may wait under others", _may_wait):
        under = now.changes.place(change.id)
        if _ran_last(now, under + 1):
            continue
        later += reversed(now.changes[under + 1 : len(now.changes) - len(later)])
        if _is_covered(now, change) and _is_off(now, change, later):
            return _taken_up(now, change, later)
    return []


def _may_wait(change: Change) -> bool:
    """Tell whether a change, by itself, may be one that waited under others."""
    return change.off_why == INSTEAD or (
        change.status != "withdrawn" and change.set_aside in (ON_TOP, NO_PASS)
    )


def _ran_last(now: State, place: int) -> bool:
    """Tell whether the last pass was made since the change at a place, and as the car stands now.

    Then nothing under that change waits for a pass, and none of what came later is looked at.
    """
    if place >= len(now.changes) or not now.runs:
        return False
    run = now.runs[-1]
    return now.changes[place].passes < len(now.runs) and dict(run.settings) == dict(now.settings)


def _is_covered(now: State, change: Change) -> bool:
    """Tell whether another turn was made on a change that waited, and it was not put back since."""
    if change.off_why == INSTEAD:
        written_again = now.changes.find(_again(change)) is not None
        if change.origin == "own" or written_again or change.part is not None:
            return False
        return change.origin == "put back" or now.open_run is None
    return change.status != "withdrawn" and change.set_aside in (ON_TOP, NO_PASS)


def _is_off(now: State, change: Change, later: list[Change]) -> bool:
    """Tell whether nothing of what came later is on the car, and no pass was made so yet.

    An order that was only just written has turned nothing yet, and is no reason to drop it.
    """
    if not later or any(_is_only_written(one) or is_in(one) for one in later):
        return False
    stood = {step.turn.adjuster: step.now for step in change.steps}
    for one in later:
        stood |= {step.turn.adjuster: step.turn.before for step in one.steps}
    if any(now.settings.get(key) != value for key, value in stood.items()):
        return False
    since = now.runs[later[-1].passes :]
    return not any(dict(run.settings) == dict(now.settings) for run in since)


def _again(change: Change) -> str:
    """Return the id of an order that is written again, so that no name is made up here."""
    return f"{change.id}-again"


def _is_only_written(change: Change) -> bool:
    """Tell whether an order waits for its first turn; one of the crew's own began with a turn."""
    begun = any(step.moved for step in change.steps)
    return change.is_open and not begun and (change.origin != "own" or change.status == "proposed")


def _taken_up(now: State, change: Change, later: list[Change]) -> list[Body]:
    off: list[Body] = [
        ChangeWithdrawn(change=one.id, why=PUT_RIGHT)
        for one in reversed(later)
        if one.status != "withdrawn" and one.origin != "put back"
    ]
    if change.status != "withdrawn":
        with_more_on = any(one.runs for one in later)
        passes = len(now.runs) if with_more_on else 0
        return [*off, ChangeTakenUp(change=change.id, after=passes)]
    again = ChangeProposed(
        change=_again(change),
        origin=change.origin,
        title=change.title,
        turns=tuple(step.to_go for step in change.steps if step.now != step.turn.after),
        rule=change.rule,
        symptom=change.symptom,
        half_back=change.half_back,
        undoes=change.undoes,
        run=change.run,
    )
    return [*off, again]


def _made_whole(before: State, now: State) -> list[Body]:
    """Return what takes up the latest change once a side that had not moved with it is put right.

    The passes since were made without that side: none of them says what the whole change does.
    """
    put_right = {
        step.turn.adjuster
        for _, one in now.changes.changed_from(before.changes)
        if one is not None and one.origin == "put back" and not one.undoes
        if one.status == "applied" and _status(before, one) != "applied"
        for step in one.steps
        if step.moved
    }
    if not put_right:
        return []
    tried = next(now.changes.last_where("tried and not taken back", _stays_tried), None)
    if tried is None or not put_right & set(now.run(tried.runs[-1]).in_doubt):
        return []
    return [ChangeTakenUp(change=tried.id, after=len(now.runs))]


def _status(state: State, change: Change) -> str:
    before = state.changes.find(change.id)
    return before.status if before is not None else ""


def _stays_tried(change: Change) -> bool:
    return bool(change.runs) and change.origin != "put back" and change.status != "withdrawn"
