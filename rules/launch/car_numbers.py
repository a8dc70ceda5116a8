"""The numbers of a car at its settings: standing, its dampers at low speed, and its landing.

Every number comes from the function that says its formula and source (`rules.chassis`,
`rules.launch.landing`), tried on the same cloud of cars as a what-if. SI throughout. Nothing here
is recorded, and nothing here clears a car as safe.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rules.car import chassis
from rules.car.adjusters import Settings, adjusters
from rules.car.instant_centre import instant_centre, link_levers
from rules.car.model import Car
from rules.launch.car_number import CarNumber, Closed, closed, front_mass, sprung_on
from rules.launch.cloud.car_cloud import Deviates, LaunchCars, typical_cars
from rules.launch.cloud.knobs import STROKES, curve_of
from rules.launch.cloud.link_moves import links_at
from rules.launch.cloud.on_paper import RUN_S, Params
from rules.launch.landing_numbers import landing
from rules.launch.mechanics import launch_many
from rules.launch.mechanics.crossover import LOW_SPEED_M_S
from rules.launch.mechanics.parameters import LINK_BOUNDS
from rules.launch.proposed_change import Seen, missing
from rules.launch.what_if import NOT_MODELLED, TRACE_S, drawn_like, lost_of

Array = NDArray[np.float64]
SOFT, HARD = "full soft", "full hard"


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
            *(_said(closed(one, cloud), car, cloud) for one in _STANDING),
            *_of_links(car, settings, cloud, drawn),
            *_damping(car, settings, cloud, drawn),
            *landing(car, settings, cloud, drawn, run),
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


def _anti_squat_hanging(car: Params) -> float:
    """Return the anti-squat with the rear at its droop stop, equations (1) to (3) of the links."""
    turn = 1.0 / car["e"] - car["ic_turn_rate"] * car["rear_droop"]
    slope = (car["d"] - car["rr"]) / car["e"] - car["ic_slope_rate"] * car["rear_droop"]
    return chassis.anti_squat(car["rr"] * turn + slope, 1.0, whole_car(car)[1], car["L"])


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


_ANTI_SQUAT = Closed("anti-squat", "standing", "percent", _anti_squat, ("d", "e", "hs", "L"))
_ANTI_SQUAT_HANGING = replace(
    _ANTI_SQUAT, name="anti-squat, rear hanging", of=_anti_squat_hanging, also=("rear_droop",)
)
_STANDING = (
    Closed(
        "load moved at peak g", "standing", "force", _moved,
        ("ms", "L", "hs", "F_launch"),
    ),
    Closed("front wheels come up at", "standing", "g", _threshold, ("a", "L", "hs")),
    _ANTI_SQUAT,
    Closed(
        "front mass that lands", "standing", "mass", front_mass, ("ms", "L", "a", "hs"), ("Iyy",)
    ),
    Closed("front wheel rate, each side", "standing", "rate", _rate("front"), ("kf",)),
    Closed("rear wheel rate, each side", "standing", "rate", _rate("rear"), ("kr",)),
    Closed(
        "front ride frequency", "standing", "frequency", _frequency("front"),
        ("kf", "ms", "L", "a"), ("mf",),
    ),
    Closed(
        "rear ride frequency", "standing", "frequency", _frequency("rear"),
        ("kr", "ms", "L", "a"), ("mr",),
    ),
)  # fmt: skip


def _said(one: CarNumber, car: Car, cloud: LaunchCars) -> CarNumber:
    """Return a standing number with what it means."""
    if one.range is None or one.range.middle is None:
        return one
    says = ""
    if one.name == _STANDING[0].name:
        carries = cloud.paper["g"] * (sprung_on(cloud.paper, "front") + cloud.paper["mf"])
        says = "more than the front carries: it lifts" if one.range.middle > carries else ""
    if one.name == _STANDING[2].name:
        ahead = car.geometry.instant_centre_ahead_m or 0.0
        if ahead <= 0.0 and instant_centre(car, {}) is None:
            says = "instant centre behind the axle: taken as none"
        elif one.range.middle > 100.0:
            says = "over 100: the rear rises under thrust"
    return replace(one, says=says)


def _of_links(
    car: Car, settings: Settings, cloud: LaunchCars, drawn: Deviates
) -> Iterable[CarNumber]:
    """Yield the anti-squat with the rear hanging, and with each link one position either way.

    Only where the file gives the links' places.
    """
    if LINK_BOUNDS.keys() <= cloud.paper.keys():
        yield closed(_ANTI_SQUAT_HANGING, cloud)
    for lever in link_levers(car):
        today = settings.get(lever.id, lever.start_number)
        for at in (today - 1.0, today + 1.0):
            there = {**settings, lever.id: at}
            if links_at(car, there) is not None:
                moved = typical_cars(car, there, drawn)
                yield replace(closed(_ANTI_SQUAT, moved), at=lever.positions[int(at)])


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
            one = Closed(
                f"{end} {word}", "damping", "ratio", _ratio(end, stroke),
                (*parts, *spring), (f"m{end[0]}",),
            )  # fmt: skip
            yield replace(closed(one, cloud), at="today")
            if _has_knob(car, end, word):
                for at, there in ends.items():
                    yield replace(closed(one, there), at=at)


def _knobs_at(car: Car, hard: bool) -> Settings:
    knobs = (one for one in adjusters(car).values() if one.part == "knob")
    return {one.id: one.high if one.up(hard) > 0 else one.low for one in knobs}


def _has_knob(car: Car, end: str, word: str) -> bool:
    return any(
        one.part == "knob" and one.axle == end and one.controls in (word, "both")
        for one in adjusters(car).values()
    )
