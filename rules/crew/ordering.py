"""What stands before an order: a form asks about it first, an action is refused for it."""

from collections.abc import Iterable

from rules.advice.part_back import why_part_held
from rules.advice.safety.work_gates import KNOWING, YES, asked_first, list_before, why_held
from rules.book import Book
from rules.car.adjusters import Turn, adjusters
from rules.crew.form_ends import Filled, LeftAsItStands
from rules.log.events.changes import ChangeProposed, PartChange
from rules.log.events.event import Body
from rules.log.state import State
from rules.question import ActionError, Prompt


def knowing_first(
    state: State, book: Book, filled: Filled, turns: Iterable[Turn]
) -> Prompt | LeftAsItStands | None:
    """Ask before turns that lead back to a danger; an open list is told when they are ordered."""
    turned = tuple(turns)
    return told_first(
        None if list_before(state, book, turned) else asked_first(state, turned), filled
    )


def told_first(asked: Prompt | None, filled: Filled) -> Prompt | LeftAsItStands | None:
    """Return the question about a danger while it is open; None where there is none, or a yes."""
    if asked is None or filled.get(KNOWING) == YES:
        return None
    return LeftAsItStands() if KNOWING in filled else asked


def ordered(state: State, book: Book, bodies: list[Body], *, knowing: bool) -> list[Body]:
    """Return the events of an order, unless an open list or a danger stands before it.

    Raises:
        ActionError: one does.
    """
    turns = [t for body in bodies if isinstance(body, ChangeProposed) for t in body.turns]
    undone = [body.undoes[0] for body in bodies if isinstance(body, PartChange)]
    for change in map(state.change, undone):
        if why := why_part_held(state, book, change, knowing=knowing):
            raise ActionError(why)
    if why := why_held(state, book, tuple(turns), knowing=knowing):
        raise ActionError(why)
    return bodies


def refuse_half_done(state: State, what: str) -> None:
    """Refuse what waits until a work order is finished and every count is known.

    Raises:
        ActionError: it waits.
    """
    change = state.work_order
    if change is not None:
        raise ActionError(f"{what} waits: the work order {change.title!r} is not finished")
    refuse_uncounted(state, what)


def refuse_uncounted(state: State, what: str) -> None:
    """Refuse what waits until every count is known.

    Raises:
        ActionError: it waits.
    """
    labels = [
        one.label for key, one in adjusters(state.described_car).items() if key in state.to_recount
    ]
    if labels:
        raise ActionError(f"{what} waits: {labels[0]} has to be recounted first")
