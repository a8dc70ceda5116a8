"""A straight line and a parabola through a handful of readings, with how far to trust them.

Sources: ordinary least squares with its standard errors, as in the NIST/SEMATECH e-Handbook of
Statistical Methods, section 4.1; Student's t at 97.5 %, as in its table 1.3.6.7.2.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, sqrt

_T_975 = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


@dataclass(frozen=True)
class Fitted:
    """A fitted curve: y = at_mean + slope (x - mean) + bend / 2 (x - mean)^2.

    mean: of x.  slope: dy/dx at the mean.  bend: d2y/dx2, 0 for a straight line.
    slope_error, bend_error: one standard error each; None where no reading is to spare.
    pulls: of each reading, how far the slope moves for one unit of y there.
    to_spare: readings beyond those the curve needs.
    """

    mean: float
    at_mean: float
    slope: float
    bend: float
    slope_error: float | None
    bend_error: float | None
    pulls: tuple[float, ...]
    to_spare: int

    def slope_at(self, x: float) -> float:
        """Return dy/dx at x."""
        return self.slope + self.bend * (x - self.mean)

    def at(self, x: float) -> float:
        """Return y at x."""
        away = x - self.mean
        return self.at_mean + self.slope * away + self.bend / 2.0 * away**2


def straight(x: Sequence[float], y: Sequence[float]) -> Fitted:
    """Fit a straight line by least squares.

    Raises:
        ValueError: fewer than two different x, or numbers that are not finite.
    """
    return _fit(x, y, 1)


def parabola(x: Sequence[float], y: Sequence[float]) -> Fitted:
    """Fit a parabola by least squares.

    Raises:
        ValueError: fewer than three different x, or numbers that are not finite.
    """
    return _fit(x, y, 2)


def between(x: Sequence[float], y: Sequence[float], at: float) -> float:
    """Return y at a place between rising x, in straight lines from one to the next.

    Raises:
        ValueError: a place outside them.
    """
    for (low, under), (high, over) in pairwise(zip(x, y, strict=True)):
        if low <= at <= high:
            return under + (over - under) * (at - low) / (high - low)
    raise ValueError(f"found {at:g}; wanted a place between {x[0]:g} and {x[-1]:g}")


def t_factor(to_spare: int) -> float:
    """Return Student's t for 95 % on both sides together.

    Raises:
        ValueError: nothing to spare.
    """
    if to_spare < 1:
        raise ValueError(f"readings to spare: found {to_spare}, wanted at least 1")
    return _T_975[min(to_spare, len(_T_975)) - 1]


def _fit(x: Sequence[float], y: Sequence[float], degree: int) -> Fitted:
    """Fit by polynomials that are orthogonal on the readings, so that no term disturbs another."""
    if len(x) != len(y) or not all(isfinite(one) for one in (*x, *y)):
        raise ValueError("wanted as many finite readings of one as of the other")
    if len(set(x)) <= degree:
        raise ValueError(f"found {len(set(x))} different heights, wanted at least {degree + 1}")
    count = len(x)
    mean = sum(x) / count
    first = [one - mean for one in x]
    size = sum(one**2 for one in first)
    skew = sum(one**3 for one in first) / size
    second = [one**2 - skew * one - size / count for one in first]
    at_mean = sum(y) / count
    slope = _along(first, y)
    curve = _along(second, y) if degree == 2 else 0.0
    rest = [
        one - at_mean - slope * p1 - curve * p2
        for one, p1, p2 in zip(y, first, second, strict=True)
    ]
    spare = count - degree - 1
    noise = sqrt(sum(one**2 for one in rest) / spare) if spare else None
    bend_size = sum(one**2 for one in second)
    slope_size = 1.0 / size + (skew**2 / bend_size if degree == 2 else 0.0)
    return Fitted(
        mean=mean,
        at_mean=at_mean - curve * size / count,
        slope=slope - curve * skew,
        bend=2.0 * curve,
        slope_error=None if noise is None else noise * sqrt(slope_size),
        bend_error=None if noise is None or degree < 2 else 2.0 * noise / sqrt(bend_size),
        pulls=tuple(
            p1 / size - (skew * p2 / bend_size if degree == 2 else 0.0)
            for p1, p2 in zip(first, second, strict=True)
        ),
        to_spare=spare,
    )


def _along(one: Sequence[float], y: Sequence[float]) -> float:
    return sum(p * v for p, v in zip(one, y, strict=True)) / sum(p**2 for p in one)
