"""The day's passes as one model: level, settings, drift, air, lane, and the car's own scatter.

time = level + setting + drift x pass + air x relative density + lane + noise. The noise is one for
all settings, because it is the car's and the driver's. With the drift, lane and air held at zero
and the noise known it is the textbook normal model; with flat priors and an unknown noise its
belief is Student's t with the pooled degrees of freedom (both are tested). Unequal noises are not
modelled.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, log, sqrt
from typing import TYPE_CHECKING

from rules.evidence.belief import Belief
from rules.evidence.passes import LANES, PassTime, counted
from rules.evidence.priors import Priors

if TYPE_CHECKING:
    from rules.evidence.linear import Decomposed, Scatters

Row = tuple[int, str, float, str]


@dataclass(frozen=True)
class CoefficientPlaces:
    """Where each coefficient of the model stands, and what the rows are measured from."""

    settings: tuple[str, ...]
    middle_order: float

    def row(self, order: float, setting: str, air: float, lane: str) -> list[float]:
        """Return the row of a pass: level, drift, air, lane, settings."""
        side = 0.5 - LANES.index(lane) if lane in LANES else 0.0
        on = [1.0 if one == setting else 0.0 for one in self.settings]
        return [1.0, order - self.middle_order, air, side, *on]

    def contrast(self, old: str, new: str) -> list[float]:
        """Return the weights of new less old."""
        on = [float(one == new) - float(one == old) for one in self.settings]
        return [0.0, 0.0, 0.0, 0.0, *on]


@lru_cache(maxsize=1024)
def _designed(rows: tuple[Row, ...], priors: Priors) -> "tuple[CoefficientPlaces, Decomposed]":
    from rules.evidence.linear import decompose

    settings = tuple(dict.fromkeys(row[1] for row in rows))
    columns = CoefficientPlaces(settings, sum(row[0] for row in rows) / len(rows))
    each = priors.setting_sd / sqrt(2.0)
    others = [0.0] * (3 + len(settings))
    return columns, decompose(
        [columns.row(*row) for row in rows],
        [0.0, 0.0, priors.air_mean, *others[2:]],
        [priors.mean_sd, priors.drift_sd, priors.air_sd, priors.lane_sd] + [each] * len(settings),
    )


@dataclass(frozen=True)
class PriorShare:
    """The day under one prior, and how likely the data make that prior."""

    share: float
    priors: Priors
    columns: CoefficientPlaces
    design: "Decomposed"
    scatters: "Scatters"


@dataclass(frozen=True)
class Fit:
    """What the passes of a day say; seconds throughout."""

    passes: tuple[PassTime, ...]
    priors: Priors
    level: float
    density: float | None
    parts: tuple[PriorShare, ...]

    @property
    def columns(self) -> CoefficientPlaces:
        """Where the coefficients stand."""
        return self.parts[0].columns

    @property
    def likeliest(self) -> PriorShare:
        """The prior that the data speak for."""
        return max(self.parts, key=lambda one: one.share)

    @property
    def scatter(self) -> float:
        """The car's own pass-to-pass scatter, root mean square of what is likely."""
        return sqrt(
            sum(
                part.share * float(part.scatters.weights @ part.scatters.scatters**2)
                for part in self.parts
            )
        )

    def effect(self, old: str, new: str) -> Belief:
        """Return what going from one setting to another does: below zero is quicker.

        A setting without a clean pass is as uncertain as before the day.
        """
        missing = sum(one not in self.columns.settings for one in {old, new})
        return self.belief(self.columns.contrast(old, new), missing / 2.0)

    def drift(self) -> Belief:
        """Return what each pass of the day adds by itself."""
        return self.belief([0.0, 1.0, 0.0, 0.0, *[0.0] * len(self.columns.settings)])

    def next_pass(
        self, order: int, setting: str, air_density: float | None = None, lane: str | None = None
    ) -> Belief:
        """Return what a pass to come is expected to run, its own scatter included."""
        air = relative(air_density, self.density)
        row = self.columns.row(order, setting, air, lane or "")
        unseen = 0.0 if setting in self.columns.settings else 0.5
        belief = self.belief(row, unseen, noisy=True)
        return Belief(belief.weights, tuple(self.level + m for m in belief.means), belief.sds)

    def belief(self, row: list[float], unseen: float = 0.0, noisy: bool = False) -> Belief:
        """Return the belief about a weighted sum of the coefficients.

        unseen: settings without a pass, in units of the variance between two; noisy: the scatter
        of a pass is added.
        """
        from rules.evidence.linear import combination

        weights: list[float] = []
        means: list[float] = []
        sds: list[float] = []
        for part in self.parts:
            mean, variance = combination(part.design, part.scatters, row)
            variance = variance + unseen * part.priors.setting_sd**2
            if noisy:
                variance = variance + part.scatters.scatters**2
            kept = part.share * part.scatters.weights
            weights += kept.tolist()
            means += mean.tolist()
            sds += (variance**0.5).tolist()
        return Belief(tuple(weights), tuple(means), tuple(sds))


def relative(density: float | None, reference: float | None) -> float:
    """Return how far a density stands off the reference, as a share of it; 0 where unknown."""
    return 0.0 if density is None or reference is None else density / reference - 1.0


def mean_density(passes: Iterable[PassTime]) -> float | None:
    """Return the mean of the densities that were noted [kg/m3]."""
    noted = [one.air_density for one in passes if one.air_density is not None]
    return sum(noted) / len(noted) if noted else None


def fit(passes: Iterable[PassTime], priors: Priors) -> Fit:
    """Estimate the day from its clean passes.

    Raises:
        ValueError: no clean pass among them.
    """
    from rules.evidence.linear import known_scatter, likely_scatters

    clean = counted(passes)
    if not clean:
        raise ValueError("passes: found no clean one; wanted at least one to estimate from")
    density = mean_density(clean)
    rows = rows_of(clean, density)
    level = sum(one.value_s for one in clean) / len(clean)
    data = [one.value_s - level for one in clean]
    parts = []
    for share, prior in priors.parts():
        columns, design = _designed(rows, prior)
        scatters = (
            known_scatter(design, data, prior.noise_scale)
            if prior.noise_is_known
            else likely_scatters(design, data, prior.noise_scale, prior.noise_df)
        )
        parts.append(
            PriorShare(log(share) + scatters.log_evidence, prior, columns, design, scatters)
        )
    top = max(one.share for one in parts)
    heights = [exp(one.share - top) for one in parts]
    shares = [height / sum(heights) for height in heights]
    weighed = tuple(replace(one, share=share) for one, share in zip(parts, shares, strict=True))
    return Fit(clean, priors, level, density, weighed)


def rows_of(clean: tuple[PassTime, ...], density: float | None) -> tuple[Row, ...]:
    """Return what the design hangs on: order, setting, air and lane of each pass."""
    return tuple(
        (one.order, one.setting, relative(one.air_density, density), one.lane or "")
        for one in clean
    )


def effect_sd(rows: tuple[Row, ...], priors: Priors, scatter: float, old: str, new: str) -> float:
    """Return the sd [s] of an effect after these passes, whatever their times, at a scatter [s]."""
    from rules.evidence.linear import combination, known_scatter

    columns, design = _designed(rows, priors)
    scatters = known_scatter(design, [0.0] * len(rows), scatter)
    _, variances = combination(design, scatters, columns.contrast(old, new))
    return sqrt(float(variances[0]))
