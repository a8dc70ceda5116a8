"""What to measure next on a car, and how: first what would narrow the advice most."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.car.model import Car
from rules.launch.words import measure_words

CARS = 128
_TABLES = ("masses", "geometry", "front", "rear", "launch")
# How each number is got, all four corners under the first one's key, in the default order: common
# practice, no source.
HOW = {
    "masses.total": "Weigh the car as raced, driver in it; the track's scale will do.",
    "geometry.wheelbase": "Tape from wheel centre to wheel centre, both sides, level ground.",
    "masses.left_front": "Four scales, level, race pressures, bar unhooked, rolled to settle.",
    "geometry.ground_clearance": "Tape under the lowest part ahead of and behind the front axle.",
    "front.bump_travel": "Springs out, on stands: wheel from ride height to metal-solid.",
    "front.droop_travel": "On stands, wheel from ride height to hanging on its limiter.",
    "front.motion_ratio": "Springs out: damper's length at five or more wheel heights.",
    "front.spring_rate": "Read it off the spring, or have it rated; never compress it by hand.",
    "front.spring_motion_ratio": "Springs out: distance of its seats at five wheel heights.",
    "geometry.cg_height": "Suspension locked: weigh level, then an axle raised to three heights.",
    "geometry.sprung_cg_height": "From the car's height and both unsprung masses; no new weighing.",
    "launch.peak_g": "A logger or a phone tied down level: highest forward g off the line.",
    "launch.thrust": "From peak g and weight, or off a chassis dyno.",
    "front damper curve": "A dyno sheet for these dampers, or two points at each end of the knob.",
    "rear damper curve": "A dyno sheet for these dampers, or two points at each end of the knob.",
    "rear.bump_travel": "Springs out, on stands: wheel from ride height to metal-solid.",
    "rear.droop_travel": "On stands, wheel from ride height to hanging on limiter or damper.",
    "rear.motion_ratio": "Springs out: damper's length at five or more wheel heights.",
    "rear.spring_rate": "Read it off the spring, or have it rated; never compress it by hand.",
    "rear.spring_motion_ratio": "Springs out: distance of its seats at five wheel heights.",
    "geometry.instant_centre_height": "From the link ends' places: how high their lines cross.",
    "geometry.instant_centre_ahead": "From the link ends' places: how far ahead their lines cross.",
    "masses.front_unsprung": "Weigh wheels, brakes, hubs and half of the arms.",
    "masses.rear_unsprung": "Weigh wheels, axle, brakes and half of the links.",
    "launch.rise": "From a logger: first move to full thrust.",
    "launch.power": "From a chassis dyno, or speed and weight on the time slip.",
    "front.tyre_rate": "Load on a scale against the axle's height, at race pressure.",
    "rear.tyre_rate": "Load on a scale against the axle's height, at race pressure.",
    "front.tyre_diameter": "Tape from the ground to the top of the standing tyre.",
    "rear.tyre_diameter": "Tape from the ground to the top of the standing tyre.",
    "launch.grip": "From a logger: forward g when the tyres just spin, over the rear's load.",
    "masses.pitch_inertia": "Rarely measured: swing the car, or take it from a drawing.",
}  # fmt: skip


BARS_KEY = "wheelie_bars"
_LOOK = "Look under the tail: wheels or skids behind the rear axle, made to meet the road."


@dataclass(frozen=True)
class ToMeasure:
    """One number to measure.

    key: of the car file, or "front damper curve".  name: in words.  how: in one line.
    by_model: ranked by the launch model, otherwise by the default order.
    """

    key: str
    name: str
    how: str
    by_model: bool


def measure_next(car: Car, cars: int = CARS) -> tuple[ToMeasure, ...]:
    """Return everything that is not measured, what narrows the launch most first.

    cars: in the cloud that the launch model ranks by; 0 for the default order alone, at once. What
    cannot be done without comes first, then up to the model's four, then the default order; before
    all of them whether bars are fitted, where that is a guess.
    """
    ranked = [key for key in _by_model(car, cars) if key in HOW] if cars else []
    rest = [key for key in _not_measured(car) if key not in ranked]
    look = [ToMeasure(BARS_KEY, "whether wheelie bars are fitted", _LOOK, by_model=False)]
    return (
        *(look if BARS_KEY in car.guesses else ()),
        *(ToMeasure(key, measure_words(key), HOW[key], key in ranked) for key in (*ranked, *rest)),
    )


def _by_model(car: Car, cars: int) -> tuple[str, ...]:
    """Rank by a cloud of launches, without a pass: by how much each number moves the lift."""
    from rules.launch.as_seen import STEP_S
    from rules.launch.measure_first import measure_first
    from rules.launch.mechanics import launch_many
    from rules.launch.of_car import SEED, deviates, typical_cars

    drawn = deviates(car, cars, SEED)
    cloud = typical_cars(car, {}, drawn)
    lift = launch_many(cloud.cars, step_s=STEP_S).columns["front_lift_max"]
    return measure_first(car, cloud, drawn, lift)


def _not_measured(car: Car) -> Iterator[str]:
    """Yield in the default order what the file does not give, or gives as a guess."""
    numbers = car.model_dump(by_alias=True, include=set(_TABLES))
    have_curve = {
        damper.axle
        for damper in car.dampers
        for knob in damper.knobs
        if knob.compression_dyno or knob.rebound_dyno
        or knob.compression_points or knob.rebound_points
    }  # fmt: skip
    corners = ("left_front", "right_front", "left_rear", "right_rear")
    weighed = all(numbers["masses"][corner] is not None for corner in corners)
    numbers["masses"]["left_front"] = True if weighed else None
    for key in HOW:
        table, _, name = key.partition(".")
        if not name:
            if key.split()[0] not in have_curve:
                yield key
        elif key in car.guesses or (
            numbers[table][name] is None and not _said_otherwise(key, numbers, weighed)
        ):
            yield key


def _said_otherwise(key: str, numbers: dict[str, dict[str, object]], weighed: bool) -> bool:
    """Tell whether another number of the file already says this one."""
    if key == "masses.total":
        return weighed
    if key == "launch.thrust" or key.endswith(".spring_motion_ratio"):
        return True
    if key == "launch.peak_g":
        return numbers["launch"]["thrust"] is not None
    if key == "geometry.cg_height":
        return numbers["geometry"]["sprung_cg_height"] is not None
    return False
