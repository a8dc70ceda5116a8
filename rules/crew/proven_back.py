"""The way to the nearest proved setting, as an action: a put-back like any other."""

from typing import Literal

from pydantic import Field

from rules.advice.safety.proven import nearest_proven
from rules.book import Book
from rules.car.adjusters import Turn
from rules.crew.crew_action import CrewAction
from rules.log.changes import Change
from rules.log.state import State
from rules.question import AnswerError


class PutBackToProven(CrewAction):
    """Put the car back to the proved setting nearest to the pass that comes, as it was on `run`.

    `knowing` of the danger that is named with it, if one is.
    """

    action: Literal["put back to proven"] = "put back to proven"
    run: int = Field(ge=1)
    knowing: bool = False


def way_to_proven(
    state: State, book: Book, action: PutBackToProven
) -> tuple[str, tuple[Turn, ...], list[Change]]:
    """Return the title of the put-back, its turns, and the changes that it undoes.

    Raises:
        AnswerError: another setting is the nearest, or the car stands there.
    """
    found = nearest_proven(state, book, state.coming)
    if found is None or found.run.number != action.run:
        wanted = f"{found.run.number}, the nearest that is proved" if found else "none: none is"
        raise AnswerError(f"run: found {action.run}; wanted {wanted}")
    if not found.turns:
        raise AnswerError(f"every setting stands as on pass {action.run} already")
    turned = {turn.adjuster for turn in found.turns}
    undone = [
        change
        for change in state.changes
        if change.passes >= action.run
        and change.origin != "put back"
        and change.status != "withdrawn"
        and turned & {step.turn.adjuster for step in change.steps if step.moved}
    ]
    return f"Put back as on pass {action.run}", found.turns, undone
