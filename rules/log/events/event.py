"""What can happen, as typed events. The log only grows; the state is their fold.

Each event carries a client-made UUID, so that taking it twice is harmless, and the device that
wrote it with its own sequence number. Identifiers and times are passed in. How they lie in a log
is `rules.log.log_format`'s.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any, Self
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from rules.log.events.advice import (
    AdviceGiven,
    AdviceSettled,
    LearntAfresh,
    Overridden,
    WorthDeclared,
)
from rules.log.events.car import BaselineDeclared, CarDescribed, PairSettled, Recounted
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
from rules.log.events.dampers import (
    DamperDescribed,
    DamperDoubted,
    DamperDoubtSettled,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
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
