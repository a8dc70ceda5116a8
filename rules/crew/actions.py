"""What a crew can record outside the questions, at any time: each action makes events."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field, TypeAdapter

from rules.advice.safety.gates import FOUND
from rules.book import Book
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.crew import correcting, overriding, taking_back
from rules.crew.baselines import declared, declared_again
from rules.crew.consequences import with_consequences
from rules.crew.correcting import Correct
from rules.crew.crew_action import CrewAction
from rules.crew.learnt_afresh import LearnAfresh
from rules.crew.learnt_afresh import bodies as afresh_bodies
from rules.crew.loop import counted, with_advice
from rules.crew.measured import measured
from rules.crew.ordering import ordered, refuse_half_done
from rules.crew.overriding import Override
from rules.crew.pass_actions import (
    DeclareWorth,
    NoteConditions,
    NoteSlip,
    condition_bodies,
    slip_bodies,
    worth_bodies,
)
from rules.crew.proven_back import PutBackToProven, way_to_proven
from rules.crew.putting_back import (
    PutBack,
    UndoLast,
    proposed_put_back,
    put_back_bodies,
    undo_bodies,
)
from rules.crew.sheets.actions import AnswerSheet, FinishSheet, SayAgain, sheet_bodies
from rules.crew.taking_back import TakeBack
from rules.crew.valving_change import ChangeValving, valving_bodies
from rules.log.events.changes import ChangeProposed, TurnDone
from rules.log.events.event import Body
from rules.log.events.lists import DamageReported
from rules.log.events.meeting import (
    CallTimeGiven,
    MeetingOpened,
    NoteAdded,
    SessionChanged,
    SessionKind,
)
from rules.log.events.passes import MeasuredWhat
from rules.log.state import State
from rules.log.way_back import meeting_named
from rules.log.work_orders import (
    overtaken_bodies,
    recount_bodies,
    set_aside_bodies,
)
from rules.question import ActionError, AnswerError, NewId


class AddNote(CrewAction):
    """Write something down."""

    action: Literal["note"] = "note"
    text: Annotated[str, Field(min_length=1, max_length=10_000)]


class Measure(CrewAction):
    """Take a measurement of a pass; the numbers in the car file's units."""

    action: Literal["measure"] = "measure"
    what: MeasuredWhat
    inputs: dict[str, float]


class Recount(CrewAction):
    """Say what was physically found on an adjuster."""

    action: Literal["recount"] = "recount"
    adjuster: str
    found: str | float


class AlreadyTurned(CrewAction):
    """Record a turn that was made without the tool; `sides` says whether the pair moved."""

    action: Literal["already turned"] = "already turned"
    adjuster: str
    now: str | float
    sides: Literal["both", "one"] = "both"


class DeclareBaseline(CrewAction):
    """Name the settings of today as the new baseline."""

    action: Literal["declare baseline"] = "declare baseline"
    name: Annotated[str, Field(min_length=1, max_length=60)]


class ReturnToBaseline(CrewAction):
    """Make an older baseline the one in force again; a name given twice means the latest."""

    action: Literal["return to baseline"] = "return to baseline"
    baseline: str


class ReportDamage(CrewAction):
    """Say that something was found; advice waits until its inspection is clear."""

    action: Literal["report damage"] = "report damage"
    found: str


class SetSession(CrewAction):
    """Say what kind of session it is now."""

    action: Literal["session"] = "session"
    session: SessionKind


class OpenMeeting(CrewAction):
    """Begin another race meeting; `again`: go on with the one of that name that is in the log."""

    action: Literal["meeting"] = "meeting"
    name: Annotated[str, Field(min_length=1, max_length=200)]
    again: bool = False


class CallTime(CrewAction):
    """Say how many minutes are left to the next call; none takes it back."""

    action: Literal["minutes to call"] = "minutes to call"
    minutes: int | None = Field(None, ge=0, le=1440)


Action = Annotated[
    AddNote
    | Measure
    | Recount
    | AlreadyTurned
    | ChangeValving
    | UndoLast
    | PutBack
    | PutBackToProven
    | DeclareBaseline
    | ReturnToBaseline
    | Override
    | ReportDamage
    | SetSession
    | OpenMeeting
    | TakeBack
    | CallTime
    | NoteConditions
    | NoteSlip
    | DeclareWorth
    | LearnAfresh
    | AnswerSheet
    | SayAgain
    | FinishSheet
    | Correct,
    Field(discriminator="action"),
]
ACTION: TypeAdapter[Action] = TypeAdapter(Action, config=ConfigDict(defer_build=True))


