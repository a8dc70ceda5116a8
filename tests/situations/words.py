"""A situation as data: a car, a history, what was seen, and what a careful crew chief says to it.

What is wanted is written in a few words, one after the other:

- a kind of advice: `inspect`, `measure`, `control`, `leave`, `put right`, `put back`, `half back`,
  `ladder`, `stop`;
- `pass` (the car waits for its pass), `order` (turns are ordered), `settle` (a half-made change);
- `stuck` (a measure with no way on), `to see` (another pass with nothing changed), `any turn`,
  `any knob`, `early order` (turns ordered while a list is open);
- a lever and a way: `front high compression firmer <=4`, `launch rpm less`, `front knob any`. A
  number is in the adjuster's own steps, for each side.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from rules.car.adjusters import Adjuster, Turn
from rules.car.model import Car

Said = Mapping[str, Any]
UP = {"firmer", "more", "longer", "stiffer", "higher"}
DOWN = {"softer", "less", "shorter", "lower"}
ADVISED = "half back,put back,put right,leave,inspect,control,stop,ladder,measure"
KINDS = {*ADVISED.split(","), "pass", "order", "settle"}


@dataclass(frozen=True)
class Pass:
    """A pass of the history: what was said of it, and what the crew did with the advice.

    made: the turn that was advised and made, in words; empty where the advice was left.
    half: only the first side of it was turned, the other could not be reached.
    """

    said: Said
    made: str = ""
    half: bool = False
    marks: tuple[str, ...] = ()
    minutes: int | None = None


@dataclass(frozen=True)
class Do:
    """An action of the crew, outside the questions."""

    action: str
    fields: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Answer:
    """An answer to whatever question is open, by the beginning of its id."""

    prompt: str
    value: Any


@dataclass(frozen=True)
class Until:
    """A pass that is talked about until a question is open, by the beginning of its id."""

    prompt: str
    said: Said


Step = Pass | Do | Answer | Until


@dataclass(frozen=True)
class Situation:
    """What a careful crew chief accepts and forbids.

    accepts: with every question answered as it was. unknown: with "don't know" to every one.
    forbids: whatever is answered. says: one of these is read on the way there. unsaid: none of
    these is in what is advised with every answer given.
    """

    name: str
    car: Car
    seen: Pass | None
    accepts: tuple[str, ...]
    unknown: tuple[str, ...]
    forbids: tuple[str, ...] = ()
    history: tuple[Step, ...] = ()
    session: str = "test"
    says: tuple[str, ...] = ()
    unsaid: tuple[str, ...] = ()
    why: str = ""


NOT_SURE = ("measure", "inspect", "control", "leave")
# After a danger: less lift is right whatever is not known, and so is staying.
LESS_LIFT = ("front rebound firmer <=4", "launch rpm less")
AFTER_DANGER = (*LESS_LIFT, "measure", "inspect", "stop")
# Whatever was answered after a danger.
NEVER_UP = (
    "front rebound softer",
    "front spring softer",
    "front travel limiter longer",
    "launch rpm more",
    "to see",
)


def situation(
    name: str,
    car: Car,
    seen: Mapping[str, Any] | Pass | None,
    accepts: Iterable[str] | str,
    forbids: Iterable[str] = (),
    unknown: Iterable[str] | None = None,
    **more: Any,
) -> Situation:
    """Make a situation; underscores of what was seen are hyphens."""
    wanted = (accepts,) if isinstance(accepts, str) else tuple(accepts)
    last = said(**seen) if isinstance(seen, Mapping) else seen
    unsure = (*wanted, *NOT_SURE) if unknown is None else tuple(unknown)
    return Situation(name, car, last, wanted, unsure, tuple(forbids), **more)


def said(
    *symptoms: str,
    made: str = "",
    half: bool = False,
    marks: tuple[str, ...] = (),
    minutes: int | None = None,
    **answers: Any,
) -> Pass:
    """Make a pass: the symptoms named, then the answers by their question."""
    told: dict[str, Any] = {key.replace("_", "-"): value for key, value in answers.items()}
    if symptoms:
        told["symptoms"] = list(symptoms)
    return Pass(told, made, half, marks, minutes)


@dataclass(frozen=True)
class Outcome:
    """Where one way through the questions ended."""

    kind: str
    title: str
    turns: tuple[Turn, ...] = ()
    text: str = ""
    stuck: bool = False
    to_see: bool = False
    early: bool = False
    path: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.kind}: {self.title}"


def fits(words: str, outcome: Outcome, fitted: Mapping[str, Adjuster]) -> bool:
    """Tell whether an outcome is what these words say, every turn of it."""
    return _fits(words, outcome, fitted, all)


def touches(words: str, outcome: Outcome, fitted: Mapping[str, Adjuster]) -> bool:
    """Tell whether any part of an outcome is what these words forbid."""
    return _fits(words, outcome, fitted, any)


def _fits(words: str, outcome: Outcome, fitted: Mapping[str, Adjuster], of: Any) -> bool:
    match words:
        case "stuck":
            return outcome.stuck
        case "to see":
            return outcome.to_see
        case "early order":
            return outcome.early
        case "any turn":
            return bool(outcome.turns)
        case "any knob":
            return any(fitted[turn.adjuster].part == "knob" for turn in outcome.turns)
    if words in KINDS:
        return outcome.kind == words
    if not outcome.turns:
        return False
    return bool(of(_turn_fits(words, turn, fitted[turn.adjuster]) for turn in outcome.turns))


def _turn_fits(words: str, turn: Turn, one: Adjuster) -> bool:
    parts = words.split()
    steps = abs(turn.after - turn.before) / one.step
    if parts[-1][:2] in ("<=", ">="):
        bound = parts.pop()
        limit = float(bound[2:])
        if (bound[0] == "<" and steps > limit + 1e-9) or (bound[0] == ">" and steps < limit - 1e-9):
            return False
    way = parts.pop()
    upward = (turn.after - turn.before) * one.up(True) > 0
    if way != "any" and way not in UP | DOWN:
        raise ValueError(f"{words!r}: found {way!r}, wanted a way")
    if way != "any" and upward != (way in UP):
        return False
    return _lever_fits(parts, one)


def _lever_fits(parts: list[str], one: Adjuster) -> bool:
    if parts[0] in ("front", "rear"):
        if one.axle != parts[0]:
            return False
        parts = parts[1:]
    if one.part != "knob":
        return one.part == " ".join(parts)
    if parts == ["knob"]:
        return True
    if parts[0] in ("high", "low"):
        if one.speed not in (parts[0], "all", "unknown"):
            return False
        parts = parts[1:]
    return len(parts) == 1 and one.controls in (parts[0], "both")
