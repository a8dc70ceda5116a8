"""What was advised, what the crew made of it, and what it goes by from then on."""

from functools import cached_property
from typing import Literal

from pydantic import Field

from rules.log.advice import Advice
from rules.log.events.base import EventBody, Plain, Text
from rules.log.noted import Given


class AdviceGiven(EventBody):
    """What the tool said about a pass, with its inputs."""

    kind: Literal["advice-given"] = "advice-given"
    run: str
    stored: Plain = Field(alias="advice")

    @cached_property
    def advice(self) -> Advice:
        """The advice, read when it is asked for; what this program does not know is passed over."""
        return Given(self.stored).advice


class AdviceSettled(EventBody):
    """What the crew did with it; `done` closes the pass."""

    kind: Literal["advice-settled"] = "advice-settled"
    run: str
    choice: str
    done: bool


class Overridden(EventBody):
    """The crew went past a block that may be passed, and said why."""

    kind: Literal["overridden"] = "overridden"
    block: Literal["open change", "control pass"]
    change: str | None = None
    run: str | None = None
    reason: str
    text: Text = ""


class WorthDeclared(EventBody):
    """The smallest gain of the 60-foot that is worth a change, for changes from here on."""

    kind: Literal["worth-declared"] = "worth-declared"
    gain_s: float = Field(gt=0.0, le=1.0)


class LearntAfresh(EventBody):
    """The launch learns this car anew: no pass before this teaches it anything.

    taken_back: the last such beginning is off again, and the passes before it count as they did.
    """

    kind: Literal["learnt-afresh"] = "learnt-afresh"
    taken_back: bool = False
