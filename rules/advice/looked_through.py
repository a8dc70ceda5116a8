"""What a page or a decision asks of every pass and every change of the log, in one look at each.

Passes long past are read to be looked at; asked one by one these questions would read all of the
log as often as there are questions, or hold all of it. What is asked only after a danger is not
here.
"""

from rules.advice.safety import dangers, firm_landing, gates
from rules.book import Book
from rules.log import engine, other_parts
from rules.log.state import MEETING_OF_CHANGE, MEETING_OF_RUN, State
from rules.once import once_for_each


@once_for_each(1)
def look_through(state: State, book: Book) -> None:
    """Find out what is not known yet of what the log holds."""
    state.runs.look_through(
        MEETING_OF_RUN,
        engine.ASKED,
        gates.asked_of_runs(state, book),
        *dangers.asked_of_runs(state),
    )
    state.changes.look_through(
        MEETING_OF_CHANGE,
        gates.ASKED_OF_CHANGES,
        other_parts.ASKED_OF_CHANGES,
        firm_landing.asked_of_changes(state),
    )
