"""The numbers of a car at its settings: standing, its dampers at low speed, and its landing.

Every number comes from the function that says its formula and source (`rules.chassis`,
`rules.launch.landing`), tried on the same cloud of cars as a what-if. SI throughout. Nothing here
is recorded, and nothing here clears a car as safe.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from math import isfinite
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules import chassis
from rules.adjusters import Settings, adjusters
from rules.car import Car
from rules.expected import Seen, missing
from rules.launch import Launches, LaunchStatus, launch_many
from rules.launch.crossover import LOW_SPEED_M_S
from rules.launch.ensemble import ABSOLUTE
from rules.launch.goals import settle, thrust_over
from rules.launch.knobs import STROKES, curve_of, moves
from rules.launch.landing import landing_budget
from rules.launch.measure_first import measure_first
from rules.launch.of_car import SEED, Deviates, LaunchCars, typical_cars
from rules.launch.on_paper import RUN_S, Known, Params
from rules.what_if import NOT_MODELLED, TRACE_S, Range, drawn_like, lost_of, range_of

Array = NDArray[np.float64]
Kind = Literal[
    "force", "g", "percent", "mass", "rate", "frequency", "ratio",
    "speed", "energy", "length", "time", "distance",
]  # fmt: skip
Group = Literal["standing", "damping", "landing"]
HowKnown = Literal["measured", "guessed", "unknown"]

CLEARANCE_KEY = "geometry.ground_clearance"
SOFT, HARD = "full soft", "full hard"
# What a landing hangs on most, by the names of `rules.launch.parameters`.
_LANDS_BY = (
    "ms", "L", "a", "hs", "Iyy", "kf", "front_bump", "front_droop", "F_launch",
    "damper.front.comp.kb", "damper.front.reb.kb",
)  # fmt: skip
_SURE = 0.9


@dataclass(frozen=True)
class CarNumber:
    """One number of the car.

    group: what it belongs to; in "damping", the ratio of a stroke at low speed (1: critical).
    at: of a damping ratio, "today", "full soft" or "full hard": every knob of that stroke there.
    kind: what it measures: force [N], g and ratio [-], percent [%], mass [kg], rate [N/m],
    frequency [Hz], speed [m/s], energy [J], length and distance [m], time [s].
    known: "measured", "guessed", or "unknown": something it hangs on is not in the car file.
    on_paper: of the car as its file has it.  range: over the cars it may be; both None where the
    number cannot be known, or where no car has it.
    measure: keys of the car file that would make it known, or known better; none where no car has
    the number, such as a landing of a front that stays down.
    says: what it means for the car, where that needs saying; "" otherwise.
    """

    name: str
    group: Group
    kind: Kind
    known: HowKnown
    on_paper: float | None
    range: Range | None
    measure: tuple[str, ...] = ()
    says: str = ""
    at: str = ""


@dataclass(frozen=True)
class CarNumbers:
    """Every number of a car at its settings.

    settings: by adjuster id.  cars: in the cloud.  passes: by how many it was chosen.
    lost: cars that went beyond the model, and how.  silent: adjusters off their start that the
    model knows nothing of.  missing: keys without which there is no launch, and no landing.
    """

    settings: Mapping[str, float]
    numbers: tuple[CarNumber, ...]
    cars: int
    passes: int
    lost: Mapping[str, int]
    silent: tuple[str, ...]
    missing: tuple[str, ...]
    not_modelled: tuple[str, ...] = NOT_MODELLED


@dataclass(frozen=True)
class _Closed:
    """A number in closed form: what it cannot be without, and what else it hangs on."""

    name: str
    group: Group
    kind: Kind
    of: Callable[[Params], float]
    needs: tuple[str, ...]
    also: tuple[str, ...] = ()


def car_numbers(car: Car, settings: Settings, seen: tuple[Seen, ...] = ()) -> CarNumbers:
    """Return every number of the car at these settings, always the same ones in the same order.

    settings: by adjuster id; an absent one stands where the car file starts it.
    seen: what passes showed, the latest first; the cars are those that do it, where enough do.
    The same inputs give the same answer: the cloud is drawn with a fixed seed.

    Raises:
        ValueError: numbers that no car can have.
    """
    drawn, passes = drawn_like(car, () if missing(car) else seen)
    cloud = typical_cars(car, settings, drawn)
    run = None
    if not missing(car):
        run = launch_many([{**one, "t_end": RUN_S} for one in cloud.cars], trace_s=TRACE_S)
    return CarNumbers(
        settings={key: settings.get(key, one.start) for key, one in adjusters(car).items()},
        numbers=(
            *(_said(_closed(one, cloud), car, cloud) for one in _STANDING),
            *_damping(car, settings, cloud, drawn),
            *_landing(car, settings, cloud, drawn, run),
        ),
        cars=len(cloud.cars),
        passes=passes,
        lost={} if run is None else lost_of(run),
        silent=cloud.not_modelled,
        missing=missing(car),
        not_modelled=(*NOT_MODELLED, *(("wheelie bars",) if car.wheelie_bars else ())),
    )


def as_dict(found: CarNumbers) -> dict[str, Any]:
    """Return it in plain lists and mappings, ready for JSON; no number in it is infinite."""
    return {"format": 1, **asdict(found)}


def whole_car(car: Params) -> tuple[float, float, float]:
    """Return mass [kg], centre height and centre ahead of the rear axle [m], of the whole car."""
    mass, height = chassis.whole_cg(
        ((car["ms"], car["hs"]), (car["mf"], car["rf"]), (car["mr"], car["rr"]))
    )
    _, ahead = chassis.whole_cg(
        ((car["ms"], car["L"] - car["a"]), (car["mf"], car["L"]), (car["mr"], 0.0))
    )
    return mass, height, ahead


def sprung_on(car: Params, end: str) -> float:
    """Return the sprung mass that an axle carries standing [kg], moments about the other axle."""
    share: float = car["a"] / car["L"]
    return float(car["ms"] * (1.0 - share if end == "front" else share))


def _moved(car: Params) -> float:
    """Return the load moved at peak thrust [N], as far as the tyres hold it."""
    mass, height, _ = whole_car(car)
    peak = min(car["F_launch"] / mass, car["mu"] * car["g"])
    return chassis.load_transfer(mass, peak, height, car["L"])


def _threshold(car: Params) -> float:
    _, height, ahead = whole_car(car)
    return chassis.wheelie_threshold(ahead, height)


def _anti_squat(car: Params) -> float:
    return chassis.anti_squat(car["d"], car["e"], whole_car(car)[1], car["L"])


def _front_mass(car: Params) -> float:
    behind = car["L"] - car["a"]
    return chassis.effective_front_mass(car["ms"], car["Iyy"], behind, car["hs"], car["L"])


def _rate(end: str) -> Callable[[Params], float]:
    return lambda car: float(car[f"k{end[0]}"] / 2.0)


def _frequency(end: str) -> Callable[[Params], float]:
    return lambda car: chassis.frequency(car[f"k{end[0]}"], sprung_on(car, end))


def _ratio(end: str, stroke: str) -> Callable[[Params], float]:
    """Return the damping ratio at low speed, from force over speed.

    Not from the slope, which steps down where the blow-off opens: a firmer knob would read as less.
    """

    def of(car: Params) -> float:
        force = float(curve_of(car["damper"][end][stroke]).force(LOW_SPEED_M_S))
        damping = force / LOW_SPEED_M_S
        return chassis.damping_ratio(damping, car[f"k{end[0]}"], sprung_on(car, end))

    return of


_STANDING = (
    _Closed(
        "load moved at peak g", "standing", "force", _moved,
        ("ms", "L", "hs", "F_launch"),
    ),
    _Closed("front wheels come up at", "standing", "g", _threshold, ("a", "L", "hs")),
    _Closed("anti-squat", "standing", "percent", _anti_squat, ("d", "e", "hs", "L")),
    _Closed(
        "front mass that lands", "standing", "mass", _front_mass, ("ms", "L", "a", "hs"), ("Iyy",)
    ),
    _Closed("front wheel rate, each side", "standing", "rate", _rate("front"), ("kf",)),
    _Closed("rear wheel rate, each side", "standing", "rate", _rate("rear"), ("kr",)),
    _Closed(
        "front ride frequency", "standing", "frequency", _frequency("front"),
        ("kf", "ms", "L", "a"), ("mf",),
    ),
    _Closed(
        "rear ride frequency", "standing", "frequency", _frequency("rear"),
        ("kr", "ms", "L", "a"), ("mr",),
    ),
)  # fmt: skip
_TRAVEL_THERE = _Closed(
    "landing travel there is", "landing", "length",
    lambda car: float(car["front_droop"] + car["front_bump"]), ("front_droop", "front_bump"),
)  # fmt: skip


def _closed(one: _Closed, cloud: LaunchCars) -> CarNumber:
    lacking = _keys(cloud, (n for n in one.needs if cloud.known[n] is Known.UNKNOWN))
    if lacking:
        return CarNumber(one.name, one.group, one.kind, "unknown", None, None, lacking)
    known, measure = _how_known(cloud, (*one.needs, *one.also))
    values = np.array([one.of(car) for car in cloud.cars])
    return _with(CarNumber(one.name, one.group, one.kind, known, None, None, measure), values)


def _with(one: CarNumber, values: ArrayLike) -> CarNumber:
    """Return a number with its values, (n,), the car on paper first; NaN where a car has none."""
    every = np.asarray(values, dtype=np.float64)
    found = range_of(every)
    if found.known == 0.0:
        return replace(one, measure=())
    return replace(one, on_paper=range_of(every[:1]).middle, range=found)


def _how_known(cloud: LaunchCars, names: Iterable[str]) -> tuple[HowKnown, tuple[str, ...]]:
    """Return how well the least known of some parameters is known, and what to measure for it."""
    every = tuple(names)
    worst = max(cloud.known[name] for name in every)
    words: dict[Known, HowKnown] = {
        Known.MEASURED: "measured", Known.GUESSED: "guessed", Known.UNKNOWN: "unknown",
    }  # fmt: skip
    ordered = sorted(every, key=lambda name: -cloud.known[name])
    return words[worst], _keys(cloud, (n for n in ordered if cloud.known[n] is not Known.MEASURED))


def _keys(cloud: LaunchCars, names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for name in names if (key := cloud.keys[name])))


def _said(one: CarNumber, car: Car, cloud: LaunchCars) -> CarNumber:
    """Return a standing number with what it means."""
    if one.range is None or one.range.middle is None:
        return one
    says = ""
    if one.name == _STANDING[0].name:
        carries = cloud.paper["g"] * (sprung_on(cloud.paper, "front") + cloud.paper["mf"])
        says = "more than the front carries: it lifts" if one.range.middle > carries else ""
    if one.name == _STANDING[2].name:
        if (car.geometry.instant_centre_ahead_m or 0.0) <= 0.0:
            says = "instant centre behind the axle: taken as none"
        elif one.range.middle > 100.0:
            says = "over 100: the rear rises under thrust"
    return replace(one, says=says)


def _damping(
    car: Car, settings: Settings, cloud: LaunchCars, drawn: Deviates
) -> Iterable[CarNumber]:
    """Yield each stroke's damping ratio today, and with all its knobs at either end."""
    ends = {
        word: typical_cars(car, {**settings, **_knobs_at(car, hard)}, drawn)
        for word, hard in ((SOFT, False), (HARD, True))
    }
    for end in ("front", "rear"):
        for stroke, word in STROKES.items():
            parts = tuple(f"damper.{end}.{stroke}.{part}" for part in ("kb", "F0", "chs"))
            spring = (f"k{end[0]}", "ms", "L", "a")
            one = _Closed(
                f"{end} {word}", "damping", "ratio", _ratio(end, stroke),
                (*parts, *spring), (f"m{end[0]}",),
            )  # fmt: skip
            yield replace(_closed(one, cloud), at="today")
            if _has_knob(car, end, word):
                for at, there in ends.items():
                    yield replace(_closed(one, there), at=at)


