"""The fold: how each event moves the state. Nothing here decides, it only remembers."""

from collections.abc import Iterable
from datetime import timedelta
from functools import reduce

from rules.asked import AdviceChoice
from rules.car.adjusters import Settings, adjusters
from rules.log.call_time import later
from rules.log.changes import ADVICE, RAN, advance
from rules.log.events.advice import AdviceGiven, AdviceSettled, LearntAfresh, WorthDeclared
from rules.log.events.car import BaselineDeclared, CarDescribed, PairSettled, Recounted
from rules.log.events.dampers import (
    DamperDescribed,
    DamperDoubted,
    DamperDoubtSettled,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
from rules.log.events.event import Event
from rules.log.events.lists import DamageReported, ItemTicked, ListOwed
from rules.log.events.meeting import CallTimeGiven, MeetingOpened, NoteAdded, SessionChanged
from rules.log.events.passes import (
    Answered,
    AnswerTakenBack,
    ConditionsNoted,
    Measured,
    PassImported,
    PassRun,
    SlipNoted,
)
from rules.log.events.sheets import SheetAnswered, SheetClosed, SheetContinued, SheetTakenBack
from rules.log.events.whole_log import LogsMerged, RecordTakenBack, Unread
from rules.log.folds.due_again import advice_due, advice_put_by
from rules.log.folds.fold_car import described
from rules.log.folds.fold_change import judged, on_change
from rules.log.folds.fold_dampers import baseline_said, on_dampers
from rules.log.folds.fold_merge import join
from rules.log.folds.fold_pass import give_back, note_conditions, note_slip, take_over
from rules.log.folds.fold_recount import recounted
from rules.log.folds.fold_sheet import on_sheet
from rules.log.folds.fold_ticks import tick
from rules.log.folds.record_off import take_off
from rules.log.folds.unlearnt import unlearnt
from rules.log.noted import Given, Measurement
from rules.log.other_parts import parts_now
from rules.log.state import Baseline, Meeting, Note, Run, State
from rules.replaced import replace

CONTROL_SKIP = AdviceChoice.SKIP_CONTROL
PUT_BACK = "put back"


def fold(events: Iterable[Event], state: State | None = None) -> State:
    """Return the state after all events, starting from `state` or from nothing."""
    return reduce(apply, events, state or State())


def apply(state: State, event: Event) -> State:
    """Return the state after one more event."""
    after = replace(_apply(state, event), events=state.events + 1, now=event.at)
    if after.call_at is None:
        return after
    doubted = after.clock_went_back
    return replace(after, call_said=later(after.call_said, event.at), call_doubted=doubted)


def _apply(state: State, event: Event) -> State:
    body = event.body
    match body:
        case CarDescribed():
            fitted = adjusters(state.car) if state.car else {}
            return advice_due(described(replace(state, car=body.car), fitted))
        case MeetingOpened():
            on = (len(state.runs), state.session, state.call_at, state.stands)
            meeting = Meeting(body.meeting, body.name, *on)
            return replace(
                state,
                meetings=state.meetings.plus(meeting),
                session=body.session,
                call_at=None,
                coming=None,
            )
        case SessionChanged():
            return replace(state, session=body.session)
        case CallTimeGiven(minutes=minutes):
            call_at = None if minutes is None else event.at + timedelta(minutes=minutes)
            said = replace(state, call_at=call_at, call_said=event.at, call_doubted=False)
            return advice_due(said)
        case BaselineDeclared():
            goals = {**_goals_unfitted(state), **body.settings}
            parts = parts_now(state)
            baseline = Baseline(body.baseline, body.name, goals, event.at, body.facts, parts)
            return baseline_said(replace(state, baselines=(*state.baselines, baseline)))
        case PassRun():
            return _run(state, event, body)
        case Answered():
            return _answer(state, body)
        case Measured():
            run = state.run(body.run)
            measured = {**run.measured, body.what: Measurement.of(body)}
            return state.with_run(replace(run, measured=measured))
        case AnswerTakenBack():
            return _take_back(state, body)
        case ItemTicked():
            return tick(state, body)
        case DamageReported():
            return replace(state, damage={**state.damage, body.report: body.found})
        case AdviceGiven():
            given = Given(body.stored)
            return state.with_run(replace(state.run(body.run), given=given, put_by=None))
        case AdviceSettled():
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
            return judged(state.with_run(run), run.change)
        case Recounted():
            return recounted(state, body)
        case PairSettled(adjuster=adjuster, choice=choice):
            asked = {key: since for key, since in state.split.items() if key != adjuster}
            later = {adjuster: len(state.runs) + 1} if choice == "later" else {}
            return replace(state, split={**asked, **later})
        case NoteAdded():
            return replace(state, notes=state.notes.plus(Note(body.text, event.at, body.run)))
        case RecordTakenBack():
            state = take_off(state, body)
            return _judged_again(state, body.of) if body.record == "slip" else advice_due(state)
        case ListOwed():
            owed = {**state.owed, (body.inspection, body.reason): body.says}
            return replace(state, owed=owed)
        case ConditionsNoted():
            return advice_put_by(note_conditions(state, body))
        case SlipNoted():
            return _judged_again(note_slip(state, body), body.run)
        case WorthDeclared(gain_s=gain):
            return replace(state, worth_s=gain)
        case LearntAfresh(taken_back=taken_back):
            return advice_due(replace(state, unlearnt=unlearnt(state, taken_back)))
        case PassImported():
            return replace(state, imported=state.imported.plus(body))
        case LogsMerged():
            return join(state, body)
        case SheetAnswered() | SheetTakenBack() | SheetContinued() | SheetClosed():
            return on_sheet(state, body, event.at)
        case (
            DamperDescribed()
            | DamperFitted()
            | DamperOpened()
            | DamperServiced()
            | SpringChanged()
            | DamperDoubted()
            | DamperDoubtSettled()
        ):
            return advice_due(on_dampers(state, body, event.at))
        case Unread():
            known = body in state.unread
            return state if known else replace(state, unread=(*state.unread, body))
        case _:
            return on_change(state, body)


def _goals_unfitted(state: State) -> Settings:
    """Return the goals in force of adjusters that are not on the car now."""
    goals = state.baseline.settings if state.baseline else {}
    return {key: goals[key] for key in state.unfitted if key in goals}


def _run(state: State, event: Event, body: PassRun) -> State:
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
    runs = (*change.runs, body.run)
    return state.with_change(replace(change, status=status, runs=runs, in_doubt=doubt))


def _answer(state: State, body: Answered) -> State:
    run = state.run(body.run)
    given = run.given if run.done else None
    run = replace(run, answers={**run.answers, body.prompt: body.value}, given=given)
    return judged(state.with_run(run), run.change)


def _judged_again(state: State, run_id: str) -> State:
    """Let a slip be weighed: its marks may undo a verdict, and an open advice is due again."""
    run = state.run(run_id)
    state = judged(state, run.change)
    return state if run.done else state.with_run(replace(run, given=None))


def _take_back(state: State, body: AnswerTakenBack) -> State:
    run = state.run(body.run)
    if body.prompt == RAN:
        return _never_ran(state, run)
    if body.prompt == ADVICE:
        run = replace(run, given=None, settled=run.settled[:-1], done=False)
        return state.with_run(run)
    answers = {key: value for key, value in run.answers.items() if key != body.prompt}
    kept = tuple(choice for choice in run.settled if choice == PUT_BACK)
    run = replace(run, answers=answers, given=None, settled=kept, control_skipped=False)
    return judged(state.with_run(run), run.change)


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
    return state.with_change(change)
