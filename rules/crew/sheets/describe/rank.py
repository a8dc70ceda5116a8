"""What to measure next on a car, and how: first what would narrow the advice most."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.car.instant_centre import instant_centre
from rules.car.model import TABLES, Car
from rules.car.usual import FACTS
from rules.launch.forecast_words import measure_words

CARS = 128
_CURVE = "A dyno sheet for these dampers, or two points at each end of the knob."
# The default order, all four corners under the first one's key: common practice, no source.
_ORDER = (
    "masses.total",
    "geometry.wheelbase",
    "masses.left_front",
    "geometry.ground_clearance",
    "front.bump_travel",
    "front.droop_travel",
    "front.motion_ratio",
    "front.spring_rate",
    "front.spring_motion_ratio",
    "geometry.cg_height",
    "geometry.sprung_cg_height",
    "launch.peak_g",
    "launch.thrust",
    "front damper curve",
    "rear damper curve",
    "rear.bump_travel",
    "rear.droop_travel",
    "rear.motion_ratio",
    "rear.spring_rate",
    "rear.spring_motion_ratio",
    "geometry.instant_centre_height",
    "geometry.instant_centre_ahead",
    "masses.front_unsprung",
    "masses.rear_unsprung",
    "launch.rise",
    "launch.power",
    "geometry.bar_height",
    "geometry.bar_length",
    "launch.first_change_at",
    "launch.change_lasts",
    "launch.change_loses",
    "front.tyre_rate",
    "rear.tyre_rate",
    "front.tyre_diameter",
    "rear.tyre_diameter",
    "launch.grip",
    "masses.pitch_inertia",
)
HOW = {key: FACTS[key].how if key in FACTS else _CURVE for key in _ORDER}
"""How each number is got, as its field declares it, in the default order."""
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
    from rules.launch.cloud.car_cloud import SEED, deviates, typical_cars
    from rules.launch.cloud.measure_first import measure_first
    from rules.launch.mechanics import launch_many

    drawn = deviates(car, cars, SEED)
    cloud = typical_cars(car, {}, drawn)
    lift = launch_many(cloud.cars, step_s=STEP_S).columns["front_lift_max"]
    return measure_first(car, cloud, drawn, lift)


def _not_measured(car: Car) -> Iterator[str]:
    """Yield in the default order what the file does not give, or gives as a guess."""
    numbers = car.model_dump(by_alias=True, include=set(TABLES))
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
            numbers[table][name] is None
            and not _said_otherwise(key, numbers, weighed, car.wheelie_bars)
            and not (key.startswith("geometry.instant_centre") and _links_measured(car))
        ):
            yield key


def _links_measured(car: Car) -> bool:
    return "links" not in car.guesses and instant_centre(car, {}) is not None


def _said_otherwise(
    key: str, numbers: dict[str, dict[str, object]], weighed: bool, barred: bool
) -> bool:
    """Tell whether the rest of the file already says this one, or leaves no need of it."""
    if key == "masses.total":
        return weighed
    if key.startswith("geometry.bar_"):
        return not barred
    if key.startswith("launch.change_"):
        return numbers["launch"]["first_change_at"] is None
    if key == "launch.thrust" or key.endswith(".spring_motion_ratio"):
        return True
    if key == "launch.peak_g":
        return numbers["launch"]["thrust"] is not None
    if key == "geometry.cg_height":
        return numbers["geometry"]["sprung_cg_height"] is not None
    return False
