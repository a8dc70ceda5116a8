"""What a crew can record outside the questions, at any time: each action makes events."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from rules.advice.part_back import why_part_held
from rules.advice.safety.gates import FOUND
from rules.advice.safety.work_gates import why_held
from rules.book import Book
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.crew import doubted_time, part_change, taking_back
from rules.crew.baselines import declared, declared_again
from rules.crew.consequences import with_consequences
from rules.crew.correctable import can_ask, prompt_of
from rules.crew.learnt_afresh import LearnAfresh
from rules.crew.learnt_afresh import bodies as afresh_bodies
from rules.crew.loop import counted, with_advice
from rules.crew.measured import measured
from rules.crew.pass_actions import (
    DeclareWorth,
    NoteConditions,
    NoteSlip,
    condition_bodies,
    slip_bodies,
    worth_bodies,
)
from rules.crew.proven_back import PutBackToProven, way_to_proven
from rules.crew.sheets.actions import AnswerSheet, FinishSheet, SayAgain, sheet_bodies
from rules.crew.valving_change import ChangeValving, valving_bodies
from rules.faults import there
from rules.log import events as ev
from rules.log.changes import Change
from rules.log.state import SIXTY_FOOT, State
from rules.log.way_back import (
    baseline_turns,
    last_change,
    meeting_named,
    parts_off_baseline,
    undo_turns,
)
from rules.log.work_orders import (
    no_more_put_backs,
    overtaken_bodies,
    recount_bodies,
    set_aside_bodies,
)
from rules.passes.slip_entry import why_text
from rules.question import ActionError as ActionError
from rules.question import AnswerError, NewId, check


class _Action(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class AddNote(_Action):
    """Write something down."""

    action: Literal["note"] = "note"
    text: Annotated[str, Field(min_length=1, max_length=10_000)]


class Measure(_Action):
    """Take a measurement of a pass; the numbers in the car file's units."""

    action: Literal["measure"] = "measure"
    what: ev.MeasuredWhat
    inputs: dict[str, float]


class Recount(_Action):
    """Say what was physically found on an adjuster."""

    action: Literal["recount"] = "recount"
    adjuster: str
    found: str | float


class AlreadyTurned(_Action):
    """Record a turn that was made without the tool; `sides` says whether the pair moved."""

    action: Literal["already turned"] = "already turned"
    adjuster: str
    now: str | float
    sides: Literal["both", "one"] = "both"


class UndoLast(_Action):
    """Put the last change back. `knowing` of the danger it may lead back to, if one is named."""

    action: Literal["undo last change"] = "undo last change"
    knowing: bool = False


class PutBack(_Action):
    """Put the car back to the baseline in force. `knowing` as with the last change."""

    action: Literal["put back to baseline"] = "put back to baseline"
    knowing: bool = False


class DeclareBaseline(_Action):
    """Name the settings of today as the new baseline."""

    action: Literal["declare baseline"] = "declare baseline"
    name: Annotated[str, Field(min_length=1, max_length=60)]


class ReturnToBaseline(_Action):
    """Make an older baseline the one in force again; a name given twice means the latest."""

    action: Literal["return to baseline"] = "return to baseline"
    baseline: str


class Override(_Action):
    """Go past an open change or a control pass, for a reason that stays in the log."""

    action: Literal["override"] = "override"
    reason: str
    text: Annotated[str, Field(max_length=200)] = ""


class ReportDamage(_Action):
    """Say that something was found; advice waits until its inspection is clear."""

    action: Literal["report damage"] = "report damage"
    found: str


class SetSession(_Action):
    """Say what kind of session it is now."""

    action: Literal["session"] = "session"
    session: ev.SessionKind


class OpenMeeting(_Action):
    """Begin another race meeting; `again`: go on with the one of that name that is in the log."""

    action: Literal["meeting"] = "meeting"
    name: Annotated[str, Field(min_length=1, max_length=200)]
    again: bool = False


class TakeBack(_Action):
    """Take back something recorded beside the answers: the latest of its kind that fits.

    `of` may be the number of a pass; `part` what was measured, or the list.
    """

    action: Literal["take back"] = "take back"
    record: str
    of: str = ""
    part: str = ""


class CallTime(_Action):
    """Say how many minutes are left to the next call; none takes it back."""

    action: Literal["minutes to call"] = "minutes to call"
    minutes: int | None = Field(None, ge=0, le=1440)


class Correct(_Action):
    """Correct an answer of an earlier pass. The old one stays in the log.

    `keep`: a 60-foot is meant as it is, far as it may be from its setting's others.
    """

    action: Literal["correct"] = "correct"
    run: int = Field(ge=1)
    prompt: str
    value: str | float | list[str]
    keep: bool = False


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

