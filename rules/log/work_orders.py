"""A change that could not be made as written: stopped, recounted or overtaken by another turn."""

from collections.abc import Callable
from dataclasses import replace

from rules.asked import SettleChoice
from rules.car.adjusters import Turn, adjusters
from rules.car.steps import cut, is_near_shut, moved
from rules.log.changes import ADVICE, Change, Step
from rules.log.events.car import Recounted
from rules.log.events.changes import (
    ChangeProposed,
    ChangeRetargeted,
    ChangeWithdrawn,
    TurnDone,
    TurnReopened,
    TurnStopped,
)
from rules.log.events.event import Body
from rules.log.events.passes import AnswerTakenBack
from rules.log.reach import is_out
from rules.log.state import State
from rules.log.state_after import after
from rules.log.way_back import undo_turns

INSTEAD = "another turn was made instead"
LEFT_OFF = "left off: not all could be put back"


def recount_bodies(state: State, adjuster: str, found: float) -> list[Body]:
    """Record a recount; a work order goes on from what was found.

    An order of which nothing is turned is withdrawn, so that its advice is given again.
    """
    recounted = Recounted(adjuster=adjuster, found=found)
    change = state.work_order
    if change is None or not change.turns(adjuster) or found == state.settings[adjuster]:
        return [recounted]
    if change.origin != "put back" and not any(step.moved for step in change.steps):
        withdrawn = ChangeWithdrawn(change=change.id, why="recounted before anything was turned")
        reopened = [AnswerTakenBack(run=change.run, prompt=ADVICE)] if change.run else []
        return [recounted, withdrawn, *reopened]
    turns = tuple(
        _from_found(state, change, step, found) if step.turn.adjuster == adjuster else step.turn
        for step in change.steps
    )
    return [recounted, ChangeRetargeted(change=change.id, turns=turns)]


def _from_found(state: State, change: Change, step: Step, found: float) -> Turn:
    """Return the turn of a step begun from what was found: to its goal, or by the same step."""
    if step.moved:
        return step.turn
    goal = step.turn.after
    if change.origin != "put back" and not _sets_valving(state, change):
        one = adjusters(state.described_car)[step.turn.adjuster]
        distance = goal - step.turn.before
        upward = distance * one.up(True) > 0
        wanted = round(abs(distance) / one.step)
        # From near shut the mechanics alone order more than a click, and both sides go as far.
        steps = cut(one, found, upward, wanted, opens_further=is_near_shut(one, step.turn.before))
        goal = moved(one, found, upward, steps)
    return Turn(adjuster=step.turn.adjuster, before=found, after=goal)


def _sets_valving(state: State, change: Change) -> bool:
    """Tell whether the counts of a change belong to a valving, wherever the knobs stood before."""
    fitted = adjusters(state.described_car)
    return any(fitted[step.turn.adjuster].part == "valving" for step in change.steps)


def no_more_put_backs(state: State) -> list[Body]:
    """Return the events that end every open put-back: another one takes its place."""
    return [
        ChangeWithdrawn(change=one.id, why="a new put-back takes its place")
        for one in state.changes
        if one.is_open and one.origin == "put back"
    ]


def half_made(state: State) -> str:
    """Say that a work order was begun and is not finished, or nothing."""
    order = state.work_order
    begun = order is not None and any(step.moved for step in order.steps)
    return f"the work order {order.title!r} is not finished" if order is not None and begun else ""


def overtaken_bodies(state: State, change: Change, made: list[Turn]) -> list[Body] | None:
    """Tick the turns of an order that were made without it; None where others were made."""
    wanted = {s.turn.adjuster: s.turn.after for s in change.steps if s.state == "open"}
    if not all(turn.adjuster in wanted for turn in made):
        return None
    return [
        TurnDone(change=change.id, adjuster=turn.adjuster)
        if turn.after == wanted[turn.adjuster]
        else TurnStopped(
            change=change.id, adjuster=turn.adjuster, reason="not done", reached=turn.after
        )
        for turn in made
    ]


