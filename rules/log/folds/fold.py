"""The fold: how each event moves the state. Nothing here decides, it only remembers."""

from collections.abc import Callable, Iterable
from datetime import timedelta
from functools import reduce
from typing import get_args

from rules.asked import AdviceChoice
from rules.car import titles
from rules.car.adjusters import Settings, Turn, adjusters
from rules.log import events as ev
from rules.log.call_time import later
from rules.log.changes import ADVICE, RAN, Change, Happening, PartMade, Step, advance
from rules.log.folds.fold_car import described, found_again
from rules.log.folds.fold_dampers import baseline_said, on_dampers
from rules.log.folds.fold_merge import agreed, join
from rules.log.folds.fold_pass import give_back, note_conditions, note_slip, take_over
from rules.log.folds.fold_sheet import on_sheet
from rules.log.folds.fold_ticks import tick
from rules.log.folds.record_off import remembered, take_off
from rules.log.folds.unlearnt import unlearnt
from rules.log.folds.waiting import NO_PASS, ON_TOP, TAKEN_BACK, led_on, take_up
from rules.log.noted import Given, Measurement
from rules.log.other_parts import parts_now
from rules.log.said import VERDICT, is_unjudged, parts_changed
from rules.log.state import Baseline, Meeting, Note, Run, State
from rules.replaced import replace

VERDICTS: tuple[ev.Verdict, ...] = get_args(ev.Verdict)
CONTROL_SKIP = AdviceChoice.SKIP_CONTROL
PUT_BACK = "put back"


def fold(events: Iterable[ev.Event], state: State | None = None) -> State:
    """Return the state after all events, starting from `state` or from nothing."""
    return reduce(apply, events, state or State())


def apply(state: State, event: ev.Event) -> State:
    """Return the state after one more event."""
    after = replace(_apply(state, event), events=state.events + 1, now=event.at)
    if after.call_at is None:
        return after
    doubted = after.clock_went_back
    return replace(after, call_said=later(after.call_said, event.at), call_doubted=doubted)


def _apply(state: State, event: ev.Event) -> State:
    body = event.body
    match body:
        case ev.CarDescribed():
            fitted = adjusters(state.car) if state.car else {}
            return _advice_due(described(replace(state, car=body.car), fitted))
        case ev.MeetingOpened():
            on = (len(state.runs), state.session, state.call_at, state.stands)
            meeting = Meeting(body.meeting, body.name, *on)
            return replace(
                state,
                meetings=state.meetings.plus(meeting),
                session=body.session,
                call_at=None,
                coming=None,
            )
        case ev.SessionChanged():
            return replace(state, session=body.session)
        case ev.CallTimeGiven(minutes=minutes):
            call_at = None if minutes is None else event.at + timedelta(minutes=minutes)
            said = replace(state, call_at=call_at, call_said=event.at, call_doubted=False)
            return _advice_due(said)
        case ev.BaselineDeclared():
            goals = {**_goals_unfitted(state), **body.settings}
            parts = parts_now(state)
            baseline = Baseline(body.baseline, body.name, goals, event.at, body.facts, parts)
            return baseline_said(replace(state, baselines=(*state.baselines, baseline)))
        case ev.PassRun():
            return _run(state, event, body)
        case ev.Answered():
            return _answer(state, body)
        case ev.Measured():
            run = state.run(body.run)
            return _change_run(
                state, replace(run, measured={**run.measured, body.what: Measurement.of(body)})
            )
        case ev.AnswerTakenBack():
            return _take_back(state, body)
        case ev.ItemTicked():
            return tick(state, body)
        case ev.DamageReported():
            return replace(state, damage={**state.damage, body.report: body.found})
        case ev.AdviceGiven():
            given = Given(body.stored)
            return _change_run(state, replace(state.run(body.run), given=given, put_by=None))
        case ev.AdviceSettled():
            run = state.run(body.run)
            settled = (*run.settled, body.choice)
            skipped = run.control_skipped or body.choice == CONTROL_SKIP
            settles = run.given or run.put_by
            run = replace(
                run,
                settled=settled,
                done=body.done,
                given=settles if body.done else None,
                put_by=None,
                settled_last=settles,
                control_skipped=skipped,
            )
            return _judge(_change_run(state, run), run.change)
        case ev.Recounted():
            return remembered(state, _recount(_with_split(state, body), body), body)
        case ev.PairSettled(adjuster=adjuster, choice=choice):
            asked = {key: since for key, since in state.split.items() if key != adjuster}
            later = {adjuster: len(state.runs) + 1} if choice == "later" else {}
            return replace(state, split={**asked, **later})
        case ev.NoteAdded():
            return replace(state, notes=state.notes.plus(Note(body.text, event.at, body.run)))
        case ev.RecordTakenBack():
            state = take_off(state, body)
            return _judged_again(state, body.of) if body.record == "slip" else _advice_due(state)
        case ev.ListOwed():
            owed = {**state.owed, (body.inspection, body.reason): body.says}
            return replace(state, owed=owed)
        case ev.ConditionsNoted():
            return _advice_put_by(note_conditions(state, body))
        case ev.SlipNoted():
            return _judged_again(note_slip(state, body), body.run)
        case ev.WorthDeclared(gain_s=gain):
            return replace(state, worth_s=gain)
        case ev.LearntAfresh(taken_back=taken_back):
            return _advice_due(replace(state, unlearnt=unlearnt(state, taken_back)))
        case ev.PassImported():
            return replace(state, imported=state.imported.plus(body))
        case ev.LogsMerged():
            return join(state, body)
        case ev.SheetAnswered() | ev.SheetTakenBack() | ev.SheetContinued() | ev.SheetClosed():
            return on_sheet(state, body, event.at)
        case (
            ev.DamperDescribed()
            | ev.DamperFitted()
            | ev.DamperOpened()
            | ev.DamperServiced()
            | ev.SpringChanged()
            | ev.DamperDoubted()
            | ev.DamperDoubtSettled()
        ):
            return _advice_due(on_dampers(state, body, event.at))
        case ev.Unread():
            known = body in state.unread
            return state if known else replace(state, unread=(*state.unread, body))
        case _:
            return _apply_to_change(state, body)


