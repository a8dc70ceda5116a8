"""What the next round's time may be. The crew chooses the dial-in; this only informs.

The range is the posterior predictive of `local_level`: the level and its way over the day, the
car's own scatter and its answer to the air, all learnt together from this day and those before. How
the car scatters is believed to be anything alike, by its logarithm, so that with a few passes the
range is Student's (Jeffreys 1946 for the flat logarithm, from memory).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, log

from rules.evidence.belief import Belief, belief_of
from rules.evidence.model import Fit, air_answer, fit, mean_density
from rules.evidence.passes import LANES, PassTime, counted
from rules.evidence.priors import WIDE_SHARES, Priors, Spread, for_elapsed, for_sixty, noises
from rules.passes.air_effect import AirPart
from rules.passes.breathing import Breathing

# So many passes are looked at: of the day, and of the days before it.
RECENT, EARLIER = 16, 48
# What any car may scatter by [s]; a stripe time scatters more than the 60-foot of the same car.
SCATTER_LOW_S, SCATTER_HIGH_S, SCATTERS = 0.003, 0.060, 9
# From one pass to the next the air of a day moves by about this share of its density, most of it
# steadily: where it was not read, a day drifts by so much more. Common practice, no source.
AIR_MOVES = 0.003
# How flat the logarithm of the scatter is believed: its middle [s] and spread.
SCATTER_S, SCATTER_SPREAD = 0.017, 1.2


@dataclass(frozen=True)
class ExpectedTime:
    """A time [s] with the range that holds it nine times in ten, and what the air does to it."""

    seconds: float
    low: float
    high: float
    passes: int
    air: AirPart | None

    @property
    def words(self) -> str:
        """Say it in one line."""
        text = f"{self.seconds:.3f} s, nine in ten from {self.low:.3f} to {self.high:.3f}"
        if self.air is None:
            text += ", the air left out"
        return f"Expected {text}."


def expected_next(
    passes: Iterable[PassTime],
    setting: str,
    air_density: float | None = None,
    lane: str | None = None,
    *,
    sixty: bool = False,
    earlier: Sequence[PassTime] = (),
    breathing: Breathing | None = None,
) -> ExpectedTime:
    """Return what the next pass on a setting may run, from the day's passes.

    air_density: dry [kg/m3], as expected at the round; without it the air is left out.
    earlier: passes of other days and settings, which teach scatter and answer to the air.

    Raises:
        ValueError: no clean pass on the setting, or a density that is not above zero.
    """
    everything = list(passes)
    on_it = [one for one in counted(everything) if one.setting == setting]
    if not on_it:
        raise ValueError(f"passes on {setting}: found no clean one; wanted at least one")
    if air_density is not None and not air_density > 0.0:
        raise ValueError(f"air density: found {air_density:g}; wanted above 0")
    recent = counted(everything)[-RECENT:]
    priors = believed_before(sum(one.value_s for one in on_it) / len(on_it), sixty, breathing)
    if air_density is None or any(one.air_density is None for one in recent):
        priors = air_not_read(priors)
    day = fit(recent, priors, counted(earlier)[-EARLIER:])
    order = max(one.order for one in everything) + 1
    belief = coming_pass(day, order, setting, air_density, lane)
    reference = mean_density(on_it)
    air = None
    if air_density is not None and reference is not None:
        air = air_learnt(day, reference, air_density)
    return ExpectedTime(belief.mean, *belief.range, len(on_it), air)


def believed_before(typical_s: float, sixty: bool, breathing: Breathing | None) -> Priors:
    """Return what is believed of a time of about this many seconds before the first pass."""
    known = (for_sixty if sixty else for_elapsed)(typical_s, breathing)
    return replace(known, noises=noises(any_scatter(), WIDE_SHARES))


def air_not_read(priors: Priors) -> Priors:
    """Return the same beliefs of a day whose air moved unseen."""
    moves = AIR_MOVES * hypot(priors.air_mean, priors.air_sd)
    return replace(
        priors,
        slope_sd=hypot(priors.slope_sd, moves),
        wanders=tuple((hypot(sd, moves), weight) for sd, weight in priors.wanders),
    )


def any_scatter() -> Spread:
    """Return the scatters of cars of which nothing is known, steady and wild ones alike."""
    step = log(SCATTER_HIGH_S / SCATTER_LOW_S) / (SCATTERS - 1)
    values = [SCATTER_LOW_S * exp(step * place) for place in range(SCATTERS)]
    heights = [exp(-0.5 * (log(one / SCATTER_S) / SCATTER_SPREAD) ** 2) for one in values]
    return tuple((one, height / sum(heights)) for one, height in zip(values, heights, strict=True))


def coming_pass(
    day: Fit, order: int, setting: str, air_density: float | None, lane: str | None
) -> Belief:
    """Return what a pass to come may run, a wide one too; a spoilt one is no plan."""
    import numpy as np

    from rules.evidence.local_level import combination, passes_go_by

    known = day.known
    stories = passes_go_by(known.stories, order - day.passes[-1].order)
    cells, kept = stories.cells, stories.log_weights.shape[1]
    row = known.places.row(order, setting, air_density, lane)
    weights, means, variances = combination(stories, row)
    unseen = cells.setting_variance.repeat(kept) * (setting not in known.places.settings)
    side = 0.0 if lane in LANES else day.priors.lane_unknown_sd**2
    own = cells.scatter.repeat(kept) ** 2 + side
    wide = cells.wide_share.repeat(kept)
    parts = ((1.0 - wide, 1.0), (wide, day.priors.wide_factor**2))
    return belief_of(
        np.concatenate([weights * share for share, _ in parts]),
        known.level + np.concatenate([means] * len(parts)),
        np.concatenate([variances + unseen + times * own for _, times in parts]) ** 0.5,
    )


def air_learnt(day: Fit, then: float, now: float) -> AirPart:
    """Return what the car's own answer to the air makes of two dry densities [kg/m3]."""
    answer = air_answer(day.known)
    denser = (now - then) / (day.known.places.density or then)
    return AirPart(answer.mean * denser, answer.sd * abs(denser))
