"""What a setting would do before a hand turns it: curves, traces and travel, each as a range.

Three sets of settings are tried on the same cloud of cars: those of today, those proposed, and the
baseline. Numbers are SI. Nothing here is recorded, and nothing here clears a car as safe.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from rules.car.adjusters import Settings, adjusters
from rules.car.model import Car
from rules.giving_way import give_way
from rules.launch.as_seen import POOL, as_seen
from rules.launch.cloud.car_cloud import SEED, Deviates, LaunchCars, deviates, typical_cars
from rules.launch.cloud.ensemble import band, trace_band
from rules.launch.cloud.knobs import curve_of
from rules.launch.cloud.on_paper import Known, Params
from rules.launch.mechanics import Launches, LaunchStatus, launch_many
from rules.launch.proposed_change import Seen, missing

CARS = 64
RUN_S = 3.0
SEEN_S = 2.5
TRACE_S = 0.02
CURVE_TO_M_S = 0.5
CURVE_POINTS = 41
NOT_MODELLED = ("wheel slip as a state of its own", "driveline torque on the body", "roll")

MOST_KEPT = 8
_kept: list[tuple[tuple[Params, ...], Launches]] = []

Floats = tuple[float | None, ...]


@dataclass(frozen=True)
class NumberRange:
    """Where a number lies: its 10, 50 and 90 % quantiles; None where no car has the number.

    known: share of the cars that have it [-].
    """

    low: float | None
    middle: float | None
    high: float | None
    known: float


@dataclass(frozen=True)
class StrokeCurve:
    """One stroke of the axle's dampers at the wheel: force [N] against speed [m/s] by settings."""

    stroke: str
    speed: Floats
    force: Mapping[str, Floats]


@dataclass(frozen=True)
class Trace:
    """A curve over time with its band: the 10, 50 and 90 % quantiles at each time."""

    low: Floats
    middle: Floats
    high: Floats


@dataclass(frozen=True)
class Travel:
    """Travel used against travel there is, of one axle in one direction [m].

    used, there_by: by settings; a limiter or a ride height moves what there is.  there: today's.
    meets: by settings, share of the cars that use all of what they have there [-].
    """

    name: str
    used: Mapping[str, NumberRange]
    there: NumberRange
    there_by: Mapping[str, NumberRange]
    meets: Mapping[str, float | None]


@dataclass(frozen=True)
class Number:
    """One number of the launch by settings, and what the proposal makes of it against today.

    kind: "length" [m], "force" [N], "speed" [m/s] or "time" [s].
    change: proposed less today, car by car.  rises: share of the cars on which it rises [-].
    """

    name: str
    kind: str
    by: Mapping[str, NumberRange]
    change: NumberRange
    rises: float | None


@dataclass(frozen=True)
class WhatIf:
    """Everything the drawings show.

    knob: the adjuster asked about, "" where none differs.
    settings: by "today", "proposed" and "baseline", every adjuster's number.
    curves: at the wheel, both dampers of the axle, one per stroke the knob controls.
    time: of the traces [s].  front, rear_load: by settings; rise of the body at the front axle
    over standing still [m], rear tyre load of the axle [N].
    lost: by settings, cars of the cloud that went beyond the model, and how.
    guessed, unknown: keys of the car file that were guessed, or that a typical car stands in for.
    passes: by how many passes the cars were chosen.
    silent: adjusters off their start that the model knows nothing of.
    missing: keys of the car file without which there are no numbers at all.
    """

    knob: str
    settings: Mapping[str, Mapping[str, float]]
    curves: tuple[StrokeCurve, ...] = ()
    time: Floats = ()
    front: Mapping[str, Trace] | None = None
    rear_load: Mapping[str, Trace] | None = None
    travel: tuple[Travel, ...] = ()
    numbers: tuple[Number, ...] = ()
    lost: Mapping[str, Mapping[str, int]] | None = None
    cars: int = 0
    passes: int = 0
    guessed: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    not_modelled: tuple[str, ...] = NOT_MODELLED


