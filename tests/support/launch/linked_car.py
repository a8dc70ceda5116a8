"""Invented cars whose rear links the file gives: four links with holes, and a ladder bar."""

from typing import Any

from rules.car.model import Car
from tests.support.launch.car_questions import shipped_car

HOLES = "upper link"
PLACES = tuple({"ahead": 0.62, "height": height} for height in (0.42, 0.39, 0.36, 0.33))
_LEVER: dict[str, Any] = {
    "id": HOLES,
    "kind": "link position",
    "axle": "rear",
    "positions": ("hole 1", "hole 2", "hole 3", "hole 4"),
    "start": "hole 2",
    "moves": "upper front",
    "places": PLACES,
}
_BAR: dict[str, Any] = {
    "id": "bar front",
    "kind": "link position",
    "axle": "rear",
    "positions": ("low", "middle", "high"),
    "start": "middle",
    "moves": "bar front",
    "places": tuple({"ahead": 1.1, "height": height} for height in (0.12, 0.2, 0.28)),
}
COLLARS: dict[str, Any] = {
    "id": "rear collars",
    "kind": "preload",
    "axle": "rear",
    "unit": "mm",
    "step": 2.0,
    "low": -40.0,
    "high": 200.0,
    "start": 0.0,
    "at_springs": True,
}


def _demo() -> dict[str, Any]:
    """Return the demonstration car without its own link lever and instant centre."""
    raw = shipped_car("demo").model_dump(by_alias=True)
    raw["levers"] = [one for one in raw["levers"] if one["kind"] not in ("link position",)]
    raw["geometry"] |= {"wheelbase": 2.7}
    for key in ("instant_centre_ahead", "instant_centre_height"):
        raw["geometry"][key] = None
    raw["guesses"] = [one for one in raw["guesses"] if "instant_centre" not in one]
    return raw


def linked(guesses: list[str] | None = None, **tables: Any) -> Car:
    """Return the demonstration car on four links, with more numbers, in SI, by the file's keys."""
    raw = _demo()
    raw["links"] = {
        "upper_rear": {"ahead": 0.05, "height": 0.50},
        "lower_front": {"ahead": 0.85, "height": 0.24},
        "lower_rear": {"ahead": 0.08, "height": 0.22},
    }
    raw["levers"] = [*raw["levers"], _LEVER]
    for table, numbers in tables.items():
        raw[table] |= numbers
    raw["guesses"] = [*raw["guesses"], *(guesses or ())]
    return Car.parse(raw)


def with_levers(changed: dict[str, Any], *more: dict[str, Any]) -> Car:
    """Return it with its link lever changed, and with more levers."""
    raw = linked().model_dump(by_alias=True)
    raw["levers"] = [*raw["levers"][:-1], {**_LEVER, **changed}, *more]
    return Car.parse(raw)


BAR = Car.parse(_demo() | {"rear_suspension": "ladder bar", "levers": [_BAR]})
