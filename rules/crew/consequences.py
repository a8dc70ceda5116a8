"""What follows from events by itself, whichever question, key or file they came from."""

from rules.book import Book
from rules.crew.owed_lists import with_owed_lists
from rules.crew.parts_changed import with_jobs
from rules.log.events.event import Body
from rules.log.state import State
from rules.log.taken_up import with_taken_up


def with_consequences(state: State, book: Book, bodies: list[Body]) -> list[Body]:
    """Add the jobs that turns are, the change that waits again, and the lists that stay owed."""
    return with_owed_lists(state, book, with_taken_up(state, with_jobs(state, bodies)))
