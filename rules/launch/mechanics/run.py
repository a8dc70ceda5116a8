"""The launch as one function: parameters in, scalars out, for one car or for a whole batch."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from rules.faults import there
from rules.giving_way import give_way
from rules.launch.mechanics.aligned import COLUMNS
from rules.launch.mechanics.motion import Motion
from rules.launch.mechanics.parameters import Array, Columns, LaunchParameterError, columns
from rules.launch.mechanics.recorder import LaunchStatus, Recorder
from rules.launch.mechanics.scalars import COUNTS, MOMENTS, NAMES, front_rise, read_scalars
from rules.launch.mechanics.slip import wind_up
from rules.launch.mechanics.stretch import QF, QR, X

BATCH_STEP_S = 0.001
FINE_STEP_S = 0.000_25
LARGEST_STEP_S = 0.004
RADIANS = 0.5
# A car whose run overflows is launched again in steps so many times as fine: a very firm damper on
# a light axle may be lost by a coarse step alone.
FINER = 4
_STRETCH = 50
_BLOCK = 512
_BLOCK_SAMPLES = 4_200_000

Scalars = dict[str, float | int | None]
Places = np.ndarray[tuple[int], np.dtype[np.intp]]


class BeyondTheModelError(ValueError):
    """The car left what the model describes, so there are no numbers. `status` says how."""

    def __init__(self, status: LaunchStatus) -> None:
        self.status = status
        super().__init__(f"no numbers for this launch: {status.value}")


@dataclass(frozen=True)
class Traces:
    """Curves on a coarse grid, one row per car; NaN for a car that left the model.

    time: [s], (m,). The rest, (n, m): front tyre gap (negative: tyre pressed) [m], rear tyre
    load [N], front and rear compression from static [m], distance of the sprung centre [m], rise
    of the body at the front axle above static [m].
    """

    time: Array
    gap: Array
    rear_load: Array
    front_comp: Array
    rear_comp: Array
    x: Array
    nose: Array


@dataclass(frozen=True)
class Launches:
    """What a batch of launches came to, car by car in the order asked.

    status: how each run ended.
    step_s: the step each run was made with [s], (n,).
    columns: every scalar by name, (n,); NaN where it does not exist or the run is not `OK`.
    kept: the curves, where asked for; `traces` reads them.
    """

    status: tuple[LaunchStatus, ...]
    step_s: Array
    columns: Mapping[str, Array]
    kept: Traces | None = None

    @property
    def traces(self) -> Traces:
        """The curves.

        Raises:
            NotThereError: they were not asked for.
        """
        return there(self.kept, "the curves of a launch")

    def scalars(self, car: int) -> Scalars:
        """Return one car's scalars by name; None where a scalar does not exist.

        Raises:
            BeyondTheModelError: the car overturned, lifted beyond the model, or its state ran
                out of numbers.
        """
        if self.status[car] is not LaunchStatus.OK:
            raise BeyondTheModelError(self.status[car])
        return {name: _plain(name, float(self.columns[name][car])) for name in NAMES}


def launch_scalars(
    params: Mapping[str, object], *, step_s: float = FINE_STEP_S
) -> dict[str, float | int | None]:
    """Launch one car and return what happened.

    Args:
        params: the car, by the names and in the SI units of `rules.launch.parameters`.
        step_s: the time step [s].

    Returns:
        The scalars by name. Lengths [m], times [s], speeds [m/s], forces [N], pitch [rad]:

        - ``front_lift_max`` greatest gap under the front tyre (0 if it never leaves the ground);
          ``liftoff_t``, ``touchdown_t``, ``touchdown_x``, ``touchdown_axle_vz`` begin and end of
          the flight with the largest gap, where that end is down the track, and the axle's
          vertical speed there; None without one
        - ``touchdown_comp_vel_peak`` greatest front compression speed within 0.25 s after it
        - ``front_comp_max_after_td``, ``front_tyre_load_max_after_td`` over the rest of the run
          (the whole run without a touchdown)
        - ``front_bump_force_max``, ``front_droop_force_max`` greatest force in the front stops
        - ``n_reliftoffs_5mm``, ``relift_max`` flights over 5 mm after touchdown; greatest gap
        - ``rear_load_min_0p1_1s``, ``rear_load_max_1s`` rear tyre load from 0.1 to 1 s; to 1 s
        - ``rear_ext_max_0p3s``, ``rear_comp_max`` rear extension in 0.3 s; rear compression
        - ``pitch_max``, ``body_front_rise_*``, ``rear_sep_*`` greatest pitch; rise of the body
          at the front axle, and rear extension, at the time in the name
        - ``bar_force_max``, ``bar_contact_s``, ``bar_gap_min``, ``bar_touched`` greatest force
          in the wheelie bars, time in which they touch, least height of their wheel above the
          ground (negative: how far they were pressed), 1 if they touched at all; None without
          bars
        - ``slip_max``, ``spin_s_after_0p1s`` greatest slip of the rear tyres [-], time after 0.1 s
          in which it is over twice that of the most grip; None where no slip is told
        - ``t_60ft``, ``v_60ft`` time and speed at 18.288 m; None if the run ends before

    Raises:
        LaunchParameterError: parameters that no car can have; all faults are named.
        BeyondTheModelError: the car overturned or otherwise left what the model describes.

    Not modelled: driveline torque on the body, roll; the rear tyres' slip only where it is told.
    """
    return launch_many([params], step_s=step_s).scalars(0)


def launch_many(
    cars: Sequence[Mapping[str, object]],
    *,
    step_s: float = BATCH_STEP_S,
    trace_s: float | None = None,
    radians: float = RADIANS,
) -> Launches:
    """Launch many cars side by side, in one pass over time.

    Args:
        cars: each car by the names and in the SI units of `rules.launch.parameters`.
        step_s: the largest time step [s]; a car with very stiff stops or tyres gets a finer one,
            and so does a car whose run overflows.
        trace_s: where given, the grid [s] on which to return curves as well.
        radians: how far the stiffest axle vibration may go in a step [rad]; more is coarser.

    Raises:
        LaunchParameterError: parameters that no car can have, or a step or grid out of bounds;
            all faults are named.
    """
    faults = []
    if not (isinstance(step_s, int | float) and 1e-6 <= step_s <= LARGEST_STEP_S):
        raise LaunchParameterError(
            [f"step_s: found {step_s!r}, wanted 1e-06 to {LARGEST_STEP_S:g} s"]
        )
    if trace_s is not None and not step_s <= trace_s <= 1.0:
        faults.append(f"trace_s: found {trace_s:g}, wanted {step_s:g} to 1 s")
    if faults:
        raise LaunchParameterError(faults)
    table = columns(cars)
    steps = _steps_of(table, step_s, radians)
    ends = table.of["t_end"]
    times = None if trace_s is None else np.arange(0.0, ends.max() + 1e-9, trace_s)
    results = _Results(table.n, times)
    _launch(table, np.arange(table.n), steps, results)
    overflown = np.array([one is LaunchStatus.NOT_FINITE for one in results.status])
    if overflown.any():
        steps[overflown] *= FINER
        _launch(table, np.nonzero(overflown)[0], steps, results)
    traces = None if times is None else Traces(times, *results.curves)
    return Launches(tuple(results.status), ends / steps, results.found, traces)


class _Results:
    """What a batch comes to, filled in block by block."""

    def __init__(self, n: int, times: Array | None) -> None:
        self.times = times
        self.found = {name: np.full(n, np.nan) for name in NAMES}
        self.status = [LaunchStatus.OK] * n
        self.curves = np.full((6, n, 0 if times is None else len(times)), np.nan)

    def take(self, block: Places, record: Recorder) -> None:
        """Take in what a block's run recorded of its cars, (n,), the first rows of the run."""
        ok = np.array([one is LaunchStatus.OK for one in record.status[: len(block)]])
        for name, values in read_scalars(record).items():
            self.found[name][block] = np.where(ok, values[: len(block)], np.nan)
        for car, one in zip(block, record.status, strict=False):
            self.status[car] = one
        if self.times is not None:
            self.curves[:, block[ok]] = _curves(record, self.times)[:, : len(block)][:, ok]


