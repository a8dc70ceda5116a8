"""Dyno tables: force against piston speed at several settings, and the curve through each."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules.car.dyno_tables import DynoRows, checked_rows, read_rows
from rules.launch.mechanics.monotone import MonotoneCubic
from rules.launch.mechanics.valve import ValveFit, fit_valve

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TableCurve:
    """One setting of a table as a curve: monotone between points, straight on beyond them."""

    cubic: MonotoneCubic

    def force(self, speed: ArrayLike) -> Array:
        """Return the force [N] at each piston speed [m/s]."""
        return np.maximum(0.0, self.cubic(speed))

    def speed(self, force: ArrayLike) -> Array:
        """Return the least piston speed [m/s] that gives each force [N], by bisection.

        A force above the fastest point is looked for on the straight beyond it; one that the
        curve never reaches comes back as infinity.
        """
        wanted = np.asarray(force, dtype=np.float64)
        low, high = np.zeros_like(wanted), np.full_like(wanted, self.cubic.x[-1])
        for _ in range(20):
            high = np.where(self.force(high) < wanted, 2.0 * high, high)
        reached = self.force(high) >= wanted
        for _ in range(80):
            middle = (low + high) / 2.0
            enough = self.force(middle) >= wanted
            low, high = np.where(enough, low, middle), np.where(enough, middle, high)
        return np.where(reached, high, np.inf)


@dataclass(frozen=True)
class DynoTable:
    """A stroke as measured. Made by `dyno_table` or `read_dyno_csv`, which check it.

    settings: counts of the knob, rising.
    speeds: piston speeds [m/s], rising, (rows,).
    forces: [N], (rows, settings).
    """

    settings: tuple[float, ...]
    speeds: Array
    forces: Array

    def curve(self, setting: float) -> TableCurve:
        """Return the curve at a setting; between two measured ones by equal factors.

        Raises:
            ValueError: a setting outside the measured ones.
        """
        if not self.settings[0] <= setting <= self.settings[-1]:
            raise ValueError(
                f"found setting {setting:g}, wanted one from {self.settings[0]:g} "
                f"to {self.settings[-1]:g}: no other was measured"
            )
        upper = min(bisect_right(self.settings, setting), len(self.settings) - 1)
        lower = max(upper - 1, 0)
        span = self.settings[upper] - self.settings[lower]
        share = (setting - self.settings[lower]) / span if span else 0.0
        below, above = self.forces[:, lower], self.forces[:, upper]
        with np.errstate(divide="ignore"):
            mixed = np.exp(np.log(below) * (1.0 - share) + np.log(above) * share)
        plain = below * (1.0 - share) + above * share
        forces = np.where(np.minimum(below, above) > 0.0, mixed, plain)
        return TableCurve(from_rest(self.speeds, forces))

    def fit(self, setting: float) -> ValveFit:
        """Return the generic family fitted to a setting, which is what the launch takes."""
        curve = self.curve(setting)
        return fit_valve(self.speeds, curve.force(self.speeds))


def from_rest(speeds: Array, forces: Array) -> MonotoneCubic:
    """Return the curve through a table's points, from no force at rest on.

    speeds [m/s], rising, (rows,); forces [N], (..., rows).
    """
    if speeds[0] > 0.0:
        speeds = np.append(0.0, speeds)
        forces = np.concatenate([np.zeros((*forces.shape[:-1], 1)), forces], axis=-1)
    return MonotoneCubic(speeds, forces)


def dyno_table(
    settings: Sequence[float], speeds: Sequence[float], forces: Sequence[Sequence[float]]
) -> DynoTable:
    """Check a table and return it with its settings in order, see `rules.dyno_rows.checked_rows`.

    Raises:
        DynoTableError: with what is wrong.
    """
    return _table(checked_rows(settings, speeds, forces))


@lru_cache(maxsize=64)
def read_dyno_csv(text: str) -> DynoTable:
    """Read a table from CSV text; commas, semicolons or tabs between cells.

    The same text gives the same table, whose arrays nobody can write to.

    Raises:
        DynoTableError: with what is wrong, in rows and columns as a spreadsheet counts them.
    """
    return _table(read_rows(text))


def _table(rows: DynoRows) -> DynoTable:
    order = np.argsort(rows.settings)
    speeds, forces = np.array(rows.speeds), np.array(rows.forces)[:, order]
    for one in (speeds, forces):
        one.flags.writeable = False
    return DynoTable(tuple(rows.settings[place] for place in order), speeds, forces)
