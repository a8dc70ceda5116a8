"""What can happen, as typed events. The log only grows; the state is their fold.

Each event carries a client-made UUID, so that taking it twice is harmless, and the device that
wrote it with its own sequence number. Identifiers and times are passed in. How they lie in a log
is `rules.log.log_format`'s.
"""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date, datetime
from functools import cached_property
from typing import Annotated, Any, ClassVar, Literal, Self
from uuid import UUID

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    TypeAdapter,
    field_serializer,
)

from rules.car.adjusters import Turn
from rules.car.damper_record import DamperRecord, InsideStroke, Stroke
from rules.car.model import AxleEnd, Car, Corner
from rules.log.advice import Advice
from rules.log.ids import Ids
from rules.log.noted import Given, Surface
from rules.part import FilePart
from rules.passes.slip import Slip
from rules.units import System

SessionKind = Literal["test", "qualifying", "eliminations"]
Verdict = Literal["gone", "better", "same", "worse", "other"]
StopReason = Literal["stops early", "cannot reach", "not done"]
MeasuredWhat = Literal["lift", "airborne", "touchdown", "front ring", "rear ring", "scrape"]
PressureKind = Literal["station pressure", "altimeter setting", "sea-level barometer"]
AnswerValue = str | float | tuple[str, ...]
Text = Annotated[str, Field(max_length=10_000)]


def _plain(data: object) -> object:
    if isinstance(data, BaseModel | FilePart):
        return data.model_dump(mode="json", by_alias=True)
    return data


Plain = Annotated[dict[str, Any], BeforeValidator(_plain)]
"""What a live class was when it was stored, as plain fields; a live one is made plain."""


class _Body(BaseModel):
    """What happened. `version` goes up with every change of the fields of its kind."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, defer_build=True, ser_json_inf_nan="constants"
    )

    version: ClassVar[int] = 1


class CarDescribed(_Body):
    """The car file was read. The first one seeds every setting from the file's starts."""

    kind: Literal["car-described"] = "car-described"
    version = 5
    stored: Plain = Field(alias="car")

    @cached_property
    def car(self) -> Car:
        """The car; what this program does not know of it is passed over."""
        return Car.model_validate(dict(self.stored), extra="ignore")


class MeetingOpened(_Body):
    """A race meeting began; what follows belongs to it."""

    kind: Literal["meeting-opened"] = "meeting-opened"
    meeting: str
    name: Text
    session: SessionKind | None = None


class SessionChanged(_Body):
    """Test, qualifying or eliminations."""

    kind: Literal["session-changed"] = "session-changed"
    session: SessionKind


class CallTimeGiven(_Body):
    """Minutes to the next call, from now; None takes it back."""

    kind: Literal["call-time-given"] = "call-time-given"
    minutes: int | None = Field(ge=0, le=1440)


class BaselineDeclared(_Body):
    """The place to which the car can always be put back; `facts` as typed on a walk round it."""

    kind: Literal["baseline-declared"] = "baseline-declared"
    baseline: str
    name: Text
    settings: dict[str, float]
    facts: dict[str, Text] = {}


class PassRun(_Body):
    """The car ran, with this change on it if any was waiting for its pass."""

    kind: Literal["pass-run"] = "pass-run"
    run: str
    change: str | None = None


class Answered(_Body):
    """An answer about a pass. A later answer to the same prompt corrects it."""

    kind: Literal["answered"] = "answered"
    run: str
    prompt: str
    value: AnswerValue


class Measured(_Body):
    """A number from a picture, a ring or a tape, and what it was worked out from; all SI."""

    kind: Literal["measured"] = "measured"
    run: str
    what: MeasuredWhat
    value: float
    give: float
    inputs: dict[str, float]


class AnswerTakenBack(_Body):
    """The crew went back: this prompt is open again."""

    kind: Literal["answer-taken-back"] = "answer-taken-back"
    run: str
    prompt: str


class ItemTicked(_Body):
    """One thing of an inspection was looked at."""

    kind: Literal["item-ticked"] = "item-ticked"
    inspection: str
    reason: str
    item: str
    mark: Literal["ok", "fault", "not fitted"]


class DamageReported(_Body):
    """Something was found at any time; advice waits until its inspection is clear."""

    kind: Literal["damage-reported"] = "damage-reported"
    report: str
    found: str