OVERRIDE_REASONS = {
    "no-time": "No time before the call",
    "safety": "Safety: the car must be changed now",
    "weather": "Weather or track changed too much",
    "other-work": "The car was worked on anyway",
    "driver": "The driver asks for it",
    "other": "Other (type it)",
}


def act(
    state: State, book: Book, action: Action, new_id: NewId, *, advised: bool = True
) -> list[ev.Body]:
    """Return the events an action makes, and the advice it makes due where `advised`.

    Raises:
        ActionError: if it cannot be done now, or names something that is not there.
    """
    try:
        bodies = with_consequences(state, book, _act(state, book, action, new_id))
        return with_advice(state, book, bodies) if advised else bodies
    except AnswerError as error:
        raise ActionError(str(error)) from None


def _act(state: State, book: Book, action: Action, new_id: NewId) -> list[ev.Body]:
    run = state.open_run
    match action:
        case AddNote(text=text):
            return [ev.NoteAdded(text=text, run=run.id if run else None)]
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
            return _ordered(state, book, bodies, knowing=action.knowing)
        case UndoLast():
            return _ordered(state, book, _undo_last(state, new_id), knowing=action.knowing)
        case PutBack():
            return _ordered(state, book, _put_back(state, new_id), knowing=action.knowing)
        case PutBackToProven():
            _refuse_half_done(state, "the way back")
            bodies = _proposed_put_back(state, *way_to_proven(state, book, action), new_id)
            return _ordered(state, book, bodies, knowing=action.knowing)
        case DeclareBaseline():
            _refuse_half_done(state, "a baseline")
            return [declared(state, book, action.name, new_id)]
        case ReturnToBaseline():
            _refuse_half_done(state, "a baseline")
            return [declared_again(state, book, action.baseline, new_id)]
        case Override():
            return _override(state, action)
        case ReportDamage(found=found):
            if found not in FOUND:
                raise ActionError(f"found: {found!r}; wanted one of {', '.join(FOUND)}")
            return [ev.DamageReported(report=new_id(), found=found)]
        case SetSession():
            return [ev.SessionChanged(session=action.session)]
        case OpenMeeting():
            return [_meeting(state, action, new_id)]
        case TakeBack():
            try:
                return taking_back.bodies(state, book, action.record, action.of, action.part)
            except LookupError as error:
                raise ActionError(str(error)) from None
        case CallTime():
            return [ev.CallTimeGiven(minutes=action.minutes)]
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
            return _correct(state, book, action)


def _meeting(state: State, action: OpenMeeting, new_id: NewId) -> ev.MeetingOpened:
    known = meeting_named(state, action.name)
    if not action.again:
        return ev.MeetingOpened(meeting=new_id(), name=action.name)
    if known is None:
        raise ActionError(f"meeting: found {action.name!r}; wanted one that is in the log")
    if known == state.meeting:
        raise ActionError(f"the event {known.name!r} is on already; no other was begun")
    return ev.MeetingOpened(meeting=known.id, name=known.name)


def _adjuster(state: State, key: str) -> Adjuster:
    fitted = adjusters(state.described_car)
    if key not in fitted:
        raise ActionError(f"adjuster: found {key!r}; wanted one of {', '.join(fitted)}")
    return fitted[key]


def _refuse_half_done(state: State, what: str) -> None:
    change = state.work_order
    if change is not None:
        raise ActionError(f"{what} waits: the work order {change.title!r} is not finished")
    _refuse_uncounted(state, what)


def _refuse_uncounted(state: State, what: str) -> None:
    labels = [
        one.label for key, one in adjusters(state.described_car).items() if key in state.to_recount
    ]
    if labels:
        raise ActionError(f"{what} waits: {labels[0]} has to be recounted first")


def _already_turned(state: State, action: AlreadyTurned, new_id: NewId) -> list[ev.Body]:
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
    proposed = ev.ChangeProposed(
        change=new_id(),
        origin="own",
        title=titles.own_title(tuple(turns), adjusters(state.described_car)),
        turns=tuple(turns),
    )
    done = [ev.TurnDone(change=proposed.change, adjuster=turn.adjuster) for turn in made]
    return [*(set_aside_bodies(state, order) if order else ()), proposed, *done]


def _ordered(state: State, book: Book, bodies: list[ev.Body], *, knowing: bool) -> list[ev.Body]:
    """Return the events of an order, unless an open list or a danger stands before it."""
    turns = [t for body in bodies if isinstance(body, ev.ChangeProposed) for t in body.turns]
    undone = [body.undoes[0] for body in bodies if isinstance(body, ev.PartChange)]
    for change in map(state.change, undone):
        if why := why_part_held(state, book, change, knowing=knowing):
            raise ActionError(why)
    if why := why_held(state, book, tuple(turns), knowing=knowing):
        raise ActionError(why)
    return bodies


