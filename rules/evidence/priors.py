"""What is believed before the day's first pass: all of it stated here.

The sizes are common practice, no source: a door car repeats its 60-foot to somewhere between 0.004
and 0.030 s, a track moves by a few thousandths from pass to pass, one pass in fifty is spoilt and
nobody marks it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import product
from math import exp, log

from rules.passes.air_effect import air_prior
from rules.passes.breathing import Breathing

# A number that is not known, as likely values with their weights, which sum to one.
Spread = tuple[tuple[float, float], ...]

# The scatter of the 60-foot: its middle [s], the spread of its logarithm, and where it ends [s].
SCATTER_S, SCATTER_SPREAD = 0.012, 0.75
SCATTER_LOW_S, SCATTER_HIGH_S, SCATTERS = 0.003, 0.034, 8
# Times longer than the 60-foot scatter more, by about this for each second.
SCATTER_PER_SECOND = 0.0015
# What a difference at the launch is worth at the eighth or the quarter.
AT_THE_STRIPE = 1.5
# The share of passes that scatter wider: a tidy car, and one of which every fifth does.
WIDE_SHARES: Spread = ((0.03, 0.6), (0.2, 0.4))


@dataclass(frozen=True)
class Noise:
    """A way a car may scatter: `scatter_s`, the share of passes that do so wider; its weight."""

    scatter_s: float
    wide_share: float
    weight: float


def noises(scatters: Spread, wide_shares: Spread) -> tuple[Noise, ...]:
    """Return every pairing of a scatter and a share of wide passes."""
    return tuple(
        Noise(scatter, share, one * other)
        for (scatter, one), (share, other) in product(scatters, wide_shares)
    )


def usual_scatters(factor: float = 1.0) -> Spread:
    """Return the scatters of cars that nobody knows yet, those of the 60-foot times a factor."""
    step = log(SCATTER_HIGH_S / SCATTER_LOW_S) / (SCATTERS - 1)
    values = [SCATTER_LOW_S * exp(step * place) for place in range(SCATTERS)]
    heights = [exp(-0.5 * (log(one / SCATTER_S) / SCATTER_SPREAD) ** 2) for one in values]
    whole = sum(heights)
    return tuple(
        (factor * one, height / whole) for one, height in zip(values, heights, strict=True)
    )


@dataclass(frozen=True)
class Priors:
    """Beliefs about one kind of time, in seconds unless said otherwise.

    `noises`: how the car scatters. `settings`: how far two settings stand apart, normal, one of
    several sizes, so that a change that is plainly large is believed. `wanders`: how far the level
    of the track goes from one pass to the next, normal. `slope_sd`: of what each pass of a day adds
    steadily. `lane_sd`: of left less right. `air_mean`, `air_sd`: per unit of relative dry density.
    `mean_sd`: of a meeting's level, so wide that it says nothing. A wide pass scatters
    `wide_factor` times as far; a spoilt one that nobody marked, `spoilt_share` of all, loses
    `spoilt_mean`, give or take `spoilt_sd`.
    """

    noises: tuple[Noise, ...] = noises(usual_scatters(), WIDE_SHARES)
    settings: Spread = ((0.004, 0.3), (0.015, 0.4), (0.050, 0.25), (0.200, 0.05))
    wanders: Spread = ((0.0004, 0.4), (0.0016, 0.35), (0.004, 0.25))
    slope_sd: float = 0.0015
    lane_sd: float = 0.005
    air_mean: float = 0.0
    air_sd: float = 0.0
    mean_sd: float = 1.0
    wide_factor: float = 3.0
    spoilt_share: float = 0.02
    spoilt_mean: float = 0.18
    spoilt_sd: float = 0.12

    @property
    def lane_unknown_sd(self) -> float:
        """How far a lane that nobody noted moves a pass."""
        return self.lane_sd / 2.0

    @property
    def scatter_s(self) -> float:
        """The middle of the likely scatters, by their logarithm."""
        return exp(sum(one.weight * log(one.scatter_s) for one in self.noises))

    def scaled(self, times: float) -> "Priors":
        """Return the same beliefs where everything but the scatter is so many times as large."""

        def grown(spread: Spread) -> Spread:
            return tuple((times * value, weight) for value, weight in spread)

        return replace(
            self,
            settings=grown(self.settings),
            wanders=grown(self.wanders),
            slope_sd=times * self.slope_sd,
            lane_sd=times * self.lane_sd,
            spoilt_mean=times * self.spoilt_mean,
            spoilt_sd=times * self.spoilt_sd,
        )

    def weighed(self, weights: Iterable[float]) -> "Priors":
        """Return the same beliefs with other weights of the noises."""
        pairs = zip(self.noises, weights, strict=True)
        return replace(self, noises=tuple(replace(one, weight=w) for one, w in pairs))


def for_sixty(typical_s: float, breathing: Breathing | None = None) -> Priors:
    """Return what is believed of a 60-foot of about this time, as the engine breathes."""
    air = air_prior(typical_s, sixty=True, breathing=breathing)
    return Priors(air_mean=air.seconds, air_sd=air.give_s)


def for_elapsed(typical_s: float, breathing: Breathing | None = None) -> Priors:
    """Return what is believed of a time to the eighth or the quarter of about this many seconds.

    A change at the launch is worth `AT_THE_STRIPE` times as much there.
    """
    air = air_prior(typical_s, breathing=breathing)
    factor = 1.0 + SCATTER_PER_SECOND * typical_s / SCATTER_S
    known = replace(Priors(), noises=noises(usual_scatters(factor), WIDE_SHARES))
    return replace(known.scaled(AT_THE_STRIPE), air_mean=air.seconds, air_sd=air.give_s)