NUMBERS = (
    ("front tyre lift", "length", "front_lift_max"),
    ("touchdown speed", "speed", "touchdown_speed"),
    ("front tyre landing load", "force", "front_tyre_load_max_after_td"),
    ("time in the air", "time", "airborne"),
    ("least rear tyre load", "force", "rear_load_min_0p1_1s"),
    ("rear separation, 0.3 s", "length", "rear_ext_max_0p3s"),
    ("60-foot time", "time", "t_60ft"),
)


def what_if(
    car: Car,
    today: Settings,
    proposed: Settings,
    baseline: Settings | None = None,
    knob: str = "",
    seen: tuple[Seen, ...] = (),
) -> WhatIf:
    """Return what `proposed` would do against `today`, and where the baseline stands.

    knob: the adjuster whose damper is drawn; the first that differs where it is left out.
    seen: what passes showed, the latest first; the cars are those that do it, where enough do.
    The same inputs give the same answer: the cloud of cars is drawn with a fixed seed.

    Raises:
        KeyError: a knob that the car does not have.
    """
    fitted = adjusters(car)
    by = {"today": today, "proposed": proposed} | ({"baseline": baseline} if baseline else {})
    settings = {name: _whole(car, one, today) for name, one in by.items()}
    knob = knob or next((k for k in fitted if settings["proposed"][k] != settings["today"][k]), "")
    if knob:
        fitted[knob]
    if lacking := missing(car):
        return WhatIf(knob, settings, missing=lacking)
    drawn, passes = drawn_like(car, seen)
    clouds = {name: typical_cars(car, one, drawn) for name, one in settings.items()}
    runs = _launched(clouds)
    return WhatIf(
        knob=knob,
        settings=settings,
        curves=_curves(car, knob, clouds),
        time=_floats(_seen(runs["today"])[0]),
        front={name: _trace(_seen(run)[1]) for name, run in runs.items()},
        rear_load={name: _trace(_seen(run)[2]) for name, run in runs.items()},
        travel=_travel(clouds, runs),
        numbers=tuple(_number(runs, *one) for one in NUMBERS),
        lost={name: lost_of(run) for name, run in runs.items()},
        cars=len(drawn.numbers),
        passes=passes,
        guessed=_known_as(clouds["today"], Known.GUESSED),
        unknown=_known_as(clouds["today"], Known.UNKNOWN),
        not_modelled=(*NOT_MODELLED, *(("wheelie bars",) if car.wheelie_bars else ())),
        silent=tuple(dict.fromkeys(key for one in clouds.values() for key in one.not_modelled)),
    )


def as_dict(found: WhatIf) -> dict[str, Any]:
    """Return it in plain lists and mappings, ready for JSON; no number in it is infinite."""
    return {"format": 1, **asdict(found)}


def drawn_like(car: Car, seen: tuple[Seen, ...]) -> tuple[Deviates, int]:
    """Return the cloud, the car on paper first, and by how many passes it was chosen."""
    typical = deviates(car, CARS)
    if not seen:
        return typical, 0
    found = as_seen(car, seen, POOL, SEED)
    if not found.holds:
        return typical, 0
    return typical.pick(np.array([0])).and_also(found.kept), found.passes


def _whole(car: Car, some: Settings, rest: Settings) -> dict[str, float]:
    """Return a setting for every adjuster of today, those not named as they stand."""
    return {key: float(some.get(key, rest[key])) for key in adjusters(car) if key in rest}


def _launched(clouds: Mapping[str, LaunchCars]) -> dict[str, Launches]:
    """Launch each set of settings on the same cars; sets that are alike share a run."""
    return {name: _launch(cloud.cars) for name, cloud in clouds.items()}


def _launch(cars: tuple[Params, ...]) -> Launches:
    """Launch cars once: while a count is moved, today and the baseline stay what they are."""
    run = next((one for of, one in _kept if of == cars), None)
    if run is None:
        run = launch_many([{**one, "t_end": RUN_S} for one in cars], trace_s=TRACE_S)
    _kept[:] = [(cars, run), *((of, one) for of, one in _kept if one is not run)][:MOST_KEPT]
    return run


