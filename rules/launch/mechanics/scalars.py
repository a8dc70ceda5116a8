"""From the traces of a run to the numbers the crew asks for.

Definitions. The gap is the front tyre's bottom above the ground. A flight is a stretch of time
with a gap; the main flight is the one with the largest gap, and *touchdown* is its end. A re-lift
is a flight after touchdown; under 5 mm it is a graze and is not counted. Times of events are
interpolated between samples.
"""

import numpy as np
from numpy.typing import NDArray

from rules.launch.mechanics.parameters import Array, Columns
from rules.launch.mechanics.recorder import REAR_LOAD_FROM_S, Recorder
from rules.launch.mechanics.stretch import PITCH, QR, Z

Index = NDArray[np.intp]

SIXTY_FEET_M = 18.288
GRAZE_M = 0.005
LANDING_WINDOW_S = 0.25
RISE_AT_S = {"0p1": 0.1, "0p2": 0.2, "2p0": 2.0, "3p0": 3.0}
SEPARATION_AT_S = {"0p1": 0.1, "0p2": 0.2}
MOMENTS = tuple(RISE_AT_S.values())
COUNTS = frozenset({"n_reliftoffs_5mm", "bar_touched"})

BARS = ("bar_force_max", "bar_contact_s", "bar_gap_min", "bar_touched")
"""Of the wheelie bars: they exist for a car that has some."""

SLIP = ("slip_max", "spin_s_after_0p1s")
"""Of the rear tyres' slip: they exist for a car whose slip is told."""

NAMES = (
    "front_lift_max",
    "liftoff_t",
    "touchdown_t",
    "touchdown_x",
    "touchdown_axle_vz",
    "touchdown_comp_vel_peak",
    "front_comp_max_after_td",
    "front_bump_force_max",
    "front_tyre_load_max_after_td",
    "front_droop_force_max",
    "n_reliftoffs_5mm",
    "relift_max",
    "rear_load_min_0p1_1s",
    "rear_load_max_1s",
    "rear_ext_max_0p3s",
    "rear_comp_max",
    "pitch_max",
    *(f"body_front_rise_{label}s" for label in RISE_AT_S),
    *(f"rear_sep_{label}s" for label in SEPARATION_AT_S),
    "t_60ft",
    "v_60ft",
    *BARS,
    *SLIP,
)


def read_scalars(record: Recorder) -> dict[str, Array]:
    """Return every scalar of `NAMES` as (n,), NaN where it does not exist for that car.

    The extremes over a stretch of time are those of the part of it that was run.
    """
    found = {name: np.full(record.cars.n, np.nan) for name in NAMES}
    found.update(record.peak)
    end = record.time[-1]
    if end < REAR_LOAD_FROM_S - 1e-9:
        found["rear_load_min_0p1_1s"] = np.full(record.cars.n, np.nan)
    found["bar_touched"] = np.asarray(found["bar_contact_s"] > 0.0, dtype=np.float64)
    for names, marks in ((BARS, "bar_rate"), (SLIP, "slip_mass")):
        without = record.cars.of[marks] == 0.0
        for name in names:
            found[name][without] = np.nan
    _read_moments(record, found)
    _read_sixty_feet(record, found)
    _read_flights(record, found)
    return found


def front_rise(cars: Columns, place: Array) -> Array:
    """Return the rise of the body at the front axle above static [m], (n,), from (5, n)."""
    above = cars.of["rf"] - cars.of["hs"]
    along = cars.of["a"] * np.sin(place[PITCH]) + above * np.cos(place[PITCH])
    rise: Array = place[Z] + along - cars.of["rf"]
    return rise


def _read_moments(record: Recorder, found: dict[str, Array]) -> None:
    for label, time in RISE_AT_S.items():
        if time in record.place:
            found[f"body_front_rise_{label}s"] = front_rise(record.cars, record.place[time])
    for label, time in SEPARATION_AT_S.items():
        if time in record.place:
            found[f"rear_sep_{label}s"] = -record.place[time][QR]


def _read_sixty_feet(record: Recorder, found: dict[str, Array]) -> None:
    x, time = record.whole["x"][:-1], record.time
    there = x >= SIXTY_FEET_M
    cars = np.nonzero(there.any(axis=1))[0]
    after = there[cars].argmax(axis=1)
    share = (SIXTY_FEET_M - x[cars, after - 1]) / (x[cars, after] - x[cars, after - 1])
    when = time[after - 1] + share * (time[after] - time[after - 1])
    found["t_60ft"][cars] = when
    # The leapfrog's speeds stand midway between its places.
    first = np.clip(after - (share < 0.5), 1, len(time) - 2)
    early, late = (
        (x[cars, at] - x[cars, at - 1]) / (time[at] - time[at - 1]) for at in (first, first + 1)
    )
    begin, end = ((time[at] + time[at - 1]) / 2 for at in (first, first + 1))
    found["v_60ft"][cars] = early + (late - early) * (when - begin) / (end - begin)