def _apply_to_change(state: State, body: ev.Body) -> State:
    match body:
        case ev.ChangeProposed() | ev.PartChange():
            return _propose(state, body)
        case ev.PartChangeMade():
            change = state.change(body.change)
            made = replace(change, status=advance(change.status, "every turn made"))
            return _finish_put_back(_advice_due(_change(state, made)), body.change)
        case ev.TurnDone():
            return _move(state, body.change, body.adjuster, lambda s: replace(s, state="done"))
        case ev.TurnStopped():
            return _move(
                state,
                body.change,
                body.adjuster,
                lambda s: replace(s, state="stopped", reason=body.reason, reached=body.reached),
            )
        case ev.TurnReopened():
            return _reopen(state, body)
        case ev.ChangeRetargeted():
            return _retarget(state, body)
        case ev.ChangeWithdrawn():
            change = state.change(body.change)
            off = replace(change, status=advance(change.status, "withdrawn"), off_why=body.why)
            return _change(state, off)
        case ev.ChangeTakenUp():
            return _judge(take_up(state, body), body.change)
        case ev.Overridden():
            return _override(state, body)
        case _:
            raise TypeError(f"no fold for {body.kind}")


def _goals_unfitted(state: State) -> Settings:
    """Return the goals in force of adjusters that are not on the car now."""
    goals = state.baseline.settings if state.baseline else {}
    return {key: goals[key] for key in state.unfitted if key in goals}


def _run(state: State, event: ev.Event, body: ev.PassRun) -> State:
    run = Run(
        id=body.run,
        number=len(state.runs) + 1,
        at=event.at,
        meeting=state.meeting.id if state.meeting else None,
        session=state.session,
        change=body.change,
        car=state.car,
        settings=state.settings,
        parts=parts_now(state),
    )
    called = body.change is not None or state.call_at is None or state.call_at <= event.at
    call_at = None if called else state.call_at
    state = take_over(replace(state, runs=state.runs.plus(run), call_at=call_at), run)
    state = baseline_said(state)
    if body.change is None:
        return state
    change = state.change(body.change)
    status = advance(change.status, "pass run")
    doubt = change.in_doubt and not change.said_after
    return _change(
        state, replace(change, status=status, runs=(*change.runs, body.run), in_doubt=doubt)
    )


def _answer(state: State, body: ev.Answered) -> State:
    run = state.run(body.run)
    given = run.given if run.done else None
    run = replace(run, answers={**run.answers, body.prompt: body.value}, given=given)
    return _judge(_change_run(state, run), run.change)


def _judged_again(state: State, run_id: str) -> State:
    """Let a slip be weighed: its marks may undo a verdict, and an open advice is due again."""
    run = state.run(run_id)
    state = _judge(state, run.change)
    return state if run.done else _change_run(state, replace(run, given=None))


def _take_back(state: State, body: ev.AnswerTakenBack) -> State:
    run = state.run(body.run)
    if body.prompt == RAN:
        return _never_ran(state, run)
    if body.prompt == ADVICE:
        run = replace(run, given=None, settled=run.settled[:-1], done=False)
        return _change_run(state, run)
    answers = {key: value for key, value in run.answers.items() if key != body.prompt}
    kept = tuple(choice for choice in run.settled if choice == PUT_BACK)
    run = replace(run, answers=answers, given=None, settled=kept, control_skipped=False)
    return _judge(_change_run(state, run), run.change)


