"""The life of a change: proposed, part-applied, applied, run, judged or withdrawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from rules.car.adjusters import Turn
from rules.car.model import Corner
from rules.evidence.worth import USUAL_WORTH_S
from rules.log.dampers import Parts
from rules.replaced import replace

if TYPE_CHECKING:
    from rules.car.damper_record import Stroke
    from rules.log.events.changes import StopReason

PUT_BACK = "put back"


ADVICE = "advice"


RAN = "ran"


Verdict = Literal["gone", "better", "same", "worse", "other"]
Status = Literal["proposed", "part-applied", "applied", "run", "judged", "withdrawn"]
Happening = Literal[
    "one turn made",
    "every turn made",
    "turn reopened",
    "pass run",
    "pass taken back",
    "verdict given",
    "verdict taken back",
    "withdrawn",
]

TRANSITIONS: dict[tuple[Status, Happening], Status] = {
    ("proposed", "one turn made"): "part-applied",
    ("proposed", "every turn made"): "applied",
    ("proposed", "turn reopened"): "proposed",
    ("proposed", "withdrawn"): "withdrawn",
    ("part-applied", "one turn made"): "part-applied",
    ("part-applied", "every turn made"): "applied",
    ("part-applied", "turn reopened"): "part-applied",
    ("part-applied", "withdrawn"): "withdrawn",
    ("applied", "turn reopened"): "part-applied",
    ("applied", "pass run"): "run",
    ("applied", "withdrawn"): "withdrawn",
    ("run", "pass run"): "run",
    ("run", "pass taken back"): "applied",
    ("run", "verdict given"): "judged",
    ("run", "withdrawn"): "withdrawn",
    ("judged", "verdict given"): "judged",
    ("judged", "verdict taken back"): "run",
    ("judged", "withdrawn"): "withdrawn",
}


class IllegalTransitionError(ValueError):
    """A change cannot go that way from where it stands."""


def advance(status: Status, happening: Happening) -> Status:
    """Return where a change goes.

    Raises:
        IllegalTransitionError: where the life of a change has no such step.
    """
    try:
        return TRANSITIONS[status, happening]
    except KeyError:
        raise IllegalTransitionError(f"a change that is {status} cannot see: {happening}") from None


@dataclass(frozen=True)
class Step:
    """One turn of a change and how far it got."""

    turn: Turn
    state: Literal["open", "done", "stopped"] = "open"
    reason: StopReason | None = None
    reached: float | None = None

    @property
    def now(self) -> float:
        """Where the adjuster stands as far as this step knows."""
        if self.state == "done":
            return self.turn.after
        return self.turn.before if self.reached is None else self.reached

    @property
    def to_go(self) -> Turn:
        """What a hand is told: from where the adjuster stands now to the goal."""
        return replace(self.turn, before=self.now)

    @property
    def is_unreached(self) -> bool:
        """Whether no hand got at its knob."""
        return self.state == "stopped" and self.reason == "cannot reach"

    @property
    def moved(self) -> float:
        """Return the signed movement made so far."""
        return self.now - self.turn.before


@dataclass(frozen=True)
class PartMade:
    """What a change changed that no lever of the car file names: a valving or an axle's springs.

    before, after: what came out and what went in, as the crew calls it; empty where nobody said.
    stood: where the knobs at its places stood before it, by adjuster.
    """

    what: Literal["valving", "spring"]
    places: tuple[Corner, ...]
    strokes: tuple[Stroke, ...] = ()
    before: str = ""
    after: str = ""
    stood: Mapping[str, float] = field(default_factory=dict)

    @property
    def where(self) -> str:
        """Name the part by its place: front rebound valving, both sides."""
        axle = self.places[0].split()[-1]
        if self.what == "spring":
            return f"{axle} springs"
        stroke = f"{self.strokes[0]} " if len(self.strokes) == 1 else ""
        both = len(self.places) > 1
        return f"{axle if both else self.places[0]} {stroke}valving{', both sides' if both else ''}"

    @property
    def back(self) -> str:
        """Name what is on the car once the part is back."""
        unnamed = "the springs before" if self.what == "spring" else "what was in before"
        return self.before or unnamed


@dataclass(frozen=True)
class Change:
    """A change and its life.

    `runs` are the passes made with it, `passes` counts those in the log when it was proposed;
    `worth_s` is the gain of the 60-foot that was declared to be worth a change by then;
    `mixed_before` is what `mixed` was before another turn came on top, `off_why` why it is off, and
    passes up to the number `said_after` were made without all of it. `parts` are the dampers and
    springs that stood on the car when it was proposed. `part` is what it changed inside a damper or
    at the springs where no lever names it: then it has no step.
    """

    id: str
    origin: Literal["advice", "own", "put back"]
    title: str
    steps: tuple[Step, ...]
    meeting: str | None
    status: Status = "proposed"
    rule: str | None = None
    symptom: str | None = None
    half_back: bool = False
    undoes: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    verdict: Verdict | None = None
    set_aside: str = ""
    mixed: bool = False
    in_doubt: bool = False
    run: str | None = None
    passes: int = 0
    worth_s: float | None = None
    mixed_before: bool = False
    off_why: str = ""
    said_after: int = 0
    parts: Parts = field(default_factory=dict)
    part: PartMade | None = None

    @property
    def worth(self) -> float:
        """The smallest gain of the 60-foot that counts [s]: the declared one, or the usual one."""
        return USUAL_WORTH_S if self.worth_s is None else self.worth_s

    @property
    def is_made(self) -> bool:
        """Whether anything of it was ever put on the car."""
        if self.part is not None:
            return self.status not in ("proposed", "withdrawn") or bool(self.runs)
        return any(step.moved for step in self.steps)

    @property
    def is_open(self) -> bool:
        """Whether this change still waits for something."""
        if self.set_aside:
            return False
        if self.origin == "put back":
            return self.status in ("proposed", "part-applied")
        return self.status not in ("judged", "withdrawn")

    def turns(self, adjuster: str) -> bool:
        """Tell whether it turns an adjuster."""
        return any(step.turn.adjuster == adjuster for step in self.steps)

    @property
    def stopped(self) -> tuple[Step, ...]:
        """Steps that could not be made as written."""
        return tuple(step for step in self.steps if step.state == "stopped")

    @property
    def next_step(self) -> Step | None:
        """The first step still open."""
        return next((step for step in self.steps if step.state == "open"), None)

    @property
    def counts_as_evidence(self) -> bool:
        """Whether its verdict says something about its rule."""
        return self.verdict is not None and not (self.mixed or self.in_doubt or self.set_aside)

    def with_step(self, step: Step) -> Change:
        """Return the change with the step of the same adjuster replaced, its status advanced."""
        steps = tuple(step if s.turn.adjuster == step.turn.adjuster else s for s in self.steps)
        changed = replace(self, steps=steps)
        if all(s.state == "done" for s in steps):
            return replace(changed, status=advance(self.status, "every turn made"))
        if any(s.moved for s in steps):
            return replace(changed, status=advance(self.status, "one turn made"))
        return changed


def is_in(change: Change) -> bool:
    """Tell whether a valving or springs of a change that no lever names are on the car."""
    on = change.part is not None and change.is_made
    return on and change.origin != PUT_BACK and change.status != "withdrawn"