class AdviceGiven(_Body):
    """What the tool said about a pass, with its inputs."""

    kind: Literal["advice-given"] = "advice-given"
    run: str
    stored: Plain = Field(alias="advice")

    @cached_property
    def advice(self) -> Advice:
        """The advice, read when it is asked for; what this program does not know is passed over."""
        return Given(self.stored).advice


class AdviceSettled(_Body):
    """What the crew did with it; `done` closes the pass."""

    kind: Literal["advice-settled"] = "advice-settled"
    run: str
    choice: str
    done: bool


class ChangeProposed(_Body):
    """A change was agreed and is now a work order.

    `undoes` are the changes this one puts back; they are withdrawn when it is done.
    """

    kind: Literal["change-proposed"] = "change-proposed"
    change: str
    origin: Literal["advice", "own", "put back"]
    title: Text
    turns: tuple[Turn, ...] = Field(min_length=1)
    rule: str | None = None
    symptom: str | None = None
    half_back: bool = False
    undoes: tuple[str, ...] = ()
    run: str | None = None


class PartChange(_Body):
    """What no lever of the car file names was changed inside a damper or at an axle's springs.

    It is one change like any other, without a turn: it waits for its pass and is judged. One whose
    `origin` is "put back" is an order until it is made. `before`, `after`: what came out and what
    went in, as the crew calls it, empty where nobody said.
    """

    kind: Literal["part-change"] = "part-change"
    change: str
    origin: Literal["own", "put back"]
    title: Text
    what: Literal["valving", "spring"]
    places: tuple[Corner, ...] = Field(min_length=1)
    strokes: tuple[Stroke, ...] = ()
    before: Text = ""
    after: Text = ""
    undoes: tuple[str, ...] = ()
    run: str | None = None


class PartChangeMade(_Body):
    """The part of a change is in."""

    kind: Literal["part-change-made"] = "part-change-made"
    change: str


class TurnDone(_Body):
    """The hand under the car ticked off one turn."""

    kind: Literal["turn-done"] = "turn-done"
    change: str
    adjuster: str


class TurnStopped(_Body):
    """One turn could not be made as written; `reached` is where the adjuster now stands,
    None while that is still to be said."""

    kind: Literal["turn-stopped"] = "turn-stopped"
    change: str
    adjuster: str
    reason: StopReason
    reached: float | None


class TurnReopened(_Body):
    """A stopped turn is tried again."""

    kind: Literal["turn-reopened"] = "turn-reopened"
    change: str
    adjuster: str


class ChangeRetargeted(_Body):
    """The change goes elsewhere: to what every side could reach, or on from what was found."""

    kind: Literal["change-retargeted"] = "change-retargeted"
    change: str
    turns: tuple[Turn, ...]


class ChangeWithdrawn(_Body):
    """The change is off: nothing of it is on the car, or its put-back is done."""

    kind: Literal["change-withdrawn"] = "change-withdrawn"
    change: str
    why: Text


class ChangeTakenUp(_Body):
    """A change waits for its pass again, as it was written: what lay on top of it is off the car,
    or a side of it that had never moved is put right.

    `after`: the passes up to this number were made without all of it, and say nothing of it.
    """

    kind: Literal["change-taken-up"] = "change-taken-up"
    change: str
    after: int = 0


class ListOwed(_Body):
    """What raised a block was corrected or taken back; its list still has to be ticked."""

    kind: Literal["list-owed"] = "list-owed"
    inspection: str
    reason: str
    says: Text


class RecordTakenBack(_Body):
    """Something recorded beside the answers is off again; the log keeps both.

    `of` is the meeting, the pass, the time of the note (ISO 8601), the reason of the list or the
    adjuster; `part` what was measured, or the list.
    """

    kind: Literal["record-taken-back"] = "record-taken-back"
    record: Literal["meeting", "note", "slip", "conditions", "measured", "list", "pair", "recount"]
    of: str
    part: str = ""


class Overridden(_Body):
    """The crew went past a block that may be passed, and said why."""

    kind: Literal["overridden"] = "overridden"
    block: Literal["open change", "control pass"]
    change: str | None = None
    run: str | None = None
    reason: str
    text: Text = ""


class Recounted(_Body):
    """What was physically found on an adjuster."""

    kind: Literal["recounted"] = "recounted"
    adjuster: str
    found: float


class PairSettled(_Body):
    """What becomes of a pair of which a recount found one side elsewhere."""

    kind: Literal["pair-settled"] = "pair-settled"
    adjuster: str
    choice: Literal["put right", "keep", "later"]


