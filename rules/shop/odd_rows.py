"""Which of several measured lengths does not go with the others. SI throughout.

A ratio that changes evenly over the travel makes a parabola of length over wheel height; a slip of
the tape stands off the parabola through the others. Source of the leave-one-out residual and its
spread: R. D. Cook and S. Weisberg, Residuals and Influence in Regression, chapter 2, from memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from rules.straight_line import parabola
from rules.units import INCH_M

ROW_GIVE_M = INCH_M / 16
"""How far one length with its wheel height can be off by a careful tape; common practice."""
# 19 in 20 of errors that lie evenly within their bounds.
_OF_BOUND = 1.96 / sqrt(3.0)


@dataclass(frozen=True)
class OddRow:
    """A row that does not go with the others.

    place: among the rows, from 0.  wanted: the length by the others [m].  found [m].
    """

    place: int
    wanted: float
    found: float


def odd_row(
    wheels: Sequence[float], lengths: Sequence[float], give: float = ROW_GIVE_M
) -> OddRow | None:
    """Return the row farthest off what the others say, None where all go together.

    wheels, lengths [m]: five or more rows, each height once; fewer say nothing.
    give: how far a length can be off [m].
    Formula: y - y_(i) against 1.96 give / sqrt(3) sqrt(1 + sum w^2), w the weights with which the
    others make y_(i).

    Raises:
        ValueError: numbers that are not finite.
    """
    if len(set(wheels)) < max(5, len(wheels)):
        return None
    odd, farthest = None, 1.0
    for place, (wheel, found) in enumerate(zip(wheels, lengths, strict=True)):
        others = [one for other, one in enumerate(wheels) if other != place]
        theirs = [one for other, one in enumerate(lengths) if other != place]
        wanted = parabola(others, theirs).at(wheel)
        weights = (
            parabola(others, [float(one == other) for one in others]).at(wheel) for other in others
        )
        spread = _OF_BOUND * give * sqrt(1.0 + sum(one**2 for one in weights))
        if abs(found - wanted) > farthest * spread:
            odd, farthest = OddRow(place, wanted, found), abs(found - wanted) / spread
    return odd
