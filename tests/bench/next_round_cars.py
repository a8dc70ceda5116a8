"""Logs of invented cars, and the pass that came next: a simulation that shares nothing with rules/.

All sizes are common practice, no source. The track's way over a day, heavy tails and passes that
were spoilt are those of the days on the clock; the air of a day goes its own way, and what it does
to a time goes with how the engine breathes.
"""

from dataclasses import dataclass, replace

import numpy as np

from tests.bench.clock_days.world import DRIFTS, HEAVY_SHARE, SCATTER_S, Array, drawn_meeting

# Power by dry density of engines as they are, with one sd.
TRUE_SHARES = {
    "unblown": (0.95, 0.1),
    "belt": (1.0, 0.15),
    "turbo": (0.55, 0.2),
    "turbo held": (0.1, 0.08),
    "nitrous": (0.7, 0.1),
    "electric": (-0.03, 0.03),
}
BOOSTED = ("belt", "turbo", "turbo held")
STEADY_S, WILD_S = 0.012, 0.020
# What of a power's part in a time to the stripe reaches the 60-foot.
SIXTY_SHARE = (0.1, 0.05)
MEETING_S = 0.030
SETTING_S = 0.020
NOTED_SHARE = 0.8


@dataclass(frozen=True, eq=False)
class Ran:
    """One pass of a log [s, kg/m3]."""

    meeting: int
    setting: str
    time_s: float
    density: float | None
    lane: str | None


@dataclass(frozen=True, eq=False)
class NextRound:
    """A log up to a round, and what the round ran; `thinner`: in air much thinner than before."""

    scatter_s: float
    heavy: bool
    breathing: str
    sixty: bool
    earlier: int
    log: tuple[Ran, ...]
    coming: Ran
    spoilt: bool
    thinner: bool

    @property
    def kind(self) -> str:
        """How the car repeats."""
        if self.scatter_s < STEADY_S:
            return "steady"
        return "usual" if self.scatter_s < WILD_S else "wild"


def drawn_round(seed: int) -> NextRound:
    """Draw a car, its log and its next round."""
    chance = np.random.default_rng([seed, 30])
    low, high = np.log(SCATTER_S)
    scatter = float(np.exp(chance.uniform(low, high)))
    heavy = bool(chance.random() < HEAVY_SHARE)
    sixty = bool(chance.random() < 1.0 / 3.0)
    typical = float(chance.uniform(1.1, 1.75) if sixty else chance.uniform(5.0, 12.0))
    breathing = list(TRUE_SHARES)[int(chance.integers(len(TRUE_SHARES)))]
    power = -typical / 3.0 * chance.normal(*TRUE_SHARES[breathing])
    per_log_density = power * (chance.normal(*SIXTY_SHARE) if sixty else 1.0)
    other = chance.normal(0.0, SETTING_S)
    noted = bool(chance.random() < NOTED_SHARE)
    earlier = int(chance.choice([0, 1, 3, 6]))
    own = int(chance.integers(2, 10))
    thinner = bool(chance.random() < 1.0 / 3.0)
    ran: list[Ran] = []
    spoilt = False
    for meeting in range(earlier + 1):
        count = own + 1 if meeting == earlier else int(chance.integers(4, 9))
        drift = DRIFTS[int(chance.integers(len(DRIFTS)))]
        level = typical + chance.normal(0.0, MEETING_S)
        day, lost = drawn_meeting(chance, count, level, scatter, heavy, drift)
        air = _air(chance, count)
        if thinner and meeting == earlier:
            air[-1] *= 1.0 - chance.uniform(0.02, 0.05)
        on_other = chance.random(count) < 0.25
        on_other[-1] = on_other[0] = False
        times = day.old_s + per_log_density * np.log(air / 1.15) + other * on_other
        ran += [
            Ran(
                meeting,
                "B" if on_other[i] else "A",
                round(float(times[i]), 3),
                float(air[i]) if noted else None,
                day.lanes[i],
            )
            for i in range(count)
        ]
        spoilt = bool(lost[-1])
    *log, coming = ran
    return NextRound(
        scatter, heavy, breathing, sixty, earlier, tuple(log), coming, spoilt, thinner and noted
    )


def not_noted(one: NextRound) -> NextRound:
    """Return the same log of a crew that reads no air."""
    return replace(
        one,
        log=tuple(replace(ran, density=None) for ran in one.log),
        coming=replace(one.coming, density=None),
    )


def _air(chance: np.random.Generator, count: int) -> Array:
    """Return dry densities over a day [kg/m3]: it warms, and what is read is read well."""
    along = np.linspace(0.0, 1.0, count)
    warms = chance.uniform(0.0, 0.04) * np.sin(np.pi * (along * chance.uniform(0.5, 1.2)))
    found: Array = chance.normal(1.14, 0.04) * (1.0 - warms) + chance.normal(0.0, 0.001, count)
    return found