class NoteAdded(_Body):
    """Free words, kept as typed."""

    kind: Literal["note-added"] = "note-added"
    text: Text
    run: str | None = None


class ConditionsNoted(_Body):
    """Lane, air, track and its elevation at a pass, as read; what is None was not said.

    `run` is empty for the pass that comes: once it is begun it has them. Without its kind a
    pressure says nothing of the air. `surface` is what the launch area is like.
    """

    kind: Literal["conditions-noted"] = "conditions-noted"
    run: str
    units: System
    lane: Literal["left", "right"] | None = None
    air_temperature: float | None = None
    humidity: float | None = None
    pressure: float | None = None
    track_temperature: float | None = None
    dew_point: float | None = None
    pressure_kind: PressureKind | None = None
    elevation: float | None = None
    surface: Surface | None = None


class SlipNoted(_Body):
    """The time slip of a pass, in SI. A later one of the same pass corrects it."""

    kind: Literal["slip-noted"] = "slip-noted"
    run: str
    slip: Slip

    @field_serializer("slip")
    def _in_order(self, slip: Slip) -> dict[str, object]:
        return {**asdict(slip), "marks": sorted(slip.marks)}


class WorthDeclared(_Body):
    """The smallest gain of the 60-foot that is worth a change, for changes from here on."""

    kind: Literal["worth-declared"] = "worth-declared"
    gain_s: float = Field(gt=0.0, le=1.0)


class LearntAfresh(_Body):
    """The launch learns this car anew: no pass before this teaches it anything.

    taken_back: the last such beginning is off again, and the passes before it count as they did.
    """

    kind: Literal["learnt-afresh"] = "learnt-afresh"
    taken_back: bool = False


class PassImported(_Body):
    """A pass from elsewhere, as history: it stands in the tables and on the sheet.

    `setting` is the crew's own word for how the car stood, which no count can be read out of, so it
    is compared with nothing; its times say how the car scatters, with its air what that does to it.
    `file` and `row` say where it was read.
    """

    kind: Literal["pass-imported"] = "pass-imported"
    imported: str
    when: datetime
    slip: Slip
    conditions: ConditionsNoted | None = None
    setting: Text = ""
    file: Text = ""
    row: int = 0


class LogsMerged(_Body):
    """Another log of the same car was taken in.

    `ours` and `theirs` are the ids of both logs since their last merge, each in the order in which
    it was written: the parts of the merged log that are known to follow one another. What both
    began with need not stand in `theirs` but for its last. `counts` are the adjusters to be counted
    by hand, as this log and as the other had them.
    """

    kind: Literal["logs-merged"] = "logs-merged"
    ours: Ids
    theirs: Ids
    counts: dict[str, tuple[float, float]]


class SheetAnswered(_Body):
    """An answer on a sheet of the shop, as typed with its unit; a later one corrects it.

    `stops` says by inspection what of the round, with this answer, blocks advice.
    """

    kind: Literal["sheet-answered"] = "sheet-answered"
    sheet: str
    round: int = Field(ge=1)
    key: str
    value: AnswerValue
    stops: dict[str, Text] = {}


class SheetTakenBack(_Body):
    """The crew went back on a sheet: this is open again; `stops` says what then blocks advice."""

    kind: Literal["sheet-taken-back"] = "sheet-taken-back"
    sheet: str
    round: int = Field(ge=1)
    key: str
    stops: dict[str, Text] = {}


class SheetContinued(_Body):
    """A round begins with the answers of a finished one, `of`, but for `key`, to be said again."""

    kind: Literal["sheet-continued"] = "sheet-continued"
    sheet: str
    round: int = Field(ge=1)
    of: int = Field(ge=1)
    key: str
    stops: dict[str, Text] = {}


class SheetClosed(_Body):
    """A round of a sheet is finished; `stops` says by inspection what blocks advice."""

    kind: Literal["sheet-closed"] = "sheet-closed"
    sheet: str
    round: int = Field(ge=1)
    stops: dict[str, Text] = {}


class DamperDescribed(_Body):
    """What a damper is, under an id that stays; said again, it corrects what was said before.

    `corner`: where it stood already when it was described. Nothing on the car changes by it.
    """

    kind: Literal["damper-described"] = "damper-described"
    stored: Plain = Field(alias="damper")
    corner: Corner | None = None

    @cached_property
    def damper(self) -> DamperRecord:
        """The damper; what this program does not know of it is passed over."""
        return DamperRecord.model_validate(dict(self.stored), extra="ignore")


