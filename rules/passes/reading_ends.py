"""A reading at an end of what it reads is a bound and no value: at most there, or at least."""

from math import inf
from typing import Literal

End = Literal["", "at most", "at least", "tells nothing"]


BRAKED = "braked"


_AXLES = {"front ring": "front", "rear ring": "rear"}


def end_of(what: str, value: float, give: float, there: float | None, braked: bool = False) -> End:
    """Return what kind of bound a measurement is, "" where it is a value [SI].

    there: travel from ride height to the stop, of a ring, None where nobody knows it.
    braked: the ring was read after hard braking.
    """
    if what == "scrape":
        return "at least"
    if what not in _AXLES:
        return "at most" if what == "lift" and value - give <= 0.0 else ""
    at_stop = there is not None and value + give >= there
    if braked and what == "front ring":
        return "tells nothing" if at_stop else "at most"
    if at_stop:
        return "at least"
    return "at most" if value - give <= 0.0 else ""


def bounds(
    what: str, value: float, give: float, there: float | None, braked: bool = False
) -> tuple[float, float]:
    """Return the least and the most that a measurement lets be true [SI]; infinite where open."""
    end = end_of(what, value, give, there, braked)
    low = -inf if end in ("at most", "tells nothing") else value - give
    return low, inf if end in ("at least", "tells nothing") else value + give
