"""A normal linear model with normal priors, its scatter unknown: the arithmetic alone.

y = X b + e, b ~ N(m, S), e ~ N(0, s^2). With X S X' = Q L Q' the data have covariance
Q (L + s^2) Q', so that one decomposition serves every scatter s. The scatter is integrated on a
grid of its logarithm (Gelman et al., Bayesian Data Analysis, 3rd ed., chapters 3 and 14, from
memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_COARSE = np.linspace(-3.0, 3.0, 49)
_FINE = np.linspace(-5.0, 5.0, 25)


@dataclass(frozen=True)
class Decomposed:
    """A design: rows (n, k), prior means and variances (k), eigenvalues (n) and -vectors (n, n)."""

    rows: Array
    prior_means: Array
    prior_variances: Array
    eigenvalues: Array
    eigenvectors: Array


def decompose(
    rows: Sequence[Sequence[float]], prior_means: Sequence[float], prior_sds: Sequence[float]
) -> Decomposed:
    """Prepare a design for any data on it."""
    x = np.asarray(rows, dtype=np.float64)
    variances = np.asarray(prior_sds, dtype=np.float64) ** 2
    eigenvalues, eigenvectors = np.linalg.eigh((x * variances) @ x.T)
    return Decomposed(
        x,
        np.asarray(prior_means, dtype=np.float64),
        variances,
        np.maximum(eigenvalues, 0.0),
        eigenvectors,
    )


@dataclass(frozen=True)
class Scatters:
    """Likely scatters [s], their weights, and the data turned onto the eigenvectors.

    `log_evidence` tells two priors for the same data apart; its zero means nothing.
    """

    scatters: Array
    weights: Array
    turned: Array
    log_evidence: float


def known_scatter(design: Decomposed, data: Sequence[float], scatter: float) -> Scatters:
    """Return the one scatter there is."""
    turned = _turned(design, data)
    height = _log_likelihood(design, turned, np.array([scatter**2]))
    return Scatters(np.array([scatter]), np.ones(1), turned, float(height[0]))


def likely_scatters(
    design: Decomposed, data: Sequence[float], scale: float, freedom: float
) -> Scatters:
    """Weigh scatters by a scaled inverse chi-square prior and the data; `freedom` may be 0."""
    turned = _turned(design, data)

    def weigh(logs: Array) -> tuple[Array, float]:
        variances = np.exp(2.0 * logs)
        heights = _log_likelihood(design, turned, variances)
        heights += -freedom * (logs - log(scale)) - 0.5 * freedom * scale**2 / variances
        top = float(heights.max())
        weights = np.exp(heights - top)
        total = float(weights.sum())
        return weights / total, top + log(total * float(logs[1] - logs[0]))

    coarse = log(scale) + _COARSE
    weights, _ = weigh(coarse)
    middle = float(weights @ coarse)
    width = max(float(weights @ (coarse - middle) ** 2) ** 0.5, 0.04)
    fine = middle + width * _FINE
    weights, log_evidence = weigh(fine)
    return Scatters(np.exp(fine), weights, turned, log_evidence)


def _log_likelihood(design: Decomposed, turned: Array, variances: Array) -> Array:
    spread = design.eigenvalues[:, None] + variances
    heights: Array = -0.5 * (np.log(spread) + turned[:, None] ** 2 / spread).sum(axis=0)
    return heights


def _turned(design: Decomposed, data: Sequence[float]) -> Array:
    turned: Array = design.eigenvectors.T @ (
        np.asarray(data, dtype=np.float64) - design.rows @ design.prior_means
    )
    return turned


def combination(
    design: Decomposed, scatters: Scatters, weights: Sequence[float]
) -> tuple[Array, Array]:
    """Return mean and variance, for each scatter, of a weighted sum of the coefficients."""
    c = np.asarray(weights, dtype=np.float64)
    towards = design.eigenvectors.T @ (design.rows @ (design.prior_variances * c))
    spread = design.eigenvalues[:, None] + scatters.scatters**2
    means = c @ design.prior_means + (towards * scatters.turned) @ (1.0 / spread)
    variances = c**2 @ design.prior_variances - towards**2 @ (1.0 / spread)
    return means, np.maximum(variances, 1e-18)
