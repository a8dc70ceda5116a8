"""THE decider: what follows a pass, by one list of steps; the advice and the verdict page read it.

Each step says what it would do about a pass, or leaves it to the next one. Nothing else decides:
the statistics only say what is believed, and the safety gates stand above every step.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from rules.advice.after_verdict import after_the_verdict
from rules.advice.by_time import by_time, proven_off_the_car, speaks_against
from rules.advice.candidates import Candidate, Considered, candidates
from rules.advice.change_evidence import danger_of, latest_tried
from rules.advice.choosing import choose
from rules.advice.made_whole import made_whole
from rules.advice.own_change import suspected
from rules.advice.safety.gates import open_blocks
from rules.advice.safety.turn_gates import refused
from rules.advice.says_too_little import lane_alone, nothing_seen, unjudged
from rules.advice.situation import Situation, situation
from rules.book import Book
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change
from rules.log.other_parts import is_evidence
from rules.log.said import GOOD, named_symptoms
from rules.log.state import Run, State
from rules.log.way_back import undo_turns
from rules.once import AsFound

Act = Literal["keep", "put back", "go further", "half back", "repeat"]
Step = Callable[[Situation, Considered], Draft | None]

# The order in which a pass is decided: the first step that says something has the word.
STEPS: tuple[Step, ...] = (
    made_whole,
    unjudged,
    nothing_seen,
    suspected,
    lane_alone,
    after_the_verdict,
    choose,
)
INSPECT = "Inspect before the next pass: no turn of a knob clears what was seen."


@dataclass(frozen=True)
class Decision:
    """What follows a pass: what is said and turned, and what is considered beside it."""

    draft: Draft
    considered: AsFound[Candidate]

    @property
    def alternatives(self) -> tuple[Candidate, ...]:
        """Every rule there is for it, sized on this car."""
        return tuple(self.considered)


@dataclass(frozen=True)
class FollowUp:
    """What a decision means for a change: the act, why, and what else the crew must hear.

    `act` is None where something goes before the change itself; `reason` then says what.
    """

    act: Act | None
    reason: str
    cautions: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The reason with its cautions."""
        return " ".join((self.reason, *self.cautions))


def decide(now: Situation) -> Decision:
    """Return what follows a pass."""
    considered = candidates(now)
    said = (step(now, considered) for step in STEPS)
    draft = next(draft for draft in said if draft is not None)
    if draft.kind == "leave" and GOOD in named_symptoms(now.state, now.run):
        draft = proven_off_the_car(now) or draft
    return Decision(draft, considered)


def follow_up(state: State, book: Book, change: Change) -> FollowUp | None:
    """Return what the decision on its pass means for a change; None where it is not judged alone.

    What the log holds of an advice stands as it was given; before it, the pass is decided here.
    """
    runs = state.runs_of(change)
    if state.car is None or not runs or not is_evidence(state, change):
        return None
    if change.status == "withdrawn":
        return None
    run = _decided_by(state, change, runs[-1])
    given = run.advice or run.followed
    now = situation(state, run, book)
    draft = given if given is not None else decide(now).draft
    act = act_of(draft, change)
    danger = bool(danger_of(state, book, run))
    if act is None or (act == "keep" and danger and run != runs[-1]):
        return FollowUp(None, f"The advice on pass {run.number} goes first: {draft.title}.")
    reason = draft.cause if act != "keep" else _kept(now, change, draft)
    forbidden = _forbidden(now, change) if act == "go further" else ""
    cautions = (forbidden, INSPECT if danger and open_blocks(state, book) else "")
    return FollowUp(act, reason, tuple(one for one in cautions if one))


def act_of(draft: Draft, change: Change) -> Act | None:
    """Return what a draft does with a change; None where it does something else with its levers.

    Nothing is kept under a list that is not ticked, nor on a car that stays.
    """
    moved = {step.turn.adjuster for step in change.steps if step.moved}
    touches = bool(moved & {turn.adjuster for turn in draft.turns})
    if draft.kind == PUT_BACK and (change.id in draft.undoes or (touches and not draft.undoes)):
        return "put back"
    if draft.kind == "control":
        return "repeat"
    if draft.rule is not None and draft.rule == change.rule and touches:
        if draft.kind == "half back":
            return "half back"
        if draft.kind == "turn":
            return "go further"
    return None if touches or draft.kind in ("inspect", "stop") else "keep"


def _decided_by(state: State, change: Change, own: Run) -> Run:
    """Return the pass that decides about a change: the open one, where it speaks of the change."""
    run = state.open_run
    if run is None or run.number <= own.number or run.meeting != change.meeting:
        return own
    undone = run.advice is not None and change.id in run.advice.undoes
    says = run.advice is not None or bool(named_symptoms(state, run))
    return run if undone or (says and change == next(latest_tried(state))) else own


def _forbidden(now: Situation, change: Change) -> str:
    """Say which gate forbids the way back from a change after a danger, or nothing."""
    turns = undo_turns(now.state, [change])
    never = refused(now, turns, back=True) if now.danger and turns else ""
    return f"No put back here: {never}." if never else ""


def _kept(now: Situation, change: Change, draft: Draft) -> str:
    """Say why a change stays on the car, and what is done beside it."""
    if forbidden := _forbidden(now, change):
        return forbidden
    if change.verdict == "gone":
        costs = speaks_against(by_time(now, change))
        return f"The fault is gone{', and by the clock it likely costs time' if costs else ''}."
    if draft.kind == "leave":
        return draft.cause
    return f"It stays on; next: {draft.title}."
