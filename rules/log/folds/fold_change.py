"""How a change lives: proposed, turned, run, judged, or withdrawn on the way."""

from collections.abc import Callable
from typing import get_args

from rules.car import titles
from rules.car.adjusters import Turn, adjusters
from rules.log.changes import Change, Happening, PartMade, Step, Verdict, advance
from rules.log.events.advice import Overridden
from rules.log.events.changes import (
    ChangeProposed,
    ChangeRetargeted,
    ChangeTakenUp,
    ChangeWithdrawn,
    PartChange,
    PartChangeMade,
    TurnDone,
    TurnReopened,
    TurnStopped,
)
from rules.log.events.event import Body
from rules.log.folds.due_again import advice_due, stand_at
from rules.log.folds.waiting import NO_PASS, ON_TOP, TAKEN_BACK, led_on, take_up
from rules.log.other_parts import parts_now
from rules.log.said import VERDICT, is_unjudged
from rules.log.state import State
from rules.replaced import replace

VERDICTS: tuple[Verdict, ...] = get_args(Verdict)


def on_change(state: State, body: Body) -> State:
    """Return the state after an event of a change.

    Raises:
        TypeError: the event is of no change.
    """
    match body:
        case ChangeProposed() | PartChange():
            return _propose(state, body)
        case PartChangeMade():
            change = state.change(body.change)
            made = replace(change, status=advance(change.status, "every turn made"))
            return _finish_put_back(advice_due(state.with_change(made)), body.change)
        case TurnDone():
            return _move(state, body.change, body.adjuster, lambda s: replace(s, state="done"))
        case TurnStopped():
            return _move(
                state,
                body.change,
                body.adjuster,
                lambda s: replace(s, state="stopped", reason=body.reason, reached=body.reached),
            )
        case TurnReopened():
            return _reopen(state, body)
        case ChangeRetargeted():
            return _retarget(state, body)
        case ChangeWithdrawn():
            change = state.change(body.change)
            off = replace(change, status=advance(change.status, "withdrawn"), off_why=body.why)
            return state.with_change(off)
        case ChangeTakenUp():
            return judged(take_up(state, body), body.change)
        case Overridden():
            return _override(state, body)
        case _:
            raise TypeError(f"no fold for {body.kind}")


def judged(state: State, change_id: str | None) -> State:
    """Let the latest pass that says something about a change be its verdict."""
    if change_id is None:
        return state
    change = state.change(change_id)
    made_with = [run for run in state.runs_of(change) if not is_unjudged(state, run)]
    said = [run.answers.get(VERDICT) for run in made_with]
    verdict = next((word for one in reversed(said) for word in VERDICTS if word == one), None)
    if verdict == change.verdict:
        return state
    change = replace(change, verdict=verdict)
    if change.status != "withdrawn":
        happening: Happening = "verdict taken back" if verdict is None else "verdict given"
        change = replace(change, status=advance(change.status, happening))
        if verdict is not None and change.set_aside == TAKEN_BACK:
            change = replace(change, set_aside="")
        if verdict is None and led_on(state, change):
            change = replace(change, set_aside=TAKEN_BACK)
    return state.with_change(change)


def _propose(state: State, body: ChangeProposed | PartChange) -> State:
    change = Change(
        id=body.change,
        origin=body.origin,
        title=body.title,
        steps=(),
        meeting=state.meeting.id if state.meeting else None,
        undoes=body.undoes,
        run=body.run,
        passes=len(state.runs),
        worth_s=state.worth_s,
        parts=parts_now(state),
    )
    if isinstance(body, PartChange):
        stood = {
            key: state.settings[key]
            for key, one in state.fitted.items()
            if one.part == "knob" and one.place in body.places
        }
        part = PartMade(body.what, body.places, body.strokes, body.before, body.after, stood)
        change = replace(change, part=part)
    else:
        change = replace(
            change,
            steps=tuple(Step(turn) for turn in body.turns),
            rule=body.rule,
            symptom=body.symptom,
            half_back=body.half_back,
        )
    waiting = state.open_change
    if waiting is not None and waiting.origin != "put back" and body.origin != "put back":
        own = body.origin == "own"
        under = replace(
            waiting,
            mixed=own or waiting.mixed,
            mixed_before=waiting.mixed,
            set_aside=ON_TOP if own else NO_PASS,
        )
        state = state.with_change(under)
        change = replace(change, mixed=own)
    return replace(state, changes=state.changes.plus(change))


def _move(state: State, change_id: str, adjuster: str, edit: Callable[[Step], Step]) -> State:
    change = state.change(change_id)
    step = next(step for step in change.steps if step.turn.adjuster == adjuster)
    edited = edit(step)
    state = state.with_change(change.with_step(edited))
    state = stand_at(state, adjuster, edited.now)
    return _finish_put_back(state, change_id)


def _reopen(state: State, body: TurnReopened) -> State:
    change = state.change(body.change)
    steps = tuple(
        replace(s, state="open", reason=None) if s.turn.adjuster == body.adjuster else s
        for s in change.steps
    )
    status = advance(change.status, "turn reopened")
    step = next(s for s in steps if s.turn.adjuster == body.adjuster)
    state = state.with_change(replace(change, steps=steps, status=status))
    return stand_at(state, body.adjuster, step.now)


def _retarget(state: State, body: ChangeRetargeted) -> State:
    change = state.change(body.change)
    reasons = {step.turn.adjuster: step.reason for step in change.steps}
    steps = tuple(
        Step(
            turn,
            "done" if state.settings[turn.adjuster] == turn.after else "open",
            reasons.get(turn.adjuster),
            state.settings[turn.adjuster],
        )
        for turn in body.turns
    )
    change = replace(change, steps=steps, title=_retitled(state, change, body.turns))
    if all(step.state == "done" for step in steps):
        change = replace(change, status=advance(change.status, "every turn made"))
    return _finish_put_back(state.with_change(change), body.change)


def _retitled(state: State, change: Change, turns: tuple[Turn, ...]) -> str:
    """Name a change by the turns it has now; a put-back keeps the name of where it goes."""
    if change.origin == "put back":
        return change.title
    title = titles.own_title if change.origin == "own" else titles.turn_title
    return title(turns, adjusters(state.described_car))


def _finish_put_back(state: State, change_id: str) -> State:
    put_back = state.change(change_id)
    if put_back.origin != "put back" or put_back.status != "applied":
        return state
    for undone in put_back.undoes:
        change = state.change(undone)
        if change.status != "withdrawn":
            state = state.with_change(replace(change, status=advance(change.status, "withdrawn")))
    return state


def _override(state: State, body: Overridden) -> State:
    if body.block == "open change" and body.change is not None:
        return state.with_change(replace(state.change(body.change), set_aside=body.reason))
    if body.run is not None:
        run = state.run(body.run)
        run = replace(run, control_skipped=True, given=None)
        return judged(state.with_run(run), run.change)
    return state