def _knobs_at(car: Car, hard: bool) -> Settings:
    knobs = (one for one in adjusters(car).values() if one.part == "knob")
    return {one.id: one.high if one.up(hard) > 0 else one.low for one in knobs}


def _has_knob(car: Car, end: str, word: str) -> bool:
    return any(
        one.part == "knob" and one.axle == end and one.controls in (word, "both")
        for one in adjusters(car).values()
    )


def _landing(
    car: Car, settings: Settings, cloud: LaunchCars, drawn: Deviates, run: Launches | None
) -> Iterable[CarNumber]:
    """Yield the numbers that a launch of the cloud gives, and the travel there is for them."""
    there = _closed(_TRAVEL_THERE, cloud)
    if run is None:
        known: HowKnown = "unknown"
        measure = missing(car)
        columns: dict[str, Array] = {}
    else:
        known, _ = _how_known(cloud, _LANDS_BY)
        measure = _narrows(car, cloud, drawn, run.columns["front_lift_max"])
        columns = _landed(run, cloud)

    def number(name: str, kind: Kind) -> CarNumber:
        one = CarNumber(name, "landing", kind, known, None, None, measure)
        return _with(one, columns[name]) if run is not None else one

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
    assert run.traces is not None
    of = run.columns
    energy, needs, spare = np.full((3, len(cloud.cars)), np.nan)
    for row, car in enumerate(cloud.cars):
        if not isfinite(of["touchdown_t"][row]):
            continue
        thrust = np.interp(
            of["touchdown_t"][row], run.traces.time, thrust_over(run.traces, row, car)
        )
        budget = landing_budget(
            _front_mass(car),
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
    return _with(replace(one, known=told, measure=keys, says=says), left)


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
