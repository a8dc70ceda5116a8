"""Days of invented cars on the clock: what every pass would run on the old and on the new setting.

A simulation of its own: it shares nothing with `rules/evidence`. All sizes are common practice, no
source. Every number of a day is drawn before its first pass, so that whoever plays it, in whatever
order, meets the same luck.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Drift = Literal["linear", "curved", "stepped", "walk"]

DRIFTS: tuple[Drift, ...] = ("linear", "curved", "stepped", "walk")
# From a steady car to a wild one [s].
SCATTER_S = (0.004, 0.030)
HEAVY_SHARE = 1.0 / 3.0
# A day with heavy tails: Student's t of three degrees of freedom, its middle half of the passes as
# wide as a normal day's (quartiles 0.7649 and 0.6745, from memory).
HEAVY_FREEDOM = 3.0
HEAVY_WIDTH = 0.6745 / 0.7649
# Passes that were spoilt and that nobody marked, and what a spin or a lift costs [s].
SPOILT_SHARE = 0.02
SPOILT_S = (0.04, 0.40)
# Of the track: s a pass, s over a day, s at the step, s a pass.
SLOPE_S, HUMP_S, STEP_S, WALK_S = 0.003, 0.020, 0.012, 0.002
LANE_S = 0.005
LANE_NOTED = 2.0 / 3.0
MEETING_S = 0.020
# Passes of a day that has nothing to do with the change, in a log that holds fifty of them.
OLD_DAY = 7


@dataclass(frozen=True, eq=False)
class Meeting:
    """One meeting: what each pass runs on the old setting [s], and the lanes where noted."""

    old_s: Array
    lanes: tuple[str | None, ...]


@dataclass(frozen=True, eq=False)
class Day:
    """One day and what came before it.

    effect_s: what the new setting adds to every pass, below 0 is quicker.  meetings: earlier ones
    on the same two settings first, today's last.  before: days of other settings, one after the
    other.
    """

    seed: int
    scatter_s: float
    heavy: bool
    drift: Drift
    sigmas: float
    effect_s: float
    meetings: tuple[Meeting, ...]
    before: tuple[Array, ...]

    @property
    def today(self) -> Meeting:
        """Today's meeting."""
        return self.meetings[-1]

    @property
    def steadiness(self) -> str:
        """A third of all cars each, by their scatter."""
        if self.scatter_s < 0.0078:
            return "steady"
        return "usual" if self.scatter_s < 0.0153 else "wild"


def drawn_day(
    seed: int, sigmas: float, passes: int, old: int = 0, meetings: int = 1, earlier: int = 5
) -> Day:
    """Draw a day whose change is worth so many sigma, quicker or slower by the toss of a coin."""
    chance = np.random.default_rng([seed, 20])
    low, high = np.log(SCATTER_S)
    scatter = float(np.exp(chance.uniform(low, high)))
    heavy = bool(chance.random() < HEAVY_SHARE)
    drift = DRIFTS[int(chance.integers(len(DRIFTS)))]
    sign = -1.0 if chance.random() < 0.5 else 1.0
    typical = float(chance.uniform(1.15, 1.75))
    today = _meeting(chance, passes, typical, scatter, heavy, drift)
    past = tuple(
        _meeting(
            chance,
            earlier,
            typical + chance.normal(0.0, MEETING_S),
            scatter,
            heavy,
            DRIFTS[int(chance.integers(len(DRIFTS)))],
        )
        for _ in range(meetings - 1)
    )
    before = []
    while old > 0:
        count = min(old, OLD_DAY)
        kind = DRIFTS[int(chance.integers(len(DRIFTS)))]
        level = typical + chance.normal(0.0, MEETING_S)
        before.append(_meeting(chance, count, level, scatter, heavy, kind).old_s)
        old -= count
    effect = sign * sigmas * scatter
    return Day(seed, scatter, heavy, drift, sigmas, effect, (*past, today), tuple(reversed(before)))


def _meeting(
    chance: np.random.Generator,
    passes: int,
    level: float,
    scatter: float,
    heavy: bool,
    drift: Drift,
) -> Meeting:
    return drawn_meeting(chance, passes, level, scatter, heavy, drift)[0]


def drawn_meeting(
    chance: np.random.Generator,
    passes: int,
    level: float,
    scatter: float,
    heavy: bool,
    drift: Drift,
) -> tuple[Meeting, NDArray[np.bool_]]:
    """Draw a meeting, and which of its passes were spoilt."""
    times = (
        level + _way_of_the_track(chance, passes, drift) + _noise(chance, passes, scatter, heavy)
    )
    spoilt = chance.random(passes) < SPOILT_SHARE
    times += np.where(spoilt, chance.uniform(*SPOILT_S, passes), 0.0)
    left = chance.random(passes) < 0.5
    times += np.where(left, 0.5, -0.5) * chance.normal(0.0, LANE_S)
    noted = chance.random() < LANE_NOTED
    lanes = tuple(("left" if one else "right") if noted else None for one in left)
    return Meeting(times, lanes), spoilt


def _noise(chance: np.random.Generator, passes: int, scatter: float, heavy: bool) -> Array:
    drawn = chance.standard_t(HEAVY_FREEDOM, passes)
    return scatter * (HEAVY_WIDTH * drawn if heavy else chance.standard_normal(passes))


def _way_of_the_track(chance: np.random.Generator, passes: int, drift: Drift) -> Array:
    at = np.arange(passes, dtype=np.float64)
    along = at / max(1, passes - 1)
    slope, hump, step = chance.uniform(-1.0, 1.0, 3)
    place = chance.integers(1, max(2, passes))
    walked: Array = np.cumsum(chance.normal(0.0, WALK_S, passes))
    ways: dict[Drift, Array] = {
        "linear": SLOPE_S * slope * at,
        "curved": HUMP_S * hump * 4.0 * along * (1.0 - along),
        "stepped": STEP_S * float(np.sign(step)) * (at >= place),
        "walk": walked,
    }
    return ways[drift]
