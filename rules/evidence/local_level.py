"""A day as a level that wanders, some of its passes spoilt: the arithmetic alone.

    y_t = level_t + slope (t - t0) + lane + air + setting + e_t,  level_t = level_(t-1) + w_t

w ~ N(0, q^2) for each pass: the local level model, estimated by the Kalman filter (West and
Harrison, Bayesian Forecasting and Dynamic Models, 2nd ed., chapters 2 and 4, from memory). e is
N(0, s^2) on most passes, N(0, k^2 s^2) on a share of them (the contaminated normal: Tukey 1960; Box
and Tiao, Biometrika 55:119, 1968, from memory) and N(m, s^2 + r^2) where a pass was spoilt.

Scatter s, share of wide passes, wandering q and how far settings stand apart are not known: a grid
of cells holds them, and each cell its likeliest stories of which passes were wide or spoilt
(multi-process models of class II, chapter 12 of the same book). Cut stories leave their weight to
those that stay, so that every cell keeps its evidence.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from rules.evidence.priors import Priors

Array = NDArray[np.float64]

# Stories kept in each cell.
KEPT = 10
# Stories worked on together: more than the memory next to the processor holds cost twice as much.
TOGETHER = 256
START, WANDER, SLOPE, LANE, AIR = range(5)
# What begins anew with each meeting.
OF_MEETING = (START, WANDER, SLOPE, LANE)


@dataclass(frozen=True)
class Kinds:
    """The kinds of pass that there can be (n): clean, wide and spoilt, those that have a share.

    log_shares: by kind and cell (n, c).  factors, more: what a kind makes of the square of a cell's
    scatter, both (n, 1).  shifts: what it costs (n).
    """

    log_shares: Array
    factors: Array
    more: Array
    shifts: Array


@dataclass(frozen=True)
class Cells:
    """What each cell (c) holds for true; the wandering varies fastest, `walks` values of it."""

    kinds: Kinds
    scatter: Array
    wide_share: Array
    setting_variance: Array
    wander_variance: Array
    log_walks: Array
    noise: NDArray[np.intp]


@dataclass(frozen=True)
class Stories:
    """Cells (c) with stories (k): log weights (c, k), means (c, k, d), covariances (c, k, d, d)."""

    cells: Cells
    log_weights: Array
    means: Array
    covariances: Array

    @property
    def weights(self) -> Array:
        """Weights (c, k) that sum to one."""
        weights = np.exp(self.log_weights - self.log_weights.max())
        return np.asarray(weights / weights.sum())

    @property
    def log_evidence(self) -> Array:
        """Log evidence of each kind of noise; its zero means nothing."""
        in_cell = np.logaddexp.reduce(self.log_weights, axis=1)
        count = int(self.cells.noise.max()) + 1
        return np.array(
            [np.logaddexp.reduce(in_cell[self.cells.noise == one]) for one in range(count)]
        )


def nothing_seen(priors: "Priors") -> Stories:
    """Return the cells before the first pass: the air is there, no meeting and no setting yet."""
    noises = np.array([[one.scatter_s, one.wide_share, one.weight] for one in priors.noises])
    apart, walks = np.array(priors.settings), np.array(priors.wanders)
    shape = (len(noises), len(apart), len(walks))
    noise, setting, walk = (one.ravel() for one in np.indices(shape))
    cells = Cells(
        kinds=_kinds_of(noises[noise, 1], priors),
        scatter=noises[noise, 0],
        wide_share=noises[noise, 1],
        # Two settings stand apart by the difference of two such numbers.
        setting_variance=apart[setting, 0] ** 2 / 2.0,
        wander_variance=walks[walk, 0] ** 2,
        log_walks=np.log(walks[:, 1]),
        noise=noise,
    )
    weights = np.log(noises[noise, 2] * apart[setting, 1] * walks[walk, 1])
    means = np.zeros((weights.size, 1, AIR + 1))
    covariances = np.zeros((weights.size, 1, AIR + 1, AIR + 1))
    means[..., AIR] = priors.air_mean
    covariances[..., AIR, AIR] = priors.air_sd**2
    return Stories(cells, weights[:, None], means, covariances)


def meeting_begins(stories: Stories, priors: "Priors", most: int = KEPT) -> Stories:
    """Forget level, way and lane; how the track wanders is drawn anew."""
    cells = stories.cells
    walks, (count, kept) = cells.log_walks.size, stories.log_weights.shape
    dimension = stories.means.shape[-1]
    if stories.covariances[..., START, START].any():
        together = Stories(
            cells,
            stories.log_weights.reshape(count // walks, walks * kept),
            stories.means.reshape(count // walks, walks * kept, dimension),
            stories.covariances.reshape(count // walks, walks * kept, dimension, dimension),
        )
        stories = _likeliest(together, most)
        drawn = np.tile(cells.log_walks, count // walks)[:, None]
        stories = replace(
            stories,
            log_weights=np.repeat(stories.log_weights, walks, axis=0) + drawn,
            means=np.repeat(stories.means, walks, axis=0),
            covariances=np.repeat(stories.covariances, walks, axis=0),
        )
    means, covariances = stories.means.copy(), stories.covariances.copy()
    means[..., OF_MEETING] = 0.0
    covariances[..., OF_MEETING, :] = 0.0
    covariances[..., :, OF_MEETING] = 0.0
    sds = {START: priors.mean_sd, SLOPE: priors.slope_sd, LANE: priors.lane_sd}
    for place, sd in sds.items():
        covariances[..., place, place] = sd**2
    return replace(stories, means=means, covariances=covariances)


def setting_comes(stories: Stories) -> Stories:
    """Add a setting of which nothing is known but how far settings stand apart."""
    dimension = stories.means.shape[-1]
    shape = stories.means.shape[:2]
    means = np.zeros((*shape, dimension + 1))
    means[..., :dimension] = stories.means
    covariances = np.zeros((*shape, dimension + 1, dimension + 1))
    covariances[..., :dimension, :dimension] = stories.covariances
    covariances[..., dimension, dimension] = stories.cells.setting_variance[:, None]
    return replace(stories, means=means, covariances=covariances)


def passes_go_by(stories: Stories, passes: float) -> Stories:
    """Let the level wander on."""
    covariances = stories.covariances.copy()
    covariances[..., WANDER, WANDER] += passes * stories.cells.wander_variance[:, None]
    return replace(stories, covariances=covariances)


def pass_comes(
    stories: Stories,
    row: Sequence[float],
    value: float,
    more_sd: float = 0.0,
    most: int = KEPT,
) -> Stories:
    """Take in one time [s]: each story splits into clean, wide and spoilt, the likeliest are kept.

    more_sd: what else scatters this pass [s], such as a lane that nobody noted.  most: stories kept
    in each cell.
    """
    h = np.asarray(row, dtype=np.float64)
    size, kinds = h.size, stories.cells.kinds
    count, before = stories.log_weights.shape
    # As long tables, worked on in place: the array library is slow at many small ones.
    covariances = stories.covariances.reshape(-1, size, size)
    gone = covariances.reshape(-1, size) @ h
    gone = gone.reshape(-1, size)
    known = gone @ h
    off = value - stories.means.reshape(-1, size) @ h
    noise = kinds.factors * (stories.cells.scatter**2 + more_sd**2) + kinds.more
    spread = known.reshape(count, before) + noise[:, :, None]
    miss = (off - kinds.shifts[:, None]).reshape(spread.shape)
    miss *= miss
    miss /= spread
    miss += np.log(spread, out=spread)
    miss *= 0.5
    weights = stories.log_weights + kinds.log_shares[:, :, None]
    weights -= miss
    kept, places = _cut(weights.transpose(1, 2, 0).reshape(count, -1), most)
    story, kind = places // kinds.shifts.size, places % kinds.shifts.size
    cell = np.arange(count)[:, None]
    came_from = (story + before * cell).ravel()
    gone = gone.take(came_from, axis=0)
    variances = known.take(came_from) + noise.take((kind * count + cell).ravel())
    gain = gone / variances[:, None]
    left = covariances.take(came_from, axis=0)
    for at in range(0, len(left), TOGETHER):
        some = slice(at, at + TOGETHER)
        left[some] -= gain[some, :, None] * gone[some, None, :]
    means = gain * (off.take(came_from) - kinds.shifts.take(kind.ravel()))[:, None]
    means += stories.means.reshape(-1, size).take(came_from, axis=0)
    shape = (count, -1, size)
    return Stories(stories.cells, kept, means.reshape(shape), left.reshape(*shape, size))


def combination(stories: Stories, row: Sequence[float]) -> tuple[Array, Array, Array]:
    """Return weights, means and variances of a weighted sum of the state, one for each story."""
    h = np.asarray(row, dtype=np.float64)
    variances = np.maximum(stories.covariances @ h @ h, 1e-18)
    return stories.weights.ravel(), (stories.means @ h).ravel(), variances.ravel()


def _kinds_of(wide_share: Array, priors: "Priors") -> Kinds:
    """Return the kinds of pass that there can be where so many scatter wide."""
    spoilt = priors.spoilt_share
    kinds = [(np.log1p(-wide_share - spoilt), 1.0, 0.0, 0.0)]
    if wide_share.any():
        with np.errstate(divide="ignore"):
            kinds.append((np.log(wide_share), priors.wide_factor**2, 0.0, 0.0))
    if spoilt:
        log_spoilt = np.full_like(wide_share, np.log(spoilt))
        kinds.append((log_spoilt, 1.0, priors.spoilt_sd**2, priors.spoilt_mean))
    log_shares, factors, more, shifts = (np.array(one) for one in zip(*kinds, strict=True))
    return Kinds(log_shares, factors[:, None], more[:, None], shifts)


def _likeliest(stories: Stories, most: int) -> Stories:
    kept, places = _cut(stories.log_weights, most)
    cell = np.arange(kept.shape[0])[:, None]
    return replace(
        stories,
        log_weights=kept,
        means=stories.means[cell, places],
        covariances=stories.covariances[cell, places],
    )


def _cut(log_weights: Array, most: int) -> tuple[Array, NDArray[np.intp]]:
    """Return the heaviest of each row, with the whole row's weight, and their places."""
    if log_weights.shape[1] <= most:
        return log_weights, np.broadcast_to(np.arange(log_weights.shape[1]), log_weights.shape)
    places = np.argpartition(log_weights, -most, axis=1)[:, -most:]
    rows = np.arange(0, log_weights.size, log_weights.shape[1])[:, None]
    kept = log_weights.take(places + rows)
    top = kept.max(axis=1, keepdims=True)
    whole, part = (np.exp(one - top).sum(axis=1, keepdims=True) for one in (log_weights, kept))
    kept += np.log(whole / part)
    return kept, places
