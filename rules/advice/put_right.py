"""After danger: what else was changed has to be put right before the car runs, or be treated."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from rules.asked import AdviceChoice, PutRightChoice, Topic
from rules.car.adjusters import Adjuster, Turn
from rules.log.changes import ADVICE
from rules.log.said import parts_changed
from rules.log.state import Run, State
from rules.question import Choice, Prompt

if TYPE_CHECKING:
    from rules.log.events.event import Body

BESIDE = "Put back what else was changed."


def owed(state: State) -> Turn | None:
    """Return the turn that is still missing of what the crew said it would put right first.

    What was changed goes back to where it stood before, as the log had it for that pass.
    """
    run = state.runs[-1] if state.runs else None
    if run is None or not run.done or run.settled_last is None:
        return None
    missing = next(_away(state, run), None)
    # Hardly any pass has something missing, and to read an advice takes long.
    if missing is None or run.followed is None:
        return None
    said = AdviceChoice.OK if run.followed.kind == "put right" else AdviceChoice.MADE
    asked = said == AdviceChoice.OK or run.followed.cause.startswith(BESIDE)
    return missing if asked and run.settled[-1:] == (said,) else None


def _away(state: State, run: Run) -> Iterator[Turn]:
    """Yield the turns to where the parts that were changed for a pass stood before."""
    changed = parts_changed(run)
    for key, one in state.fitted.items():
        stood, now = run.settings.get(key), state.settings.get(key)
        if one.part in changed and stood is not None and now is not None and now != stood:
            yield Turn(adjuster=key, before=now, after=stood)


def prompt(one: Adjuster, turn: Turn) -> Prompt:
    """Ask for the turn; the car does not run without it, unless the fault is treated instead."""
    return Prompt(
        Topic.PUT_RIGHT,
        f"{one.label} stands at {one.show(turn.before)}, not at {one.show(turn.after)} "
        "as before it was changed.",
        choices=(
            Choice(
                PutRightChoice.PUT_RIGHT,
                f"Put it right: {one.show(turn.before)} to {one.show(turn.after)}",
            ),
            Choice(PutRightChoice.TREAT, "It cannot have been that: treat the fault"),
        ),
        hint="The car does not run before one of the two.",
        subject=one.id,
    )


def bodies(state: State, turn: Turn, choice: str, new_id: Callable[[], str]) -> list[Body]:
    """Order the turn, or open the pass again to treat its fault where that was not done yet."""
    from rules.log.events.advice import AdviceSettled
    from rules.log.events.changes import ChangeProposed
    from rules.log.events.passes import AnswerTakenBack

    if choice == PutRightChoice.TREAT:
        run = state.runs[-1]
        if run.settled[-1:] == (AdviceChoice.MADE,):
            return [AdviceSettled(run=run.id, choice=choice, done=True)]
        return [
            AnswerTakenBack(run=run.id, prompt=ADVICE),
            AdviceSettled(run=run.id, choice=AdviceChoice.SKIP_CONTROL, done=False),
        ]
    label = state.fitted[turn.adjuster].label
    return [
        ChangeProposed(
            change=new_id(), origin="put back", title=f"Put right: {label}", turns=(turn,)
        )
    ]