def _launch(table: Columns, which: Places, steps: Places, results: _Results) -> None:
    """Launch some of the cars, each in its number of steps."""
    ends, times = table.of["t_end"][which], () if results.times is None else results.times
    for end, count in sorted(set(zip(ends.tolist(), steps[which].tolist(), strict=True))):
        together = which[(ends == end) & (steps[which] == count)]
        # Blocks alike: a step of a few cars costs half of what one of a full block does.
        parts = max(1, round(len(together) / max(1, min(_BLOCK, _BLOCK_SAMPLES // count))))
        size = -(-len(together) // parts)
        for start in range(0, len(together), size):
            block = together[start : start + size]
            # The last car again, until the columns fill whole cache lines.
            filled = np.append(block, np.repeat(block[-1], -len(block) % COLUMNS))
            results.take(block, _run(table.pick(filled), end, count, times))


def _run(cars: Columns, end: float, steps: int, times: Sequence[float] | Array) -> Recorder:
    step = end / steps
    motion = Motion(cars, step, _STRETCH)
    record = Recorder(cars, step, steps, (*MOMENTS, *(float(t) for t in times)))
    while motion.done < steps + 1:
        give_way()
        gone = record.take(motion.advance(min(_STRETCH, steps + 1 - motion.done)))
        if gone.any():
            motion.halt(gone)
    record.finish()
    return record


def _steps_of(table: Columns, step_s: float, radians: float) -> Places:
    """Return how many steps each car's run takes: finer where a contact is very stiff.

    A share of a radian of the stiffest axle vibration per step, and the same share of a time
    constant of the strongest contact damping, keep the leapfrog well inside its limit of stability
    (2 radians).
    """
    of = table.of
    stops, dampings = np.maximum(of["kbs"], of["kds"]), np.maximum(of["cbs"], of["cds"])
    limit = np.full(table.n, step_s)
    for end in ("f", "r"):
        mass = of[f"m{end}"]
        pace = np.sqrt((of[f"k{end}"] + of[f"kt{end}"] + stops) / mass)
        limit = np.minimum(limit, radians / pace)
        limit = np.minimum(limit, radians * mass / np.maximum(dampings + of[f"ct{end}"], 1e-9))
    mass = 1 / (1 / of["ms"] + (of["bar_behind"] + of["L"] - of["a"]) ** 2 / of["Iyy"])
    for pace in (np.sqrt(of["bar_rate"] / mass), of["bar_damping"] / mass):
        limit = np.minimum(limit, radians / np.maximum(pace, 1e-9))
    # Under way the rear tyres carry up to about twice what they carry at rest.
    limit = np.minimum(limit, radians / np.maximum(wind_up(table), 1e-9))
    finer = np.ceil(step_s / limit * (1.0 - 1e-12))
    return np.array(
        [
            ceil(end * cut / step_s * (1.0 - 1e-12))
            for end, cut in zip(of["t_end"], finer, strict=True)
        ],
        dtype=np.intp,
    )


def _curves(record: Recorder, times: Array) -> Array:
    out = np.full((6, record.cars.n, len(times)), np.nan)
    for column, time in enumerate(times):
        if float(time) in record.place:
            place = record.place[float(time)]
            out[0, :, column] = record.gap[float(time)]
            out[1, :, column] = record.rear_load[float(time)]
            out[2:5, :, column] = place[QF], place[QR], place[X]
            out[5, :, column] = front_rise(record.cars, place)
    return out


def _plain(name: str, value: float) -> float | int | None:
    if np.isnan(value):
        return None
    return int(value) if name in COUNTS else value
