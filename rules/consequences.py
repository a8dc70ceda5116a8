"""What follows from events by itself, whichever question, key or file they came from."""

from rules import events as ev
from rules.book import Book
from rules.owed_lists import with_owed_lists
from rules.state import State
from rules.taken_up import with_taken_up


def with_consequences(state: State, book: Book, bodies: list[ev.Body]) -> list[ev.Body]:
    """Add the change that waits again, and the lists that stay owed."""
    return with_owed_lists(state, book, with_taken_up(state, bodies))
