"""The numbers of a car's landing: energy, travel, clearance, and where the nose settles. SI."""

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules.car import chassis
from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.giving_way import give_way
from rules.launch.car_number import (
    CarNumber,
    Closed,
    HowKnown,
    Kind,
    closed,
    front_mass,
    how_known,
    sprung_on,
    with_values,
)
from rules.launch.cloud.car_cloud import SEED, Deviates, LaunchCars
from rules.launch.cloud.ensemble import ABSOLUTE
from rules.launch.cloud.knobs import curve_of, moves
from rules.launch.cloud.measure_first import measure_first
from rules.launch.cloud.on_paper import RUN_S, Known, Params
from rules.launch.goals import settle, thrust_over
from rules.launch.mechanics import Launches, LaunchStatus
from rules.launch.mechanics.landing import landing_budget
from rules.launch.proposed_change import missing
from rules.launch.what_if import lost_of

Array = NDArray[np.float64]

CLEARANCE_KEY = "geometry.ground_clearance"
# What a landing hangs on most, by the names of `rules.launch.parameters`.
_LANDS_BY = (
    "ms", "L", "a", "hs", "Iyy", "kf", "front_bump", "front_droop", "F_launch",
    "damper.front.comp.kb", "damper.front.reb.kb",
)  # fmt: skip
_SURE = 0.9
_TRAVEL_THERE = Closed(
    "landing travel there is", "landing", "length",
    lambda car: float(car["front_droop"] + car["front_bump"]), ("front_droop", "front_bump"),
)  # fmt: skip


def landing(
    car: Car, settings: Settings, cloud: LaunchCars, drawn: Deviates, run: Launches | None
) -> Iterable[CarNumber]:
    """Yield the numbers that a launch of the cloud gives, and the travel there is for them."""
    there = closed(_TRAVEL_THERE, cloud)
    if run is None:
        known: HowKnown = "unknown"
        measure = missing(car)
        columns: dict[str, Array] = {}
    else:
        known, _ = how_known(cloud, _LANDS_BY)
        measure = _narrows(car, cloud, drawn, run.columns["front_lift_max"])
        columns = _landed(run, cloud)

    def number(name: str, kind: Kind) -> CarNumber:
        one = CarNumber(name, "landing", kind, known, None, None, measure)
        return with_values(one, columns[name]) if run is not None else one

    landed = number("touchdown speed", "speed")
    yield replace(landed, says=_landed_says(run))
    yield number("landing energy", "energy")
    needed = number("landing travel needed", "length")
    yield replace(needed, says=_meets(columns.get("spare"), "the bump stop is met"))
    yield there
    yield _clearance(car, settings, cloud, run, known, measure)
    nose = number("nose settled, from the start", "time")
    yield replace(nose, says="" if run is None else _settles_says(columns[nose.name], run))
    yield number("nose settled, down the track", "distance")


def _narrows(car: Car, cloud: LaunchCars, drawn: Deviates, lift: Array) -> tuple[str, ...]:
    """Return what to measure first; nothing where no car's front comes up, so that none differs."""
    return measure_first(car, cloud, drawn, lift) if np.any(lift != 0.0) else ()


def _landed(run: Launches, cloud: LaunchCars) -> dict[str, Array]:
    """Return the landing of each car by name, (n,); NaN for a car that does not land."""
    of = run.columns
    energy, needs, spare = np.full((3, len(cloud.cars)), np.nan)
    for row, car in enumerate(cloud.cars):
        give_way()
        if not isfinite(of["touchdown_t"][row]):
            continue
        thrust = np.interp(
            of["touchdown_t"][row], run.traces.time, thrust_over(run.traces, row, car)
        )
        budget = landing_budget(
            front_mass(car),
            -float(of["touchdown_axle_vz"][row]),
            sprung_on(car, "front") * car["g"],
            car["kf"],
            curve_of(car["damper"]["front"]["comp"]),
            -car["front_droop"],
            car["front_bump"],
            float(thrust) * car["hs"] / car["L"],
        )
        energy[row], needs[row], spare[row] = budget.energy, budget.needs, budget.spare
    time, distance = settle(run, cloud.cars)
    return {
        "touchdown speed": -of["touchdown_axle_vz"],
        "landing energy": energy,
        "landing travel needed": needs,
        "spare": spare,
        "nose settled, from the start": time,
        "nose settled, down the track": distance,
    }


def _clearance(
    car: Car,
    settings: Settings,
    cloud: LaunchCars,
    run: Launches | None,
    known: HowKnown,
    measure: tuple[str, ...],
) -> CarNumber:
    """Return what is left under the lowest part, taken to stand at the front axle.

    The rear stands at ride height; the front tyres are pressed in by the peak load of the launch.
    """
    name, standing = "front clearance at full bump", car.geometry.ground_clearance_m
    one = CarNumber(name, "landing", "length", "unknown", None, None)
    lacking = () if standing is not None else (CLEARANCE_KEY,)
    if cloud.known["front_bump"] is Known.UNKNOWN:
        lacking = (*lacking, cloud.keys["front_bump"])
    if run is None or lacking or standing is None:
        return replace(one, measure=(*missing(car), *lacking))
    guessed = CLEARANCE_KEY in car.guesses
    raised = sum(m.add for m in moves(car, settings).moves if m.name == "front_bump")
    # The cloud has no clearance of its own; the tape errs as it does on a travel.
    rng = np.random.default_rng(SEED + 1)
    off = ABSOLUTE["front_bump"][guessed] * rng.standard_normal(len(cloud.cars))
    off[0] = 0.0
    left = [
        chassis.clearance_at_full_bump(
            standing + raised + off[row], 0.0, one_car["front_bump"], 0.0,
            _squash(one_car, float(run.columns["front_tyre_load_max_after_td"][row])), 0.0,
            one_car["L"],
        )
        for row, one_car in enumerate(cloud.cars)
    ]  # fmt: skip
    says = _meets(left, "metal meets the road before the stop")
    keys = (*((CLEARANCE_KEY,) if guessed else ()), *measure)
    told: HowKnown = "guessed" if guessed and known == "measured" else known
    return with_values(replace(one, known=told, measure=keys, says=says), left)


def _squash(car: Params, peak: float) -> float:
    """Return the front tyres' further deflection at their peak load [m]; NaN without a launch."""
    standing = car["g"] * (sprung_on(car, "front") + car["mf"])
    return float(np.maximum(chassis.tyre_squash(peak, standing, car["ktf"]), 0.0))


def _meets(left: ArrayLike | None, words: str) -> str:
    """Say that something meets something, as surely as the cars agree: where `left` is below 0."""
    every = np.asarray(left if left is not None else (), dtype=np.float64)
    there = every[np.isfinite(every)]
    below = int(np.sum(there < 0.0))
    if not below:
        return ""
    if below >= _SURE * len(there):
        return words
    return f"{words} on {below} of {len(there)} cars"


def _landed_says(run: Launches | None) -> str:
    if run is None:
        return ""
    landed, every = int(np.isfinite(run.columns["touchdown_t"]).sum()), len(run.status)
    if landed + sum(lost_of(run).values()) >= _SURE * every:
        return ""
    if not landed:
        return "the front does not come up and land again"
    return f"{landed} of {every} cars come up and land again"


def _settles_says(time: Array, run: Launches) -> str:
    there = sum(one is LaunchStatus.OK for one in run.status)
    by_then = int(np.isfinite(time).sum())
    if by_then >= _SURE * there:
        return ""
    return f"within {RUN_S:g} s on {by_then} of {there} cars"
