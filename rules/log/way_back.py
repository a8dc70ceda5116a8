"""Where the car can be put back to: the last change undone, a baseline; and which meeting to."""

from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.log.changes import Change, is_in
from rules.log.other_parts import ASKED_OF_CHANGES, other_parts, part_mark, part_marks
from rules.log.state import Baseline, Meeting, State


def baseline_turns(state: State) -> tuple[Turn, ...]:
    """Return the turns that put the car back: on the ground first, then front to rear."""
    if state.baseline is None or state.car is None:
        return ()
    fitted = adjusters(state.car)
    goals = {
        key: no_less(fitted[key], goal)
        for key, goal in state.baseline.settings.items()
        if key in fitted
    }
    off = [
        Turn(adjuster=key, before=state.settings[key], after=goal)
        for key, goal in goals.items()
        if state.settings[key] != goal
    ]
    return tuple(sorted(off, key=lambda turn: work_order(fitted[turn.adjuster])))


def parts_off_baseline(state: State) -> list[Change]:
    """Return the changes of a part that are on the car and not in the baseline, the first first."""
    if state.baseline is None:
        return []
    named = part_marks(state, state.baseline.parts)
    on = [one for one in state.changes.where(*ASKED_OF_CHANGES) if is_in(one)]
    return [one for one in on if not named[part_mark(one)]]


def no_less(one: Adjuster, goal: float) -> float:
    """Return a goal, for a tyre pressure at least the maker's minimum."""
    return goal if one.makers_minimum is None else max(goal, one.makers_minimum)


def last_change(state: State) -> Change | None:
    """Return the latest change of which something is still on the car.

    What was turned on a damper that is off is not on the car.
    """
    for change in reversed(state.changes):
        on_the_car = change.is_made and not other_parts(state, change)
        if on_the_car and change.origin != "put back" and change.status != "withdrawn":
            return change
    return None


def older_baselines(state: State) -> list[Baseline]:
    """Return the baselines that are not in force, the latest first, each name once."""
    in_force = state.baseline
    latest = {one.name: one for one in state.baselines}
    return [one for one in reversed(latest.values()) if one is not in_force]


def meeting_named(state: State, name: str) -> Meeting | None:
    """Return the latest meeting of a name, however it is spaced and capitalized."""
    wanted = " ".join(name.split()).casefold()
    named = [one for one in state.meetings if " ".join(one.name.split()).casefold() == wanted]
    return named[-1] if named else None


def other_meetings(state: State) -> list[Meeting]:
    """Return the meetings of the log that are not on, the latest first, each once."""
    latest = {one.id: one for one in state.meetings if state.meeting and one.id != state.meeting.id}
    return list(reversed(latest.values()))


def work_order(one: Adjuster) -> tuple[bool, bool, str]:
    """Return where a job stands in the order of work: on the ground first, then front to rear."""
    return (one.lift_car, one.axle != "front", one.id)


def undo_turns(state: State, changes: list[Change]) -> tuple[Turn, ...]:
    """Return the turns that put changes back to where each adjuster stood before the first."""
    goal: dict[str, float] = {}
    for change in changes:
        for step in change.steps:
            if step.moved:
                goal.setdefault(step.turn.adjuster, step.turn.before)
    return tuple(
        Turn(adjuster=key, before=state.settings[key], after=value)
        for key, value in goal.items()
        if key in state.settings and state.settings[key] != value
    )


def just_undone(state: State, turns: tuple[Turn, ...]) -> bool:
    """Tell whether the last thing done to the car was to put back these very turns."""
    last = state.changes[-1] if state.changes else None
    undone = last.undoes if last is not None and last.origin == "put back" else ()
    goals = {turn.adjuster: turn.after for turn in turns}
    return any(
        goals == {step.turn.adjuster: step.turn.after for step in state.change(one).steps}
        for one in undone
    )
