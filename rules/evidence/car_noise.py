"""What other days and imports teach of a car: how it scatters, and what the air does to it.

Each day has its own level and way of the track; what it says of noise and air is worked out once.
Of the air a day says what its own belief is surer of than before it, as a normal curve.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, log

from rules.evidence.model import air_answer, times_known
from rules.evidence.passes import PassTime, counted
from rules.evidence.priors import Priors, Spread

# How far settings stand apart matters little to the scatter: one size does.
ONE_SIZE: Spread = ((0.015, 1.0),)
# A car is rebuilt and a driver learns: what older days say is worth this much of what it says.
KEPT_SHARE = 0.8


@dataclass(frozen=True)
class DaySays:
    """What a day says.

    noises: the log evidence of each, up to a constant.  air: how precise it is about the answer to
    the air [1/s2], and that times its mean.
    """

    noises: tuple[float, ...]
    air: float
    air_times_mean: float


def learnt(priors: Priors, days: Iterable[tuple[PassTime, ...]]) -> Priors:
    """Return the priors with the noises and the answer to air weighed by earlier days.

    A day of one pass says nothing.
    """
    telling = [clean for day in days if len(clean := counted(day)) > 1]
    if not telling:
        return priors
    heights = [log(one.weight) for one in priors.noises]
    precision = 1.0 / priors.air_sd**2 if priors.air_sd else 0.0
    pull = precision * priors.air_mean
    for day in telling:
        said = _said(day, priors)
        pairs = zip(heights, said.noises, strict=True)
        heights = [one + KEPT_SHARE * other for one, other in pairs]
        precision += KEPT_SHARE * said.air
        pull += KEPT_SHARE * said.air_times_mean
    top = max(heights)
    weights = [exp(one - top) for one in heights]
    known = priors.weighed(one / sum(weights) for one in weights)
    if not precision:
        return known
    return replace(known, air_mean=pull / precision, air_sd=precision**-0.5)


@lru_cache(maxsize=256)
def _said(day: tuple[PassTime, ...], priors: Priors) -> DaySays:
    count = len(priors.noises)
    alike = replace(priors, settings=ONE_SIZE).weighed([1.0 / count] * count)
    known = times_known(day, alike)
    heights = known.stories.log_evidence
    noises = tuple(float(one) for one in heights - heights.max())
    if not priors.air_sd or len({one.air_density for one in day} - {None}) < 2:
        return DaySays(noises, 0.0, 0.0)
    answer = air_answer(known)
    before, after = priors.air_sd**-2, answer.sd**-2
    if after <= before:
        return DaySays(noises, 0.0, 0.0)
    return DaySays(noises, after - before, after * answer.mean - before * priors.air_mean)
