"""What is believed before the day's first pass, and how sure is sure: all of it stated here.

The sizes are common practice, no source: a door car repeats its 60-foot to about 0.012 s, and a
change of a damper or of a pressure rarely moves it by more than 0.040 s.
"""

from dataclasses import dataclass, replace
from math import inf

from rules.passes.air_effect import air_prior

# Times longer than the 60-foot scatter more, by about this for each second; common practice.
SCATTER_PER_SECOND = 0.0015


# What a difference at the launch is worth at the eighth or the quarter: common practice, no source.
AT_THE_STRIPE = 1.5


@dataclass(frozen=True)
class Priors:
    """Beliefs about one kind of time, in seconds unless said otherwise.

    `setting_sd`: normal, how far any two settings stand apart; on `wide_share` of the days it is
    `wide_factor` times that, so that a change that is plainly large is believed. `noise_scale`,
    `noise_df`: the pass-to-pass scatter, scaled inverse chi-square; as many degrees of freedom as
    passes it is worth, infinite where the scatter is known. `drift_sd`: normal, of the day's drift
    for each pass. `lane_sd`: normal, of left less right. `air_mean`, `air_sd`: normal, per unit of
    relative dry density. `mean_sd`: of the day's level, so wide that it says nothing.
    """

    setting_sd: float = 0.020
    noise_scale: float = 0.012
    noise_df: float = 4.0
    drift_sd: float = 0.004
    lane_sd: float = 0.004
    air_mean: float = 0.0
    air_sd: float = 0.0
    mean_sd: float = 1.0
    wide_share: float = 0.1
    wide_factor: float = 5.0

    @property
    def noise_is_known(self) -> bool:
        """Whether the scatter is given rather than learnt."""
        return self.noise_df == inf

    def parts(self) -> list[tuple[float, "Priors"]]:
        """Return the usual day and the wide one, each without the other, with their shares."""
        usual = replace(self, wide_share=0.0)
        if not self.wide_share:
            return [(1.0, usual)]
        wide = replace(usual, setting_sd=self.setting_sd * self.wide_factor)
        return [(1.0 - self.wide_share, usual), (self.wide_share, wide)]


def for_sixty(typical_s: float) -> Priors:
    """Return what is believed of a 60-foot of about this time."""
    air = air_prior(typical_s, sixty=True)
    return Priors(air_mean=air.seconds, air_sd=air.give_s)


def for_elapsed(typical_s: float) -> Priors:
    """Return what is believed of a time to the eighth or the quarter of about this many seconds.

    A change at the launch is worth `AT_THE_STRIPE` times as much there.
    """
    air = air_prior(typical_s)
    return Priors(
        setting_sd=AT_THE_STRIPE * Priors.setting_sd,
        noise_scale=0.012 + SCATTER_PER_SECOND * typical_s,
        drift_sd=0.006,
        lane_sd=0.006,
        air_mean=air.seconds,
        air_sd=air.give_s,
    )
