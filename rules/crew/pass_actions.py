"""What a crew can say of a pass at any time: its slip, its air, and what gain is worth a change."""

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from rules.book import Book
from rules.crew import readings
from rules.crew.crew_action import CrewAction
from rules.crew.open_question import next_step
from rules.crew.own_times import own_numbers
from rules.evidence.worth import USUAL_WORTH_S, WORTH_HIGH_S, WORTH_LOW_S
from rules.log import conditions
from rules.log.engine import BREATHING
from rules.log.events.advice import WorthDeclared
from rules.log.events.event import Body
from rules.log.events.passes import Answered, ConditionsNoted, PassRun, PressureKind, SlipNoted
from rules.log.folds.fold_pass import COMING
from rules.log.noted import Surface
from rules.log.said import SYMPTOMS
from rules.log.state import Run, State
from rules.passes.breathing import Breathing
from rules.passes.marks import Mark
from rules.passes.readings import READINGS
from rules.passes.slip import FIELDS as SLIP
from rules.passes.slip import AskBack, Lane, questions
from rules.passes.slip_entry import BY_KEY, made_slip, why_text
from rules.question import AnswerError, NewId, Prompt, check

NEW = "new"
RAN = "ran"
NAMES = {field: one.name for field, one in SLIP.items()}
FIELDS = {name: field for field, name in NAMES.items()}
Number = Annotated[float, Field(strict=True)]
OnSlip = Annotated[float, Field(strict=True, allow_inf_nan=False)]


class NoteSlip(CrewAction):
    """Note the time slip of a pass, speeds in the crew's unit; `keep` names what is meant as it is.

    `run` is the number of a pass, "new" for one that is not in the log yet, or None for the pass
    that is talked about, or the last.
    """

    action: Literal["slip"] = "slip"
    run: Annotated[int, Field(ge=1)] | Literal["new"] | None = None
    reaction: OnSlip | None = None
    sixty: OnSlip | None = None
    three_thirty: OnSlip | None = None
    eighth: OnSlip | None = None
    eighth_speed: OnSlip | None = None
    thousand: OnSlip | None = None
    quarter: OnSlip | None = None
    quarter_speed: OnSlip | None = None
    dial_in: OnSlip | None = None
    lane: Lane | None = None
    marks: tuple[Mark, ...] = ()
    keep: tuple[Annotated[str, StringConstraints(max_length=40)], ...] = ()


class NoteConditions(CrewAction):
    """Say lane, air and track of the pass that is talked about, or of the last.

    `run` is "coming" for the pass that comes, which has them once it is begun.
    `keep` holds "pressure" where a pressure is meant as it is, odd as it looks for the track.
    `breathing` is said once: it is kept with the last pass, and holds until it is said again.
    """

    action: Literal["conditions"] = "conditions"
    run: Literal["coming"] | None = None
    lane: Lane | None = None
    air_temperature: Number | None = None
    humidity: Number | None = None
    dew_point: Number | None = None
    pressure: Number | None = None
    pressure_kind: PressureKind | None = None
    elevation: Number | None = None
    track_temperature: Number | None = None
    surface: Surface | None = None
    keep: tuple[Literal["pressure"], ...] = ()
    breathing: Breathing | Literal["unknown"] | None = None


class DeclareWorth(CrewAction):
    """Say which gain of the 60-foot, in seconds, is worth a change from here on."""

    action: Literal["worth"] = "worth"
    gain: Number


def slip_bodies(state: State, book: Book, action: NoteSlip, new_id: NewId) -> list[Body]:
    """Return the events of a slip, its pass begun first where it is a new one.

    Raises:
        AnswerError: no such pass, nothing given, or a value that is impossible or not confirmed.
    """
    begun, run = _run_of(state, book, action, new_id)
    given = {
        field: value
        for name, field in FIELDS.items()
        if (value := getattr(action, name)) is not None
    }
    if not given and not action.marks and action.lane is None:
        raise AnswerError("slip: found nothing; wanted a time, a speed, a mark or the lane")
    strange = [name for name in action.keep if name not in FIELDS]
    if strange:
        raise AnswerError(f"keep: found {strange[0]!r}; wanted among {', '.join(FIELDS)}")
    slip = made_slip(given, state.described_car.units, action.marks, action.lane)
    known = state.runs.find(run)
    for asked in questions(slip, own_numbers(state, known)):
        name = NAMES[asked.field]
        if asked.impossible or name not in action.keep:
            raise AnswerError(_refusal(state, name, asked))
    return [*begun, SlipNoted(run=run, slip=slip)]


def _refusal(state: State, name: str, asked: AskBack) -> str:
    """Say what is wrong with a number, what was probably meant, and how to insist."""
    system, one = state.described_car.units, BY_KEY[asked.field]
    told = f"{name}: {why_text(asked, system)}"
    if asked.offer is not None:
        told += f"; wanted perhaps {one.told(asked.offer, system)}"
    return told if asked.impossible else f"{told}; name {name} in keep if it is right"


