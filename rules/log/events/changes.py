"""The life of a change: ordered, made turn by turn, sent elsewhere, withdrawn, taken up."""

from typing import Literal

from pydantic import Field

from rules.car.adjusters import Turn
from rules.car.damper_record import Stroke
from rules.car.model import Corner
from rules.log.events.base import EventBody, Text

StopReason = Literal["stops early", "cannot reach", "not done"]


class ChangeProposed(EventBody):
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


class PartChange(EventBody):
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


class PartChangeMade(EventBody):
    """The part of a change is in."""

    kind: Literal["part-change-made"] = "part-change-made"
    change: str


class TurnDone(EventBody):
    """The hand under the car ticked off one turn."""

    kind: Literal["turn-done"] = "turn-done"
    change: str
    adjuster: str


class TurnStopped(EventBody):
    """One turn could not be made as written; `reached` is where the adjuster now stands,
    None while that is still to be said."""

    kind: Literal["turn-stopped"] = "turn-stopped"
    change: str
    adjuster: str
    reason: StopReason
    reached: float | None


class TurnReopened(EventBody):
    """A stopped turn is tried again."""

    kind: Literal["turn-reopened"] = "turn-reopened"
    change: str
    adjuster: str


class ChangeRetargeted(EventBody):
    """The change goes elsewhere: to what every side could reach, or on from what was found."""

    kind: Literal["change-retargeted"] = "change-retargeted"
    change: str
    turns: tuple[Turn, ...]


class ChangeWithdrawn(EventBody):
    """The change is off: nothing of it is on the car, or its put-back is done."""

    kind: Literal["change-withdrawn"] = "change-withdrawn"
    change: str
    why: Text


class ChangeTakenUp(EventBody):
    """A change waits for its pass again, as it was written: what lay on top of it is off the car,
    or a side of it that had never moved is put right.

    `after`: the passes up to this number were made without all of it, and say nothing of it.
    """

    kind: Literal["change-taken-up"] = "change-taken-up"
    change: str
    after: int = 0
