"""What is said of a pass: that it was run, answers, measurements, conditions, its slip."""

from dataclasses import asdict
from datetime import datetime
from typing import Literal

from pydantic import field_serializer

from rules.log.events.base import AnswerValue, EventBody, Text
from rules.log.noted import Surface
from rules.passes.slip import Slip
from rules.units import System

MeasuredWhat = Literal["lift", "airborne", "touchdown", "front ring", "rear ring", "scrape"]
PressureKind = Literal["station pressure", "altimeter setting", "sea-level barometer"]


class PassRun(EventBody):
    """The car ran, with this change on it if any was waiting for its pass."""

    kind: Literal["pass-run"] = "pass-run"
    run: str
    change: str | None = None


class Answered(EventBody):
    """An answer about a pass. A later answer to the same prompt corrects it."""

    kind: Literal["answered"] = "answered"
    run: str
    prompt: str
    value: AnswerValue


class AnswerTakenBack(EventBody):
    """The crew went back: this prompt is open again."""

    kind: Literal["answer-taken-back"] = "answer-taken-back"
    run: str
    prompt: str


class Measured(EventBody):
    """A number from a picture, a ring or a tape, and what it was worked out from; all SI."""

    kind: Literal["measured"] = "measured"
    run: str
    what: MeasuredWhat
    value: float
    give: float
    inputs: dict[str, float]


class ConditionsNoted(EventBody):
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


class SlipNoted(EventBody):
    """The time slip of a pass, in SI. A later one of the same pass corrects it."""

    kind: Literal["slip-noted"] = "slip-noted"
    run: str
    slip: Slip

    @field_serializer("slip")
    def _in_order(self, slip: Slip) -> dict[str, object]:
        return {**asdict(slip), "marks": sorted(slip.marks)}


class PassImported(EventBody):
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
