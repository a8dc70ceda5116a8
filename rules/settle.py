"""A change that could not be made as written: stopped turns, and how they are settled."""

from collections.abc import Callable

from rules import events as ev
from rules.adjusters import adjusters
from rules.advice import Turn
from rules.after_verdict import undo_turns
from rules.changes import Change, Step
from rules.imagine import after
from rules.state import State


def stop_bodies(
    state: State, change: Change, adjuster: str, reason: str, reached: float | None
) -> list[ev.Body]:
    """Record a stopped turn; a change of which nothing moved is withdrawn at once."""
    stopped = ev.TurnStopped.model_validate(
        {"change": change.id, "adjuster": adjuster, "reason": reason, "reached": reached}
    )
    now = after(state, [stopped]).change(change.id)
    nothing_left = now.next_step is None and not any(step.moved for step in now.steps)
    if reached is not None and nothing_left and change.origin != "put back":
        return [stopped, ev.ChangeWithdrawn(change=change.id, why=f"nothing moved: {reason}")]
    return [stopped]


def settle_bodies(
    state: State, change: Change, choice: str, new_id: Callable[[], str]
) -> list[ev.Body]:
    """Settle a part-applied change: try again, put back, even out, or leave a put-back off."""
    match choice:
        case "try again":
            return [
                ev.TurnReopened(change=change.id, adjuster=step.turn.adjuster)
                for step in change.stopped
            ]
        case "even out":
            return [ev.ChangeRetargeted(change=change.id, turns=even_turns(state, change))]
        case "leave off":
            left_off = "left off: not all could be put back"
            touched = {step.turn.adjuster for step in change.steps if step.moved}
            return [
                ev.ChangeWithdrawn(change=one.id, why=left_off)
                for one in (change, *map(state.change, change.undoes))
                if one.status != "withdrawn"
                and (one is change or any(s.turn.adjuster in touched for s in one.steps))
            ]
    turns = undo_turns(state, [change])
    return [
        ev.ChangeProposed(
            change=new_id(),
            origin="put back",
            title=f"Put back: {change.title}",
            turns=turns,
            undoes=(change.id,),
        )
    ]


def _progress(step: Step) -> float:
    """Return how far a step went its own way; less than nothing if it went the other."""
    return step.moved if step.turn.after > step.turn.before else -step.moved


def even_turns(state: State, change: Change) -> tuple[Turn, ...]:
    """Return the change cut to the least movement that every side reached; none if one is nil."""
    assert state.car is not None
    fitted = adjusters(state.car)
    if len(change.steps) < 2:
        return ()
    least = min(_progress(step) / fitted[step.turn.adjuster].step for step in change.steps)
    if least < 1 - 1e-9:
        return ()
    turns = []
    for step in change.steps:
        one = fitted[step.turn.adjuster]
        sign = 1 if step.turn.after > step.turn.before else -1
        goal = round(step.turn.before + sign * int(least + 1e-9) * one.step, 6)
        turns.append(step.turn.model_copy(update={"after": goal}))
    return tuple(turns)