def _read_flights(record: Recorder, found: dict[str, Array]) -> None:
    gap = record.whole["gap"][:-1]
    n, samples = gap.shape
    air = gap > 0.0
    car, before = np.nonzero(air[:, 1:] != air[:, :-1])
    rising = air[car, before + 1]
    flights = np.nonzero(rising)[0]
    owner, up = car[flights], before[flights]
    follows = np.minimum(flights + 1, len(car) - 1)
    landed = (flights + 1 < len(car)) & (car[follows] == owner)
    down = np.where(landed, before[follows], samples - 1)
    height = _peak(record.whole["gap"], owner, up + 1, down + 1)

    main = np.full(n, -1, dtype=np.intp)
    order = np.lexsort((-up, height, owner))
    main[owner[order]] = order
    flew = np.nonzero(main >= 0)[0]
    mine = main[flew]
    found["front_lift_max"] = np.zeros(n)
    found["front_lift_max"][flew] = height[mine]
    found["liftoff_t"][flew] = _crossing(record, flew, up[mine])[0]

    first = np.zeros(n, dtype=np.intp)
    touched = flew[landed[mine]]
    last_in_air = down[main[touched]]
    _read_touchdown(record, found, touched, last_in_air, up[main[touched]])
    first[touched] = last_in_air + 1
    everyone = np.arange(n, dtype=np.intp)
    end = np.full(n, samples, dtype=np.intp)
    for name, trace in (
        ("front_comp_max_after_td", "front_comp"),
        ("front_tyre_load_max_after_td", "front_load"),
    ):
        found[name] = np.fmax(
            _peak(record.whole[trace], everyone, first, end),
            np.where(np.isnan(found[name]), -np.inf, found[name]),
        )

    again = np.zeros(n)
    count = np.zeros(n)
    is_after = (first[owner] > 0) & (up >= first[owner])
    np.maximum.at(again, owner[is_after], height[is_after])
    np.add.at(count, owner[is_after], height[is_after] > GRAZE_M)
    found["relift_max"], found["n_reliftoffs_5mm"] = again, count


def _read_touchdown(
    record: Recorder, found: dict[str, Array], cars: Index, last: Index, lifted: Index
) -> None:
    """Fill in what belongs to the touchdown between samples `last` and `last` + 1 of `cars`."""
    whole, time, h = record.whole, record.time, record.step_s
    when, share = _crossing(record, cars, last)
    found["touchdown_t"][cars] = when

    def at(trace: str) -> Array:
        values = whole[trace]
        return values[cars, last] * (1.0 - share) + values[cars, last + 1] * share

    found["touchdown_x"][cars] = at("x")
    # The axle's speed before the tyre answers: carried on from the last whole steps in the air.
    gap = whole["gap"]
    late = (gap[cars, last] - gap[cars, last - 1]) / h
    early = (gap[cars, last - 1] - gap[cars, last - 2]) / h
    ahead = (when - time[last]) / h + 0.5
    found["touchdown_axle_vz"][cars] = late + np.where(
        last - 2 >= lifted, (late - early) * ahead, 0.0
    )
    found["front_comp_max_after_td"][cars] = at("front_comp")
    found["front_tyre_load_max_after_td"][cars] = (
        -record.cars.of["ctf"][cars] * found["touchdown_axle_vz"][cars]
    )
    until = np.minimum(when + LANDING_WINDOW_S, time[-1])
    end = np.searchsorted(time, until, side="right")
    before_end = np.minimum(end, len(time) - 1)
    part = (until - time[before_end - 1]) / (time[before_end] - time[before_end - 1])
    rate = whole["front_comp_rate"]
    at_end = rate[cars, before_end - 1] * (1.0 - part) + rate[cars, before_end] * part
    found["touchdown_comp_vel_peak"][cars] = np.maximum(
        np.maximum(_peak(rate, cars, last + 1, end), at("front_comp_rate")), at_end
    )


def _crossing(record: Recorder, cars: Index, before: Index) -> tuple[Array, Array]:
    """Return when the gap passes zero after sample `before` [s], and the share of that interval."""
    gap, time = record.whole["gap"], record.time
    here, there = gap[cars, before], gap[cars, before + 1]
    share = here / (here - there)
    return time[before] + share * (time[before + 1] - time[before]), share


def _peak(trace: Array, cars: Index, first: Index, end: Index) -> Array:
    """Return the greatest value of each car's samples from `first` up to, not with, `end`.

    `trace` has a spare row after the last car, so that an `end` after the last sample is a place.
    Cars and samples come in order and do not overlap, save that a car may come twice in a row.
    """
    if not len(cars):
        return np.zeros(0)
    samples = trace.shape[1]
    ends = np.stack([cars * samples + first, cars * samples + end], axis=1).ravel()
    return np.asarray(np.maximum.reduceat(trace.ravel(), ends)[::2])
