"""Interpolation that never overshoots: piecewise cubics with limited slopes.

F. N. Fritsch and R. E. Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17
(1980) 238; slopes after F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300:
the weighted harmonic mean inside, the limited three-point formula at the ends (both from memory;
the tests hold it against a general-purpose library).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


class MonotoneCubic:
    """Curves through points that rise where they rise, and go straight on beyond them."""

    def __init__(self, x: ArrayLike, y: ArrayLike) -> None:
        """Take the points: x (points,), and y (..., points), a curve for each leading index.

        Raises:
            ValueError: fewer than two points, or x that does not rise throughout.
        """
        self.x, self.y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        if self.x.ndim != 1 or len(self.x) < 2 or self.y.shape[-1:] != self.x.shape:
            raise ValueError("wanted at least two points")
        if not np.all(np.diff(self.x) > 0.0):
            raise ValueError("wanted x to rise from point to point")
        self.slope = _slopes(self.x, self.y)

    def __call__(self, at: ArrayLike) -> Array:
        """Return every curve's values at each of `at`, (..., *at)."""
        at = np.asarray(at, dtype=np.float64)
        place = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.x) - 2)
        h = self.x[place + 1] - self.x[place]
        t = np.clip((at - self.x[place]) / h, 0.0, 1.0)
        y0, y1 = self.y[..., place], self.y[..., place + 1]
        m0, m1 = self.slope[..., place] * h, self.slope[..., place + 1] * h
        inside = (
            y0 * (1 + 2 * t) * (1 - t) ** 2
            + m0 * t * (1 - t) ** 2
            + y1 * t * t * (3 - 2 * t)
            + m1 * t * t * (t - 1)
        )
        beyond = self.slope[..., :1] * np.minimum(at.ravel() - self.x[0], 0.0)
        beyond = beyond + self.slope[..., -1:] * np.maximum(at.ravel() - self.x[-1], 0.0)
        return np.asarray(inside + beyond.reshape(inside.shape))


def _slopes(x: Array, y: Array) -> Array:
    h = np.diff(x)
    secant = np.diff(y) / h
    if len(x) == 2:
        return np.repeat(secant, 2, axis=-1)
    slope = np.zeros_like(y)
    left, right = secant[..., :-1], secant[..., 1:]
    same = left * right > 0.0
    w_left, w_right = h[:-1] + 2 * h[1:], 2 * h[:-1] + h[1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (w_left + w_right) / (w_left / left + w_right / right)
    slope[..., 1:-1] = np.where(same, mean, 0.0)
    slope[..., 0] = _end(h[0], h[1], secant[..., 0], secant[..., 1])
    slope[..., -1] = _end(h[-1], h[-2], secant[..., -1], secant[..., -2])
    return slope


def _end(h0: float, h1: float, s0: Array, s1: Array) -> Array:
    slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    slope = np.where((s0 * s1 < 0.0) & (np.abs(slope) > 3 * np.abs(s0)), 3 * s0, slope)
    return np.where(slope * s0 <= 0.0, 0.0, slope)
