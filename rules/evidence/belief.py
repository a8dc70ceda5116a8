"""A belief about a number of seconds: a mixture of normal curves, one for each likely scatter."""

from dataclasses import dataclass
from functools import cached_property
from math import erf, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Of a mixture with many parts those below this share of the heaviest are left out.
LEAST_SHARE = 1e-5
_ROOT_2 = sqrt(2.0)


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
    def mean(self) -> float:
        """Best guess [s], drawn towards what was believed before."""
        return sum(w * m for w, m in zip(self.weights, self.means, strict=True))

    @cached_property
    def sd(self) -> float:
        """Standard deviation [s]."""
        parts = zip(self.weights, self.means, self.sds, strict=True)
        return sqrt(sum(w * (s * s + (m - self.mean) ** 2) for w, m, s in parts))

    def below(self, value: float) -> float:
        """Return the chance that the number is below `value` [s]."""
        # `normal_below` written out: this is worked out a million times for one export.
        return sum([w * (0.5 * (1.0 + erf((value - m) / s / _ROOT_2))) for w, m, s in self._parts])

    @cached_property
    def _parts(self) -> tuple[tuple[float, float, float], ...]:
        return tuple(zip(self.weights, self.means, self.sds, strict=True))

    def quantile(self, chance: float) -> float:
        """Return the number [s] that it is below with this chance, by bisection."""
        low, high = self.mean - self.sd, self.mean + self.sd
        while self.below(low) > chance:
            low -= 2.0 * self.sd
        while self.below(high) < chance:
            high += 2.0 * self.sd
        for _ in range(36):
            middle = (low + high) / 2.0
            if self.below(middle) < chance:
                low = middle
            else:
                high = middle
        return (low + high) / 2.0

    @cached_property
    def range(self) -> tuple[float, float]:
        """Ninety chances in a hundred that it lies between these two [s]."""
        return self.quantile(0.05), self.quantile(0.95)


def belief_of(
    weights: "NDArray[np.float64]", means: "NDArray[np.float64]", sds: "NDArray[np.float64]"
) -> Belief:
    """Return the belief that a mixture of many parts makes, without its lightest."""
    kept = weights >= LEAST_SHARE * weights.max()
    share = weights[kept] / weights[kept].sum()
    return Belief(tuple(share.tolist()), tuple(means[kept].tolist()), tuple(sds[kept].tolist()))
