"""How this car scatters, learnt from passes that say nothing of the change: other days, imports.

Each day has its own level and way of the track; what it says of the noise is worked out once.
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from math import exp, log

from rules.evidence.model import fit
from rules.evidence.passes import PassTime, counted
from rules.evidence.priors import Priors, Spread

# How far settings stand apart matters little to the scatter: one size does.
ONE_SIZE: Spread = ((0.015, 1.0),)
# A car is rebuilt and a driver learns: what older days say is worth this much of what it says.
KEPT_SHARE = 0.8


def learnt(priors: Priors, days: Iterable[tuple[PassTime, ...]]) -> Priors:
    """Return the priors with the noises weighed by earlier days of this car."""
    heights = [log(one.weight) for one in priors.noises]
    for day in days:
        clean = counted(day)
        if len(clean) > 1:
            said = _said(clean, priors)
            heights = [one + KEPT_SHARE * other for one, other in zip(heights, said, strict=True)]
    top = max(heights)
    weights = [exp(one - top) for one in heights]
    return priors.weighed(one / sum(weights) for one in weights)


@lru_cache(maxsize=256)
def _said(day: tuple[PassTime, ...], priors: Priors) -> tuple[float, ...]:
    """Return the log evidence of a day for each noise, up to a constant."""
    count = len(priors.noises)
    alike = replace(priors, settings=ONE_SIZE).weighed([1.0 / count] * count)
    heights = fit(day, alike).known.stories.log_evidence
    return tuple(float(one) for one in heights - heights.max())
