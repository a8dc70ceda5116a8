"""A belief about a number of seconds: a mixture of normal curves, one for each likely scatter."""

from dataclasses import dataclass
from functools import cached_property
from math import erf, exp, pi, sqrt
from operator import mul
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Of a mixture with many parts those below this share of the heaviest are left out.
LEAST_SHARE = 1e-5
# How close a chance is met, or a number by its standard deviation.
CLOSE = 1e-6


def normal_below(value: float) -> float:
    """Return the chance that a standard normal number is below `value`."""
    return 0.5 * (1.0 + erf(value / sqrt(2.0)))


@dataclass(frozen=True)
class Belief:
    """Normal curves [s] and their weights, which sum to one."""

    weights: tuple[float, ...]
    means: tuple[float, ...]
    sds: tuple[float, ...]

    @cached_property
    def _parts(self) -> "NDArray[np.float64]":
        """Weights, means and standard deviations, a row each: a mixture has thousands of parts."""
        import numpy as np

        return np.array((self.weights, self.means, self.sds))

    @cached_property
    def mean(self) -> float:
        """Best guess [s], drawn towards what was believed before."""
        weights, means, _ = self._parts
        return float(weights @ means)

    @cached_property
    def sd(self) -> float:
        """Standard deviation [s]."""
        weights, means, sds = self._parts
        return sqrt(float(weights @ (sds**2 + (means - self.mean) ** 2)))

    def below(self, value: float) -> float:
        """Return the chance that the number is below `value` [s]."""
        _, means, sds = self._parts
        sides = map(erf, ((value - means) / (sds * sqrt(2.0))).tolist())
        return 0.5 * float(sum(self.weights) + sum(map(mul, self.weights, sides)))

    def mean_above(self, value: float) -> float:
        """Return the mean of how far the number is above `value` [s], nothing where it is below."""
        parts = zip(self.weights, self.means, self.sds, strict=True)
        return sum(w * _above((m - value) / s) * s for w, m, s in parts)

    def quantile(self, chance: float) -> float:
        """Return the number [s] that it is below with this chance.

        By the false position, halved where one end stays (the Illinois method: Dowell and Jarratt,
        BIT 11:168, 1971, from memory).
        """
        low, high = self.mean - self.sd, self.mean + self.sd
        while (under := self.below(low) - chance) > 0.0:
            low -= 2.0 * self.sd
        while (over := self.below(high) - chance) < 0.0:
            high += 2.0 * self.sd
        before = 0.0
        while high - low > CLOSE * self.sd:
            middle = (low * over - high * under) / (over - under)
            off = self.below(middle) - chance
            if abs(off) < CLOSE:
                return middle
            if off < 0.0:
                low, under = middle, off
                over *= 0.5 if before < 0.0 else 1.0
            else:
                high, over = middle, off
                under *= 0.5 if before > 0.0 else 1.0
            before = off
        return (low + high) / 2.0

    @cached_property
    def range(self) -> tuple[float, float]:
        """Ninety chances in a hundred that it lies between these two [s]."""
        return self.quantile(0.05), self.quantile(0.95)


def _above(mean: float) -> float:
    """Return the mean of a normal number of spread one where it is above 0, else 0."""
    return mean * normal_below(mean) + exp(-0.5 * mean * mean) / sqrt(2.0 * pi)


def belief_of(
    weights: "NDArray[np.float64]", means: "NDArray[np.float64]", sds: "NDArray[np.float64]"
) -> Belief:
    """Return the belief that a mixture of many parts makes, without its lightest."""
    kept = weights >= LEAST_SHARE * weights.max()
    share = weights[kept] / weights[kept].sum()
    return Belief(tuple(share.tolist()), tuple(means[kept].tolist()), tuple(sds[kept].tolist()))