def set_aside_bodies(state: State, change: Change) -> list[Body]:
    """Make room for another turn; an order that is half made stays on the car, mixed with it."""
    if change.origin == "put back":
        return leave_off_bodies(state, change, INSTEAD)
    if any(step.moved for step in change.steps):
        return []
    return [ChangeWithdrawn(change=change.id, why=INSTEAD)]


def leave_off_bodies(state: State, change: Change, why: str = LEFT_OFF) -> list[Body]:
    """End a put-back where it stands; the difference stays in the book."""
    touched = {step.turn.adjuster for step in change.steps if step.moved}
    return [
        ChangeWithdrawn(change=one.id, why=why if one is change else LEFT_OFF)
        for one in (change, *map(state.change, change.undoes))
        if one.status != "withdrawn"
        and (one is change or any(s.turn.adjuster in touched for s in one.steps))
    ]


def stop_bodies(
    state: State, change: Change, adjuster: str, reason: str, reached: float | None
) -> list[Body]:
    """Record a stopped turn; a change of which nothing moved is withdrawn at once."""
    stopped = TurnStopped.model_validate(
        {"change": change.id, "adjuster": adjuster, "reason": reason, "reached": reached}
    )
    now = after(state, [stopped]).change(change.id)
    nothing_left = now.next_step is None and not any(step.moved for step in now.steps)
    asked = reason == "cannot reach" and not is_out(state, adjuster)
    if reached is not None and nothing_left and change.origin != "put back" and not asked:
        return [stopped, ChangeWithdrawn(change=change.id, why=f"nothing moved: {reason}")]
    return [stopped]


def settle_bodies(
    state: State, change: Change, choice: SettleChoice, new_id: Callable[[], str]
) -> list[Body]:
    """Settle a part-applied change: try again, put back, even out, or leave a put-back off."""
    match choice:
        case SettleChoice.TRY_AGAIN:
            return [
                TurnReopened(change=change.id, adjuster=step.turn.adjuster)
                for step in change.stopped
            ]
        case SettleChoice.EVEN_OUT:
            return [ChangeRetargeted(change=change.id, turns=even_turns(state, change))]
        case SettleChoice.LEAVE_OFF:
            return leave_off_bodies(state, change)
    turns = undo_turns(state, [change])
    return [
        ChangeProposed(
            change=new_id(),
            origin="put back",
            title=f"Put back: {change.title}",
            turns=turns,
            undoes=(change.id,),
        )
    ]


def to_even(state: State, change: Change) -> tuple[Turn, ...]:
    """Return what evening a change out still turns, from where each side stands."""
    return tuple(
        replace(turn, before=state.settings[turn.adjuster])
        for turn in even_turns(state, change)
        if state.settings[turn.adjuster] != turn.after
    )


def _progress(step: Step) -> float:
    """Return how far a step went its own way; less than nothing if it went the other."""
    return step.moved if step.turn.after > step.turn.before else -step.moved


def even_turns(state: State, change: Change) -> tuple[Turn, ...]:
    """Return the change cut to the least movement that every side reached; none if one is nil.

    One that has no other side is cut to where it came out.

    A valving and its clicks are no sides of each other: there is nothing to even out.
    """
    fitted = adjusters(state.described_car)
    if not change.steps or _sets_valving(state, change):
        return ()
    least = min(_progress(step) / fitted[step.turn.adjuster].step for step in change.steps)
    if least < 1 - 1e-9:
        return ()
    turns = []
    for step in change.steps:
        one = fitted[step.turn.adjuster]
        sign = 1 if step.turn.after > step.turn.before else -1
        goal = round(step.turn.before + sign * int(least + 1e-9) * one.step, 6)
        turns.append(replace(step.turn, after=goal))
    return tuple(turns)