def can_begin(state: State, book: Book) -> bool:
    """Tell whether the car may have run a pass that is not in the log yet."""
    return state.open_run is None and next_step(state, book).id in (RAN, SYMPTOMS)


def turned_since(state: State) -> bool:
    """Tell whether anything stands elsewhere than on the last pass."""
    return bool(state.runs) and dict(state.runs[-1].settings) != dict(state.settings)


def slip_run(state: State, number: int | None) -> Run:
    """Return a pass by its number, or the one that is talked about, or the last.

    Raises:
        AnswerError: there is none.
    """
    if not state.runs:
        raise AnswerError("slip: no pass is in the log yet; wanted the run 'new', after it")
    last = state.runs[-1]
    if number is None and state.open_run is None and turned_since(state):
        raise AnswerError(
            f"run: found nothing, and something was turned since pass {last.number}; "
            f"wanted {last.number} or 'new'"
        )
    if number is None:
        return last
    found = state.run_numbered(number)
    if found is None:
        raise AnswerError(f"run: found {number}; wanted 1 to {len(state.runs)}")
    return found


def _run_of(state: State, book: Book, action: NoteSlip, new_id: NewId) -> tuple[list[Body], str]:
    if action.run != NEW:
        number = None if action.run is None else int(action.run)
        return [], slip_run(state, number).id
    if not can_begin(state, book):
        raise AnswerError("run: found 'new'; wanted after the open question is answered")
    change = state.open_change
    begun = PassRun(run=new_id(), change=change.id if change else None)
    return [begun], begun.run


def condition_bodies(state: State, action: NoteConditions) -> list[Body]:
    """Return the event of lane, air and track, and the answer how the engine breathes.

    The elevation is the meeting's last if not said.

    Raises:
        AnswerError: no pass, nothing said, or a reading out of its bounds.
    """
    engine = _engine(state, action)
    if engine and not _said(action):
        return engine
    noted = _conditions(state, action)
    odd = conditions.doubt(noted)
    if odd and "pressure" not in action.keep:
        raise AnswerError(f"{odd}; name pressure in keep if it is right")
    if not conditions.missing(noted):
        try:
            conditions.air_of(noted)
        except ValueError as error:
            raise AnswerError(str(error)) from None
    return [noted, *engine]


def _engine(state: State, action: NoteConditions) -> list[Body]:
    """Return the answer how the engine breathes, where it is said."""
    if action.breathing is None:
        return []
    if not state.runs:
        raise AnswerError("breathing: no pass is in the log yet; wanted after the first")
    return [Answered(run=state.runs[-1].id, prompt=BREATHING, value=action.breathing)]


def _said(action: NoteConditions) -> dict[str, Any]:
    """Return what is said of lane, air and track."""
    beside = {"action", "keep", "run", "breathing"}
    return action.model_dump(exclude=beside, exclude_none=True)


def pressure_doubt(state: State, action: NoteConditions) -> str:
    """Say what is odd about the pressure of what would be noted, or nothing.

    Raises:
        AnswerError: as `condition_bodies`.
    """
    return conditions.doubt(_conditions(state, action))


def _conditions(state: State, action: NoteConditions) -> ConditionsNoted:
    coming = action.run is not None
    if state.car is None or not (state.runs or coming):
        raise AnswerError("conditions: no pass is in the log yet; wanted the run 'coming'")
    said = _said(action)
    if not said:
        raise AnswerError("conditions: found nothing; wanted the lane or a reading")
    for key in READINGS:
        if key in said:
            check(readings.reading(key, state.car.units), said[key])
    if "humidity" in said and "dew_point" in said:
        raise AnswerError("dew_point: found beside humidity; wanted one of them")
    if "dew_point" in said and said["dew_point"] > said.get("air_temperature", float("inf")):
        raise AnswerError(
            f"dew_point: found {said['dew_point']:g}; wanted at most the air temperature, "
            f"{said['air_temperature']:g}"
        )
    if "pressure" in said:
        known = readings.elevation_known(state)
        said = {"elevation": known, **said} if known is not None else said
    noted = {"run": COMING if coming else state.runs[-1].id, "units": state.car.units, **said}
    return ConditionsNoted.model_validate(noted)


def worth(state: State) -> Prompt:
    """Ask which gain of the 60-foot is worth a change."""
    now = USUAL_WORTH_S if state.worth_s is None else state.worth_s
    return Prompt(
        "gain",
        "Smallest gain of the 60-foot that is worth a change, in s?",
        "number",
        hint=f"Now {now:.3f}. Said before a change, it holds for the changes after it.",
        low=WORTH_LOW_S,
        high=WORTH_HIGH_S,
        unit="s",
    )


def worth_bodies(state: State, action: DeclareWorth) -> list[Body]:
    """Return the event of a declared gain.

    Raises:
        AnswerError: out of bounds.
    """
    gain = check(worth(state), action.gain)
    return [WorthDeclared(gain_s=float(str(gain)))]