class DamperFitted(_Body):
    """Another damper was put on at a corner, and the one that stood there is off.

    `damper` is empty where nothing stands there now. `job` is what was done in one go: its list is
    ticked once. `counts` are what was read on the damper's knobs, in whole marks, by adjuster.
    """

    kind: Literal["damper-fitted"] = "damper-fitted"
    job: str
    damper: str
    corner: Corner
    counts: dict[str, float] = {}


class DamperOpened(_Body):
    """Something inside a damper was changed: by qualified hands, or its valving from outside.

    `strokes` is what is in those that were changed; `before` and `counts` are the knobs' marks
    before and after it. `gas` is as noted, never as set. `change` is the change judged as one with
    it, if there is one.
    """

    kind: Literal["damper-opened"] = "damper-opened"
    job: str
    damper: str
    corner: Corner | None = None
    from_outside: bool = False
    by: Text = ""
    strokes: dict[Stroke, InsideStroke] = {}
    gas: Text = ""
    before: dict[str, float] = {}
    counts: dict[str, float] = {}
    change: str | None = None


class DamperServiced(_Body):
    """A damper went to its maker or another trained service, or came back from there."""

    kind: Literal["damper-serviced"] = "damper-serviced"
    job: str
    damper: str
    what: Literal["sent", "back"]
    on: date
    note: Text = ""


class SpringChanged(_Body):
    """Other springs were put on an axle, both sides.

    `change` is the change judged as one with it, if a lever names the springs.
    """

    kind: Literal["spring-changed"] = "spring-changed"
    job: str
    axle: AxleEnd
    name: Text
    rate_n_per_m: float | None = Field(None, gt=0)
    change: str | None = None


class DamperDoubted(_Body):
    """The car file counts a damper's knobs otherwise than before: it may be another damper.

    `says`: what the file had, and what it has now.
    """

    kind: Literal["damper-doubted"] = "damper-doubted"
    corner: Corner
    says: Text


class DamperDoubtSettled(_Body):
    """What the crew said of a car file that counts a damper otherwise."""

    kind: Literal["damper-doubt-settled"] = "damper-doubt-settled"
    corner: Corner
    means: Literal["same", "another", "opened"]


class Unread(_Body):
    """An event of a newer program, kept as it was written; it is never made here.

    `found`, `found_version`: its own kind and version.
    """

    kind: Literal["unread"] = "unread"
    found: str
    found_version: int


Body = Annotated[
    CarDescribed
    | MeetingOpened
    | SessionChanged
    | CallTimeGiven
    | BaselineDeclared
    | PassRun
    | Answered
    | Measured
    | AnswerTakenBack
    | ItemTicked
    | DamageReported
    | AdviceGiven
    | AdviceSettled
    | ChangeProposed
    | PartChange
    | PartChangeMade
    | TurnDone
    | TurnStopped
    | TurnReopened
    | ChangeRetargeted
    | ChangeWithdrawn
    | ChangeTakenUp
    | ListOwed
    | RecordTakenBack
    | Overridden
    | Recounted
    | PairSettled
    | NoteAdded
    | ConditionsNoted
    | SlipNoted
    | WorthDeclared
    | LearntAfresh
    | PassImported
    | LogsMerged
    | SheetAnswered
    | SheetTakenBack
    | SheetContinued
    | SheetClosed
    | DamperDescribed
    | DamperFitted
    | DamperOpened
    | DamperServiced
    | SpringChanged
    | DamperDoubted
    | DamperDoubtSettled
    | Unread,
    Field(discriminator="kind"),
]

BODY: TypeAdapter[Body] = TypeAdapter(Body, config=ConfigDict(defer_build=True))


class Event(BaseModel):
    """One line of the log. `written` is the body as it was read, None for one that is new."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    id: UUID
    device: str
    seq: int = Field(ge=1)
    at: datetime
    body: Body
    written: str | None = Field(None, exclude=True, repr=False)

    def __eq__(self, other: object) -> bool:
        """Compare what is said, new or read again."""
        return isinstance(other, Event) and self._said == other._said

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Copy an event; with another body it is a new one, which was never written."""
        if update and "body" in update:
            update = {**update, "written": None}
        return super().model_copy(update=update, deep=deep)

    @property
    def _said(self) -> tuple[UUID, str, int, datetime, Body]:
        return self.id, self.device, self.seq, self.at, self.body