def act(
    state: State, book: Book, action: Action, new_id: NewId, *, advised: bool = True
) -> list[Body]:
    """Return the events an action makes, and the advice it makes due where `advised`.

    Raises:
        ActionError: if it cannot be done now, or names something that is not there.
    """
    try:
        bodies = with_consequences(state, book, _act(state, book, action, new_id))
        return with_advice(state, book, bodies) if advised else bodies
    except AnswerError as error:
        raise ActionError(str(error)) from None


def _act(state: State, book: Book, action: Action, new_id: NewId) -> list[Body]:
    run = state.open_run
    match action:
        case AddNote(text=text):
            return [NoteAdded(text=text, run=run.id if run else None)]
        case Measure():
            try:
                return [measured(state, action.what, action.inputs)]
            except ValueError as error:
                raise ActionError(f"{action.what}: {error}") from None
        case Recount():
            one = _adjuster(state, action.adjuster)
            return recount_bodies(state, one.id, counted(one, action.found))
        case AlreadyTurned():
            return _already_turned(state, action, new_id)
        case ChangeValving():
            bodies = valving_bodies(state, action, new_id)
            return ordered(state, book, bodies, knowing=action.knowing)
        case UndoLast():
            return ordered(state, book, undo_bodies(state, new_id), knowing=action.knowing)
        case PutBack():
            return ordered(state, book, put_back_bodies(state, new_id), knowing=action.knowing)
        case PutBackToProven():
            refuse_half_done(state, "the way back")
            bodies = proposed_put_back(state, *way_to_proven(state, book, action), new_id)
            return ordered(state, book, bodies, knowing=action.knowing)
        case DeclareBaseline():
            refuse_half_done(state, "a baseline")
            return [declared(state, book, action.name, new_id)]
        case ReturnToBaseline():
            refuse_half_done(state, "a baseline")
            return [declared_again(state, book, action.baseline, new_id)]
        case Override():
            return overriding.bodies(state, action)
        case ReportDamage(found=found):
            if found not in FOUND:
                raise ActionError(f"found: {found!r}; wanted one of {', '.join(FOUND)}")
            return [DamageReported(report=new_id(), found=found)]
        case SetSession():
            return [SessionChanged(session=action.session)]
        case OpenMeeting():
            return [_meeting(state, action, new_id)]
        case TakeBack():
            try:
                return taking_back.bodies(state, book, action)
            except LookupError as error:
                raise ActionError(str(error)) from None
        case CallTime():
            return [CallTimeGiven(minutes=action.minutes)]
        case NoteConditions():
            return condition_bodies(state, action)
        case NoteSlip():
            return slip_bodies(state, book, action, new_id)
        case DeclareWorth():
            return worth_bodies(state, action)
        case LearnAfresh():
            return afresh_bodies(state, action)
        case AnswerSheet() | SayAgain() | FinishSheet():
            return sheet_bodies(state, book, action, new_id)
        case Correct():
            return correcting.bodies(state, book, action)


def _meeting(state: State, action: OpenMeeting, new_id: NewId) -> MeetingOpened:
    known = meeting_named(state, action.name)
    if not action.again:
        return MeetingOpened(meeting=new_id(), name=action.name)
    if known is None:
        raise ActionError(f"meeting: found {action.name!r}; wanted one that is in the log")
    if known == state.meeting:
        raise ActionError(f"the event {known.name!r} is on already; no other was begun")
    return MeetingOpened(meeting=known.id, name=known.name)


def _adjuster(state: State, key: str) -> Adjuster:
    fitted = adjusters(state.described_car)
    if key not in fitted:
        raise ActionError(f"adjuster: found {key!r}; wanted one of {', '.join(fitted)}")
    return fitted[key]


def _already_turned(state: State, action: AlreadyTurned, new_id: NewId) -> list[Body]:
    one = _adjuster(state, action.adjuster)
    now = counted(one, action.now)
    moved = round(now - state.settings[one.id], 6)
    if not moved:
        raise ActionError(f"the book has {one.label} at {one.show(now)} already")
    turns = [Turn(adjuster=one.id, before=state.settings[one.id], after=now)]
    if one.partner:
        other = _adjuster(state, one.partner)
        after = round(state.settings[other.id] + moved, 6)
        if not other.holds(after):
            raise ActionError(f"{other.label} cannot follow: {other.wanted()}; recount both sides")
        turns.append(Turn(adjuster=other.id, before=state.settings[other.id], after=after))
    made = turns if action.sides == "both" else turns[:1]
    order = state.work_order
    if order is not None and (ticked := overtaken_bodies(state, order, made)):
        return ticked
    proposed = ChangeProposed(
        change=new_id(),
        origin="own",
        title=titles.own_title(tuple(turns), adjusters(state.described_car)),
        turns=tuple(turns),
    )
    done = [TurnDone(change=proposed.change, adjuster=turn.adjuster) for turn in made]
    return [*(set_aside_bodies(state, order) if order else ()), proposed, *done]
