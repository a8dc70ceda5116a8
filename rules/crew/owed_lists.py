"""What raised a block can be corrected, and its list still has to be ticked."""

from rules.advice.safety.gates import is_clear, open_blocks
from rules.book import Book
from rules.log.events.event import Body
from rules.log.events.lists import ListOwed
from rules.log.state import State
from rules.log.state_after import after
from rules.shop.blocks import found_in_shop

CORRECTED = "Corrected since: its list is ticked all the same."


def with_owed_lists(state: State, book: Book, bodies: list[Body]) -> list[Body]:
    """Add the lists that stay owed though these events take away what they were for.

    What a sheet of the shop found goes by the sheet's own corrections.
    """
    before = open_blocks(state, book) if bodies else []
    if not before:
        return bodies
    now = after(state, bodies)
    still = {(one.inspection, one.reason) for one in open_blocks(now, book)}
    in_shop = {where for where, _ in found_in_shop(state)}
    return [
        *bodies,
        *(
            ListOwed(
                inspection=one.inspection,
                reason=one.reason,
                says=f"{one.says.removesuffix(CORRECTED).rstrip()} {CORRECTED}",
            )
            for one in before
            if (one.inspection, one.reason) not in still | in_shop
            and not is_clear(now, book, one.inspection, one.reason)
        ),
    ]
