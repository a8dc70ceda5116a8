"""The first of the two rows on top, where a screen gives the other one to its picture or table."""

from rules.log.state import State
from tui.lines import strip


def head_row(state: State, width: int) -> str:
    """Return the row that says where everything stands: car, event, session, pass."""
    return strip(state, width)[0]
