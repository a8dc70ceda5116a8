"""What the car is and where it stands: its file, a baseline, what a count found."""

from functools import cached_property
from typing import Literal

from pydantic import Field

from rules.car.model import Car
from rules.log.events.base import EventBody, Plain, Text


class CarDescribed(EventBody):
    """The car file was read. The first one seeds every setting from the file's starts."""

    kind: Literal["car-described"] = "car-described"
    version = 5
    stored: Plain = Field(alias="car")

    @cached_property
    def car(self) -> Car:
        """The car; what this program does not know of it is passed over."""
        return Car.model_validate(dict(self.stored), extra="ignore")


class BaselineDeclared(EventBody):
    """The place to which the car can always be put back; `facts` as typed on a walk round it."""

    kind: Literal["baseline-declared"] = "baseline-declared"
    baseline: str
    name: Text
    settings: dict[str, float]
    facts: dict[str, Text] = {}


class Recounted(EventBody):
    """What was physically found on an adjuster."""

    kind: Literal["recounted"] = "recounted"
    adjuster: str
    found: float


class PairSettled(EventBody):
    """What becomes of a pair of which a recount found one side elsewhere."""

    kind: Literal["pair-settled"] = "pair-settled"
    adjuster: str
    choice: Literal["put right", "keep", "later"]
