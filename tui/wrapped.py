"""Lines wrapped to a width: of the ways in which a screen might be laid out most wrap the same."""

from functools import lru_cache
from textwrap import wrap


@lru_cache(maxsize=1024)
def wrapped(text: str, width: int) -> tuple[str, ...]:
    """Return the rows of a text; none where it is empty."""
    return tuple(wrap(text, width))
