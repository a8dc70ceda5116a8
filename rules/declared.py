"""What a baseline says about itself beside its settings."""

from rules.book import Book
from rules.gates import open_blocks
from rules.state import State

NOT_CLEARED = "Not cleared when declared"


def open_blocks_noted(state: State, book: Book) -> dict[str, str]:
    """Return the blocks that are open now as a fact of a baseline; empty where none is."""
    says = dict.fromkeys(block.says for block in open_blocks(state, book))
    return {NOT_CLEARED: " ".join(says)} if says else {}