def _undo_last(state: State, new_id: NewId) -> list[ev.Body]:
    change = last_change(state)
    if change is None:
        raise ActionError("there is no change on the car to undo")
    if change.part is not None:
        return part_change.put_back(state, change, new_id)
    return _proposed_put_back(
        state, f"Undo: {change.title}", undo_turns(state, [change]), [change], new_id
    )


def _put_back(state: State, new_id: NewId) -> list[ev.Body]:
    if state.baseline is None:
        raise ActionError("no baseline is declared yet")
    _refuse_uncounted(state, "the way back")
    turns, parts = baseline_turns(state), parts_off_baseline(state)
    orders = [order for one in parts for order in part_change.order(one, new_id)]
    waiting = [c for c in state.changes if c.is_open and c.origin != "put back" and not c.part]
    if not turns and orders:
        return [*no_more_put_backs(state), *orders]
    if not turns:
        still_open = [c for c in state.changes if c.is_open and not (c.part and c.is_made)]
        if still_open:
            return [ev.ChangeWithdrawn(change=c.id, why="put back to baseline") for c in still_open]
        raise ActionError(f"every setting stands at the baseline {state.baseline.name!r} already")
    undone = [
        c
        for c in state.changes
        if c.origin != "put back" and c.status != "withdrawn" and any(s.moved for s in c.steps)
    ]
    both = {c.id: c for c in (*undone, *waiting)}
    title = f"Put back to {state.baseline.name}"
    bodies = _proposed_put_back(state, title, turns, list(both.values()), new_id)
    # What was ordered last is asked first: the parts, the latest first, then the counts.
    return [*bodies, *orders]


def _proposed_put_back(
    state: State, title: str, turns: tuple[Turn, ...], undone: list[Change], new_id: NewId
) -> list[ev.Body]:
    bodies = no_more_put_backs(state)
    if not turns:
        return [*bodies, *(ev.ChangeWithdrawn(change=c.id, why=title) for c in undone)]
    proposed = ev.ChangeProposed(
        change=new_id(),
        origin="put back",
        title=title,
        turns=turns,
        undoes=tuple(c.id for c in undone),
    )
    return [*bodies, proposed]


def _override(state: State, action: Override) -> list[ev.Body]:
    if action.reason not in OVERRIDE_REASONS:
        wanted = ", ".join(OVERRIDE_REASONS)
        raise ActionError(f"reason: found {action.reason!r}; wanted one of {wanted}")
    if action.reason == "other" and not action.text.strip():
        raise ActionError("reason: 'other' needs words of your own")
    if why_not := why_no_override(state):
        raise ActionError(why_not)
    run = state.open_run
    if run is not None and run.advice is not None and run.advice.kind == "control":
        return [
            ev.Overridden(block="control pass", run=run.id, reason=action.reason, text=action.text)
        ]
    change = there(state.open_change, "an open change")
    return [
        ev.Overridden(block="open change", change=change.id, reason=action.reason, text=action.text)
    ]


def why_no_override(state: State) -> str:
    """Say why nothing can be overridden now; empty where something can."""
    run, change = state.open_run, state.open_change
    if run is not None and run.advice is not None and run.advice.kind == "control":
        return ""
    if change is None or change.status not in ("applied", "run"):
        return "nothing here can be overridden; an inspection never can"
    if run is not None and run.change == change.id:
        return "the pass with this change is being judged: finish its prompts first"
    return ""


def _correct(state: State, book: Book, action: Correct) -> list[ev.Body]:
    run = state.run_numbered(action.run)
    if run is None:
        raise ActionError(f"run: found {action.run}; wanted 1 to {len(state.runs)}")
    if action.prompt not in run.answers:
        wanted = ", ".join(run.answers) or "none"
        raise ActionError(f"prompt: found {action.prompt!r}; pass {run.number} answered {wanted}")
    if not can_ask(state, book, run, action.prompt):
        raise ActionError(f"prompt: found {action.prompt!r}, which the book has no more")
    value = tuple(action.value) if isinstance(action.value, list) else action.value
    checked = check(prompt_of(state, book, run, action.prompt), value)
    corrected = ev.Answered(run=run.id, prompt=action.prompt, value=checked)
    if action.prompt != SIXTY_FOOT or not isinstance(checked, float):
        return [corrected]
    odd = doubted_time.doubt_of(state, run, checked)
    if odd is not None and not action.keep:
        why = why_text(odd, state.described_car.units)
        raise ActionError(f"sixty-foot: {why}; say keep if it is right")
    return [corrected, *([doubted_time.meant(run, checked)] if odd else ())]
