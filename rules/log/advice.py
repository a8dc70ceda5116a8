"""What the tool says: one piece of advice, with everything needed to explain and replay it."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

from rules.car.adjusters import Turn
from rules.launch.proposed_change import Expected

AdviceKind = Literal[
    "turn",
    "half back",
    "put back",
    "put right",
    "leave",
    "inspect",
    "control",
    "stop",
    "ladder",
    "measure",
]


class Alternative(BaseModel):
    """Another rule for the same symptom, and why it was not chosen."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    rule: str
    what: str
    lost: str


class ModelBasis(BaseModel):
    """What the launch model was run with, beside the car, its settings and the facts."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    version: int
    seed: int
    cars: int


class Evidence(BaseModel):
    """What the 60-foot times said of the change that was judged, in seconds."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    word: str
    effect_s: float
    quicker: float
    worth_s: float
    passes: tuple[int, ...]


class Basis(BaseModel):
    """The inputs of an advice: enough to compute it again."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    book: str
    version: str
    facts: dict[str, str | float | tuple[str, ...]]
    settings: dict[str, float]
    tried: dict[str, tuple[str, ...]] = {}
    session: str | None
    minutes_left: int | None = None
    model: ModelBasis | None = None
    evidence: Evidence | None = None


class Draft(BaseModel):
    """What is said. Texts are the book's; the screen puts them in the crew's words."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    kind: AdviceKind
    title: str
    rule: str | None = None
    upward: bool | None = None
    turns: tuple[Turn, ...] = ()
    undoes: tuple[str, ...] = ()
    inspection: str | None = None
    cause: str = ""
    why: str = ""
    expect: str = ""
    look_for: str = ""
    put_back_if: str = ""
    minutes: int = 0
    tools: str = "none"
    cautions: tuple[str, ...] = ()
    label: str = "common practice, no source"
    lines: tuple[str, ...] = ()


class Advice(Draft):
    """One piece of advice: what is said, what else was considered, and its inputs.

    expected: what the launch model says of a turn, where it was asked.
    """

    symptom: str | None = None
    order_reason: str = ""
    alternatives: tuple[Alternative, ...] = ()
    expected: Expected | None = None
    basis: Basis
