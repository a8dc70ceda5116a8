"""What is kept of a run while it goes by: traces for the events, peaks, and a few moments.

A batch's whole history would not fit the cache, so peaks and moments are taken stretch by
stretch, and only the five traces that the touchdown decides about are kept whole.
"""

from collections.abc import Sequence
from enum import StrEnum
from math import floor, pi

import numpy as np
from numpy.typing import NDArray

from rules.launch.mechanics.parameters import Array, Columns
from rules.launch.mechanics.stretch import (
    BUMP_F,
    DROOP_F,
    PITCH,
    QF,
    QR,
    TYRE_F,
    TYRE_R,
    Stretch,
    X,
    Z,
)

BEYOND_PITCH_RAD = pi / 3
OVERTURNED_RAD = pi / 2
REAR_LOAD_FROM_S, REAR_LOAD_TO_S, REAR_EXT_TO_S = 0.1, 1.0, 0.3
# A tyre spins where it slips more than this many times as much as where it grips most.
SPINNING, SPIN_FROM_S = 2.0, 0.1
WHOLE = ("gap", "x", "front_comp", "front_comp_rate", "front_load")


class LaunchStatus(StrEnum):
    """How a run ended. Only a run that is `OK` has numbers."""

    OK = "ok"
    OVERTURNED = "overturned"
    BEYOND = "lift beyond the model"
    NOT_FINITE = "not finite"


