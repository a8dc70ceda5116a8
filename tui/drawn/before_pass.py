"""What stands on the screen before a pass with a change: what to tell the driver, in few words."""

from rules.advice.safety import gates
from rules.book import Book
from rules.car.adjusters import Turn
from rules.log.changes import Change
from rules.log.state import State
from tui.drawn.plate import Plate
from tui.drawn.short_advice import Labelled, first_sentence, turns_plate
from tui.lines import spoken

SAFETY = " ".join(gates.ALWAYS_BEFORE_PASS)
TELL = "TELL THE DRIVER"


def pass_plate(state: State, change: Change | None) -> Plate:
    """Return the plate: what was changed, from where to where."""
    if change is None:
        return Plate("open", TELL)
    turns = [
        Turn(adjuster=step.turn.adjuster, before=step.turn.before, after=step.now)
        for step in change.steps
        if step.moved and step.turn.adjuster in state.fitted
    ]
    if not turns:
        return Plate("open", TELL, below=(spoken(state, change.title),))
    return turns_plate(state, turns, "open", TELL)


def pass_lines(state: State, book: Book, change: Change | None, worth: str) -> tuple[Labelled, ...]:
    """Return what to expect and to look for on the pass, and what gain counts."""
    rule = book.rules.get(change.rule or "") if change else None
    if rule is None:
        return ()
    return (
        Labelled("Then", first_sentence(state, rule.expect)),
        Labelled("Look", first_sentence(state, rule.look_for)),
        Labelled("Clock", worth, late=1),
    )