def _never_ran(state: State, run: Run) -> State:
    # What was ticked for a pass that never ran was looked at all the same.
    ticked = {(inspection, run.id, item): mark for (inspection, item), mark in run.ticks.items()}
    state = replace(state, runs=state.runs.without(run.id), ticked={**state.ticked, **ticked})
    state = give_back(state, run)
    if run.change is None:
        return state
    change = state.change(run.change)
    made_with = tuple(one for one in change.runs if one != run.id)
    change = replace(change, runs=made_with)
    if change.status == "run" and not made_with:
        change = replace(change, status=advance(change.status, "pass taken back"))
    return _change(state, change)


def _judge(state: State, change_id: str | None) -> State:
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
    return _change(state, change)


def _reopen(state: State, body: ev.TurnReopened) -> State:
    change = state.change(body.change)
    steps = tuple(
        replace(s, state="open", reason=None) if s.turn.adjuster == body.adjuster else s
        for s in change.steps
    )
    status = advance(change.status, "turn reopened")
    step = next(s for s in steps if s.turn.adjuster == body.adjuster)
    state = _change(state, replace(change, steps=steps, status=status))
    return _stand_at(state, body.adjuster, step.now)


def _propose(state: State, body: ev.ChangeProposed | ev.PartChange) -> State:
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
    if isinstance(body, ev.PartChange):
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
        state = _change(state, under)
        change = replace(change, mixed=own)
    return replace(state, changes=state.changes.plus(change))


def _move(state: State, change_id: str, adjuster: str, edit: Callable[[Step], Step]) -> State:
    change = state.change(change_id)
    step = next(step for step in change.steps if step.turn.adjuster == adjuster)
    edited = edit(step)
    state = _change(state, change.with_step(edited))
    state = _stand_at(state, adjuster, edited.now)
    return _finish_put_back(state, change_id)


def _stand_at(state: State, adjuster: str, value: float) -> State:
    state = replace(
        state,
        settings={**state.settings, adjuster: value},
        known_since={**state.known_since, adjuster: len(state.runs)},
    )
    return _advice_due(state)


def _advice_due(state: State) -> State:
    """Drop an advice that was given for other settings or another time, until it is settled."""
    run = state.open_run
    return state if run is None else _change_run(state, replace(run, given=None))


def _advice_put_by(state: State) -> State:
    """Let an advice be due again in what was noted; until then a log may still settle it."""
    run = state.open_run
    if run is None or run.given is None:
        return state
    return _change_run(state, replace(run, given=None, put_by=run.given))


def _retarget(state: State, body: ev.ChangeRetargeted) -> State:
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
    return _finish_put_back(_change(state, change), body.change)


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
            state = _change(state, replace(change, status=advance(change.status, "withdrawn")))
    return state


def _override(state: State, body: ev.Overridden) -> State:
    if body.block == "open change" and body.change is not None:
        return _change(state, replace(state.change(body.change), set_aside=body.reason))
    if body.run is not None:
        run = state.run(body.run)
        run = replace(run, control_skipped=True, given=None)
        return _judge(_change_run(state, run), run.change)
    return state


def _with_split(state: State, body: ev.Recounted) -> State:
    """Remember a recount that finds a side of a pair elsewhere: it may have broken the pair."""
    if body.found == state.settings[body.adjuster]:
        return state
    return replace(state, split={**state.split, body.adjuster: len(state.runs)})


def _recount(state: State, body: ev.Recounted) -> State:
    booked = state.settings[body.adjuster]
    since = max(state.known_since.get(body.adjuster, 0), _said_to_move(state, body.adjuster))
    if body.adjuster in state.disputed:
        state = agreed(state, body.adjuster)
    if body.adjuster in state.to_recount:
        state = found_again(state, body.adjuster, body.found)
        return _stand_at(state, body.adjuster, body.found)
    state = _stand_at(state, body.adjuster, body.found)
    if body.found == booked:
        return state
    doubted = state.runs[since:]
    for run in doubted:
        state = state.with_run(replace(run, in_doubt=(*run.in_doubt, body.adjuster)))
    for change in dict.fromkeys(run.change for run in doubted):
        if change is not None:
            state = _change(state, replace(state.change(change), in_doubt=True))
    return state


def _said_to_move(state: State, adjuster: str) -> int:
    """Return how many passes were run before the crew last said that a lever was changed."""
    part = adjusters(state.described_car)[adjuster].part
    changed = state.runs.last_where("something was changed", lambda run: bool(parts_changed(run)))
    return next((run.number - 1 for run in changed if part in parts_changed(run)), 0)


def _change(state: State, changed: Change) -> State:
    return state.with_change(changed)


def _change_run(state: State, changed: Run) -> State:
    return state.with_run(changed)