def _known_as(cloud: LaunchCars, known: Known) -> tuple[str, ...]:
    """Return the keys of the car file behind what is known that well, each once."""
    keys = (cloud.keys[name] for name, one in cloud.known.items() if one is known)
    return tuple(dict.fromkeys(key for key in keys if key))


def _curves(car: Car, knob: str, clouds: Mapping[str, LaunchCars]) -> tuple[StrokeCurve, ...]:
    one = adjusters(car).get(knob)
    if one is None or one.controls is None:
        return ()
    speed = np.linspace(0.0, CURVE_TO_M_S, CURVE_POINTS)
    wanted = {"compression": ("comp",), "rebound": ("reb",), "both": ("comp", "reb")}
    curves = []
    for stroke in wanted[one.controls]:
        force = {}
        for name, cloud in clouds.items():
            force[name] = _floats(curve_of(cloud.paper["damper"][one.axle][stroke]).force(speed))
        word = {"comp": "compression", "reb": "rebound"}[stroke]
        curves.append(StrokeCurve(word, _floats(speed), force))
    return tuple(curves)


def _seen(run: Launches) -> tuple[Any, Any, Any]:
    """Return time, nose and rear load over the first seconds."""
    first = run.traces.time <= SEEN_S + 1e-9
    return run.traces.time[first], run.traces.nose[:, first], run.traces.rear_load[:, first]


def _trace(rows: Any) -> Trace:
    give_way()
    low, middle, high = trace_band(rows)
    return Trace(_floats(low), _floats(middle), _floats(high))


def _travel(clouds: Mapping[str, LaunchCars], runs: Mapping[str, Launches]) -> tuple[Travel, ...]:
    """Hold the travel that each set of settings uses against what there is at those settings."""
    found = []
    for name, there, axle, most in (
        ("front, into bump", "front_bump", "front_comp", 1.0),
        ("front, into droop", "front_droop", "front_comp", -1.0),
        ("rear, into bump", "rear_bump", "rear_comp", 1.0),
        ("rear, into droop", "rear_droop", "rear_comp", -1.0),
    ):
        used, has, meets = {}, {}, {}
        for by, run in runs.items():
            deepest = (most * getattr(run.traces, axle)).max(axis=1)
            ends = np.array([car[there] for car in clouds[by].cars])
            used[by] = range_of(np.where(np.isnan(deepest), np.nan, np.maximum(deepest, 0.0)))
            has[by] = range_of(ends)
            ran = ~np.isnan(deepest)
            meets[by] = float(np.mean(deepest[ran] >= ends[ran])) if ran.any() else None
        found.append(Travel(name, used, has["today"], has, meets))
    return tuple(found)


def _number(runs: Mapping[str, Launches], name: str, kind: str, column: str) -> Number:
    values = {by: _column(run, column) for by, run in runs.items()}
    difference = values["proposed"] - values["today"]
    there = difference[np.isfinite(difference)]
    return Number(
        name,
        kind,
        {by: range_of(one) for by, one in values.items()},
        range_of(difference),
        float(np.mean(there > 0.0)) if len(there) else None,
    )


def _column(run: Launches, column: str) -> Any:
    of = run.columns
    if column == "airborne":
        return of["touchdown_t"] - of["liftoff_t"]
    if column == "touchdown_speed":
        return -of["touchdown_axle_vz"]
    return of[column]


def lost_of(run: Launches) -> dict[str, int]:
    """Count the cars that went beyond the model, by how."""
    counts: dict[str, int] = {}
    for status in run.status:
        if status is not LaunchStatus.OK:
            counts[status.value] = counts.get(status.value, 0) + 1
    return counts


def range_of(values: ArrayLike) -> NumberRange:
    """Return where numbers lie; NaN stands for a car without one."""
    give_way()
    found = band(values)
    low, middle, high = _floats([found.low, found.middle, found.high])
    return NumberRange(low, middle, high, found.known)


def _floats(values: ArrayLike) -> Floats:
    """Return plain numbers, None where there is none, kept to six significant figures."""
    return tuple(
        float(f"{value:.6g}") if isfinite(value) else None
        for value in np.asarray(values, dtype=np.float64).tolist()
    )
