"""Dampers and springs as parts: described, fitted, opened, serviced, doubted."""

from datetime import date
from functools import cached_property
from typing import Literal

from pydantic import Field

from rules.car.damper_record import DamperRecord, InsideStroke, Stroke
from rules.car.model import AxleEnd, Corner
from rules.log.events.base import EventBody, Plain, Text


class DamperDescribed(EventBody):
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


class DamperFitted(EventBody):
    """Another damper was put on at a corner, and the one that stood there is off.

    `damper` is empty where nothing stands there now. `job` is what was done in one go: its list is
    ticked once. `counts` are what was read on the damper's knobs, in whole marks, by adjuster.
    """

    kind: Literal["damper-fitted"] = "damper-fitted"
    job: str
    damper: str
    corner: Corner
    counts: dict[str, float] = {}


class DamperOpened(EventBody):
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


class DamperServiced(EventBody):
    """A damper went to its maker or another trained service, or came back from there."""

    kind: Literal["damper-serviced"] = "damper-serviced"
    job: str
    damper: str
    what: Literal["sent", "back"]
    on: date
    note: Text = ""


class SpringChanged(EventBody):
    """Other springs were put on an axle, both sides.

    `change` is the change judged as one with it, if a lever names the springs.
    """

    kind: Literal["spring-changed"] = "spring-changed"
    job: str
    axle: AxleEnd
    name: Text
    rate_n_per_m: float | None = Field(None, gt=0)
    change: str | None = None


class DamperDoubted(EventBody):
    """The car file counts a damper's knobs otherwise than before: it may be another damper.

    `says`: what the file had, and what it has now.
    """

    kind: Literal["damper-doubted"] = "damper-doubted"
    corner: Corner
    says: Text


class DamperDoubtSettled(EventBody):
    """What the crew said of a car file that counts a damper otherwise."""

    kind: Literal["damper-doubt-settled"] = "damper-doubt-settled"
    corner: Corner
    means: Literal["same", "another", "opened"]