class Recorder:
    """Takes the stretches of one batch, in order.

    Attributes:
        time: [s], (samples,), from the start to the end of the run.
        whole: traces by the names in `WHOLE` [m, m/s, N], (n + 1, samples): one spare row.
        peak: running extremes by the name of their scalar, (n,).
        status: `LaunchStatus` of each car so far.
    """

    def __init__(self, cars: Columns, step_s: float, steps: int, moments: Sequence[float]) -> None:
        """Make room for `steps` steps; `moments` are the times [s] to be kept in full."""
        n = cars.n
        self.cars, self.step_s, self.steps = cars, step_s, steps
        self.time = np.clip((np.arange(steps + 2) - 0.5) * step_s, 0.0, steps * step_s)
        self.whole = {name: np.zeros((n + 1, steps + 2)) for name in WHOLE}
        self.status = [LaunchStatus.OK] * n
        self.peak = {
            "front_bump_force_max": np.zeros(n),
            "front_droop_force_max": np.zeros(n),
            "rear_load_min_0p1_1s": np.full(n, np.inf),
            "rear_load_max_1s": np.zeros(n),
            "rear_ext_max_0p3s": np.zeros(n),
            "rear_comp_max": np.zeros(n),
            "pitch_max": np.zeros(n),
            "slip_max": np.zeros(n),
            "spin_s_after_0p1s": np.zeros(n),
            "bar_force_max": np.zeros(n),
            "bar_contact_s": np.zeros(n),
            "bar_gap_min": cars.of["bar_height"].copy(),
        }
        end = steps * step_s
        always = (0.0, REAR_LOAD_FROM_S, REAR_LOAD_TO_S, REAR_EXT_TO_S, end)
        self._moments = sorted({t for t in (*moments, *always) if 0.0 <= t <= end + 1e-9})
        self.place = {t: np.zeros((5, n)) for t in self._moments}
        self.rear_load = {t: np.zeros(n) for t in self._moments}
        self.gap = {t: np.zeros(n) for t in self._moments}
        self._taken = 0

    def take(self, stretch: Stretch) -> NDArray[np.bool_]:
        """Take the next stretch; return which cars it took out of the model, (n,)."""
        # What overflows is of a car that is lost, which its status tells.
        with np.errstate(all="ignore"):
            rear = stretch.force(TYRE_R)
            self._keep_whole(stretch)
            self._keep_moments(stretch, rear)
            self._keep_peaks(stretch, rear)
            return self._watch(stretch)

    def finish(self) -> None:
        """Close the books at the end of the run: the last sample moves back onto it."""
        for trace in self.whole.values():
            trace[:, -1] = (trace[:, -2] + trace[:, -1]) / 2
        at, load = self.place, self.rear_load
        for time in self._moments:
            self._raise("rear_comp_max", at[time][QR])
            self._raise("pitch_max", at[time][PITCH])
            if time <= REAR_EXT_TO_S:
                self._raise("rear_ext_max_0p3s", -at[time][QR])
            if time <= REAR_LOAD_TO_S:
                self._raise("rear_load_max_1s", load[time])
            if REAR_LOAD_FROM_S <= time <= REAR_LOAD_TO_S:
                least = self.peak["rear_load_min_0p1_1s"]
                np.minimum(least, load[time], out=least)

    def _raise(self, name: str, value: Array) -> None:
        np.fmax(self.peak[name], value, out=self.peak[name])

    def _keep_whole(self, stretch: Stretch) -> None:
        rows = slice(stretch.first, stretch.first + len(stretch.place))
        n = self.cars.n
        for name, values in (
            ("gap", -stretch.front_depth),
            ("x", stretch.place[:, X]),
            ("front_comp", stretch.place[:, QF]),
            ("front_comp_rate", stretch.front_rate),
            ("front_load", stretch.force(TYRE_F)),
        ):
            self.whole[name][:n, rows] = values.T

    def _keep_moments(self, stretch: Stretch, rear: Array) -> None:
        last = stretch.first + len(stretch.place) - 1
        while self._taken < len(self._moments):
            time = self._moments[self._taken]
            row = floor(time / self.step_s + 0.5 + 1e-9)
            if row + 1 > last:
                return
            share = min(max(time / self.step_s + 0.5 - row, 0.0), 1.0)
            here = row - stretch.first
            for store, rows in (
                (self.place, stretch.place),
                (self.rear_load, rear),
                (self.gap, -stretch.front_depth),
            ):
                store[time][...] = rows[here] * (1.0 - share) + rows[here + 1] * share
            self._taken += 1

    def _keep_peaks(self, stretch: Stretch, rear: Array) -> None:
        until = self._rows(stretch, self.steps * self.step_s)
        of = self.cars.of
        comp, rate = stretch.place[:, QF], stretch.front_rate
        for name, part, depth, speed, damping in (
            ("front_bump_force_max", BUMP_F, comp - of["front_bump"], rate, of["cbs"]),
            ("front_droop_force_max", DROOP_F, -comp - of["front_droop"], -rate, of["cds"]),
        ):
            self._raise(name, stretch.force(part)[:until].max(axis=0))
            self._raise_on_entry(name, depth, speed, damping)
        self._keep_bars(stretch, until)
        self._keep_slip(stretch, until)
        self._raise("rear_comp_max", stretch.place[:until, QR].max(axis=0))
        self._raise("pitch_max", stretch.place[:until, PITCH].max(axis=0))
        until = self._rows(stretch, REAR_LOAD_TO_S)
        if until > 0:
            self._raise("rear_load_max_1s", rear[:until].max(axis=0))
        since = self._rows(stretch, REAR_LOAD_FROM_S)
        if until > since:
            least = self.peak["rear_load_min_0p1_1s"]
            np.minimum(least, rear[since:until].min(axis=0), out=least)
        until = self._rows(stretch, REAR_EXT_TO_S)
        if until > 0:
            self._raise("rear_ext_max_0p3s", -stretch.place[:until, QR].min(axis=0))

    def _keep_bars(self, stretch: Stretch, until: int) -> None:
        if stretch.bars is None:
            return
        force, depth, rate = (rows[:until] for rows in stretch.bars)
        self._raise("bar_force_max", force.max(axis=0))
        self._raise_on_entry("bar_force_max", depth, rate, self.cars.of["bar_damping"])
        least = self.peak["bar_gap_min"]
        np.minimum(least, -depth.max(axis=0), out=least)
        # The share of each interval that lies in the ground, straight from sample to sample.
        change = np.diff(depth, axis=0)
        inside = np.diff(np.maximum(depth, 0.0), axis=0)
        share = np.where(change == 0.0, depth[1:] > 0.0, inside / np.where(change, change, 1.0))
        self.peak["bar_contact_s"] += share.sum(axis=0) * self.step_s

    def _keep_slip(self, stretch: Stretch, until: int) -> None:
        if stretch.slip is None:
            return
        self._raise("slip_max", stretch.slip[:until].max(axis=0))
        since = max(1, self._rows(stretch, SPIN_FROM_S))
        spinning = stretch.slip[since:until] > SPINNING * self.cars.of["slip_peak"]
        self.peak["spin_s_after_0p1s"] += spinning.sum(axis=0) * self.step_s

    def _rows(self, stretch: Stretch, time: float) -> int:
        """Return how many rows of the stretch lie before `time`, none of them after it."""
        rows = floor(time / self.step_s + 0.5 + 1e-9) - stretch.first + 1
        return min(max(rows, 0), len(stretch.place))

    def _raise_on_entry(self, name: str, depth: Array, rate: Array, damping: Array) -> None:
        """Count the force at the very moment a stop is met, which falls between two samples."""
        row, car = np.nonzero((depth[:-1] <= 0.0) & (depth[1:] > 0.0))
        before, after = depth[row, car], depth[row + 1, car]
        share = -before / (after - before)
        speed = rate[row, car] * (1.0 - share) + rate[row + 1, car] * share
        np.fmax.at(self.peak[name], car, damping[car] * speed)

    def _watch(self, stretch: Stretch) -> NDArray[np.bool_]:
        place = stretch.place[1:]
        pitch = place[:, PITCH]
        steepest = np.maximum(pitch.max(axis=0), -pitch.min(axis=0))
        lost = ~np.isfinite(place[-1].sum(axis=0))
        over = steepest > OVERTURNED_RAD
        beyond = (steepest > BEYOND_PITCH_RAD) | (place[:, Z].min(axis=0) < 0.0)
        # What overflows may pass every angle on its way, and has not gone over for that.
        for car in np.nonzero(lost | over | beyond)[0]:
            if self.status[car] in (LaunchStatus.OK, LaunchStatus.BEYOND):
                self.status[car] = (
                    LaunchStatus.NOT_FINITE
                    if lost[car]
                    else LaunchStatus.OVERTURNED
                    if over[car]
                    else LaunchStatus.BEYOND
                )
        gone: NDArray[np.bool_] = lost | over
        return gone
