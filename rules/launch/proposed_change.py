"""What the launch model expects of a change: what is asked of it, and what it answers.

Only the words for it: the model itself is in `rules.launch.forecast`, which needs the array
library and is loaded when it is first asked.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from pydantic import BaseModel, ConfigDict

from rules.book.facts import Fact
from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.pass_conditions import NOT_NOTED, PassConditions

MODEL_VERSION = 7
NEEDED = ("masses.total", "geometry.wheelbase")

Measure = Literal["length", "distance", "force", "time"]
Standing = Literal[
    "agrees", "disagrees", "small effect", "unsure", "not modelled", "too little known"
]


class Range(BaseModel):
    """The 10, 50 and 90 % quantiles of the cloud of cars, in SI."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    low: float
    middle: float
    high: float


class Effect(BaseModel):
    """One number of the launch with today's settings and with the proposed ones.

    less, more: share of the cars on which the number clearly falls and clearly rises [-].
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    name: str
    measure: Measure
    before: Range
    after: Range
    less: float
    more: float


class Expected(BaseModel):
    """What the launch model says of a change, and what it made of the trade's step.

    standing: whether model and rule agree, or why the model has no say.
    goal: the number that the symptom hangs on, by its name in `effects`.
    helps: share of the cars that the change moves, on which it helps [-].
    enough: share of the cars on which it cures the symptom with a margin [-].
    step, trade_step: in the lever's own steps.
    fits: share of the chosen cars that do what the crew saw [-]; 0 where they were learnt pass by
    pass, which weighs each by how well it does.
    passes: how many passes they were chosen by, this one among them.
    effective: how many different cars they stand for.
    leaves_model: share of the cars that overturn or leave the model afterwards [-].
    measure_first: keys of the car file, in the order in which they would narrow the answer.
    seed, cars, version: the inputs beside the car, its settings and the answers.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    standing: Standing
    reason: str
    goal: str = ""
    trade_step: int
    step: int
    helps: float = 0.0
    enough: float = 0.0
    fits: float = 0.0
    passes: int = 0
    effective: float = 0.0
    leaves_model: float = 0.0
    effects: tuple[Effect, ...] = ()
    measure_first: tuple[str, ...] = ()
    not_modelled: tuple[str, ...] = ()
    seed: int = 0
    cars: int = 0
    version: int = MODEL_VERSION

    def effect(self, name: str) -> Effect | None:
        """Return an effect by its name."""
        return next((one for one in self.effects if one.name == name), None)


@dataclass(frozen=True)
class Seen:
    """What a crew saw and measured on a pass, and the settings it was made with.

    settings: by adjuster id.  facts: by prompt.
    measured: by `rules.measured.KINDS`: the value and its give [SI].
    braked: the front ring was read after hard braking, see `rules.reading_ends`.
    symptoms: those named.  treated, verdict: what the change of the pass was for, and what was said
    of it against the pass before.  sixty_s: the 60-foot time [s].  meeting: where it was made.
    noted: its lane, air and track.
    weight: how much what was seen counts [-].  apart: its thrust and grip were not as on others.
    """

    settings: tuple[tuple[str, float], ...] = ()
    facts: tuple[tuple[str, Fact], ...] = ()
    measured: tuple[tuple[str, tuple[float, float]], ...] = ()
    braked: bool = False
    symptoms: tuple[str, ...] = ()
    treated: str = ""
    verdict: str = ""
    sixty_s: float | None = None
    meeting: str = ""
    noted: PassConditions = NOT_NOTED
    weight: float = 1.0
    apart: bool = False


@dataclass(frozen=True)
class ProposedChange:
    """A change that the rules propose, as the model is asked about it.

    settings: today's, by adjuster id.
    steps: the settings after 1, 2, ... steps, the trade's step last; none where nothing is turned.
    symptom, upward: what is treated, and whether the rule goes firmer (more, longer, ...).
    levers: adjusters that move.  facts: what the crew saw on this pass, by prompt.
    measured: what was measured on it, by `rules.measured.KINDS`: the value and its give [SI].
    danger: the pass showed danger, after which the trade's step stays as it is.
    earlier: the passes before it that say something of the car, the latest first.
    braked: the front ring was read after hard braking.
    """

    car: Car
    settings: Mapping[str, float]
    steps: tuple[Settings, ...]
    symptom: str
    upward: bool
    levers: tuple[str, ...]
    facts: Mapping[str, Fact]
    measured: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    danger: bool = False
    earlier: tuple[Seen, ...] = ()
    braked: bool = False

    @property
    def seen(self) -> tuple[Seen, ...]:
        """What this pass and those before it showed, the latest first."""
        now = Seen(
            tuple(sorted(self.settings.items())),
            tuple(sorted(self.facts.items(), key=lambda one: one[0])),
            tuple(sorted(self.measured.items())),
            self.braked,
        )
        return (now, *self.earlier)


def missing(car: Car) -> tuple[str, ...]:
    """Return which keys are wanted before a launch can be worked out at all."""
    masses = car.masses
    corners = (masses.left_front_kg, masses.right_front_kg, masses.left_rear_kg)
    weighed = masses.total_kg is not None or None not in (*corners, masses.right_rear_kg)
    found = () if weighed else (NEEDED[0],)
    return found if car.geometry.wheelbase_m is not None else (*found, NEEDED[1])
