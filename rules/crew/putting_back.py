"""The way back as an order: the last change undone, the baseline, the nearest proved setting."""

from collections.abc import Iterator
from typing import Literal

from rules.advice.part_back import part_asked_first
from rules.advice.safety.proven import nearest_proven
from rules.advice.safety.work_gates import KNOWING
from rules.book import Book
from rules.car.adjusters import Turn
from rules.crew import part_change
from rules.crew.crew_action import CrewAction
from rules.crew.form_ends import Filled, LeftAsItStands
from rules.crew.ordering import knowing_first, refuse_uncounted, told_first
from rules.crew.proven_back import PutBackToProven
from rules.faults import there
from rules.log.changes import Change, is_in
from rules.log.events.changes import ChangeProposed, ChangeWithdrawn
from rules.log.events.event import Body
from rules.log.other_parts import of_other_parts
from rules.log.state import State
from rules.log.way_back import baseline_turns, last_change, parts_off_baseline, undo_turns
from rules.log.work_orders import no_more_put_backs
from rules.question import ActionError, Choice, NewId, Prompt


class UndoLast(CrewAction):
    """Put the last change back. `knowing` of the danger it may lead back to, if one is named."""

    action: Literal["undo last change"] = "undo last change"
    knowing: bool = False


class PutBack(CrewAction):
    """Put the car back to the baseline in force. `knowing` as with the last change."""

    action: Literal["put back to baseline"] = "put back to baseline"
    knowing: bool = False


def next_step(
    state: State, book: Book, filled: Filled
) -> Prompt | UndoLast | PutBack | PutBackToProven | LeftAsItStands:
    """Ask how far to go back."""
    if "how far" not in filled:
        last = last_change(state)
        baseline = state.baseline.name if state.baseline else ""
        other = of_other_parts(state, state.baseline) if state.baseline else ""
        baseline += f" ({other})" if other else ""
        change = state.open_change
        waits = change is not None and not is_in(change)
        off = bool(baseline_turns(state) or parts_off_baseline(state)) or waits
        return Prompt(
            "how far",
            "Put back: how far?",
            choices=(
                Choice(
                    "last",
                    f"Undo the last change: {last.title}" if last else "Undo the last change",
                    "" if last else "there is none on the car",
                ),
                Choice(
                    "baseline",
                    f"Everything to the baseline: {baseline}",
                    "" if off else "everything stands there already",
                ),
                *_to_proven(state, book),
            ),
        )
    if filled["how far"] == "proven":
        return _back_to_proven(state, book, filled)
    last = last_change(state)
    back = filled["how far"] == "baseline"
    turns = baseline_turns(state) if back else undo_turns(state, [last] if last else [])
    if last is not None and last.part is not None and not back:
        asked = told_first(part_asked_first(state, book, last), filled)
        return asked or UndoLast(knowing=KNOWING in filled)
    parts = (part_asked_first(state, book, one) for one in parts_off_baseline(state))
    if back and (asked := told_first(next(filter(None, parts), None), filled)) is not None:
        return asked
    action = PutBack if back else UndoLast
    return knowing_first(state, book, filled, turns) or action(knowing=KNOWING in filled)


def _to_proven(state: State, book: Book) -> Iterator[Choice]:
    """Yield the way to the nearest proved setting, where there is one off today's."""
    found = nearest_proven(state, book, state.coming)
    if found is not None and found.turns:
        differs = f" ({'; '.join(found.differs)})" if found.differs else ""
        yield Choice("proven", f"As on pass {found.run.number}, proved{differs}")


def _back_to_proven(
    state: State, book: Book, filled: Filled
) -> Prompt | PutBackToProven | LeftAsItStands:
    """Name the danger before the order is made, where there is one."""
    found = there(nearest_proven(state, book, state.coming), "a proved setting")
    action = PutBackToProven(run=found.run.number, knowing=KNOWING in filled)
    return knowing_first(state, book, filled, found.turns) or action


def undo_bodies(state: State, new_id: NewId) -> list[Body]:
    """Return the events that undo the last change.

    Raises:
        ActionError: there is none on the car.
    """
    change = last_change(state)
    if change is None:
        raise ActionError("there is no change on the car to undo")
    if change.part is not None:
        return part_change.put_back(state, change, new_id)
    return proposed_put_back(
        state, f"Undo: {change.title}", undo_turns(state, [change]), [change], new_id
    )


def put_back_bodies(state: State, new_id: NewId) -> list[Body]:
    """Return the events that put everything back to the baseline.

    Raises:
        ActionError: there is no baseline, a count is due, or everything stands there.
    """
    if state.baseline is None:
        raise ActionError("no baseline is declared yet")
    refuse_uncounted(state, "the way back")
    turns, parts = baseline_turns(state), parts_off_baseline(state)
    orders = [order for one in parts for order in part_change.order(one, new_id)]
    waiting = [c for c in state.changes if c.is_open and c.origin != "put back" and not c.part]
    if not turns and orders:
        return [*no_more_put_backs(state), *orders]
    if not turns:
        still_open = [c for c in state.changes if c.is_open and not (c.part and c.is_made)]
        if still_open:
            return [ChangeWithdrawn(change=c.id, why="put back to baseline") for c in still_open]
        raise ActionError(f"every setting stands at the baseline {state.baseline.name!r} already")
    undone = [
        c
        for c in state.changes
        if c.origin != "put back" and c.status != "withdrawn" and any(s.moved for s in c.steps)
    ]
    both = {c.id: c for c in (*undone, *waiting)}
    title = f"Put back to {state.baseline.name}"
    bodies = proposed_put_back(state, title, turns, list(both.values()), new_id)
    # What was ordered last is asked first: the parts, the latest first, then the counts.
    return [*bodies, *orders]


def proposed_put_back(
    state: State, title: str, turns: tuple[Turn, ...], undone: list[Change], new_id: NewId
) -> list[Body]:
    """Return the events of a put-back; without a turn, what it undoes is withdrawn at once."""
    bodies = no_more_put_backs(state)
    if not turns:
        return [*bodies, *(ChangeWithdrawn(change=c.id, why=title) for c in undone)]
    proposed = ChangeProposed(
        change=new_id(),
        origin="put back",
        title=title,
        turns=turns,
        undoes=tuple(c.id for c in undone),
    )
    return [*bodies, proposed]
