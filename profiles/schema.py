"""The car file's schema for text editors, so that they complete keys and underline mistakes.

``python -m profiles.schema`` writes car.schema.json again after the car's model has changed.
"""

import json
from pathlib import Path
from typing import Any

from profiles.durable import write_atomically
from rules.car.model import (
    Axle,
    Car,
    Damper,
    Geometry,
    Knob,
    Launch,
    Lever,
    Masses,
    Part,
    Point,
    Points,
    Stock,
)
from rules.car.values import SUFFIXES
from rules.units import UNITS

SCHEMA_FILE = Path(__file__).parent / "car.schema.json"

_PARTS: tuple[type[Part], ...] = (
    Axle,
    Damper,
    Geometry,
    Knob,
    Launch,
    Lever,
    Masses,
    Point,
    Points,
    Stock,
)
_MEANINGS = {
    "Car": {
        "setdown_car": "The kind and version of this file; leave it at 1.",
        "id": "Short name for the log: small letters, digits, - or space.",
        "name": "What the screen shows.",
        "units": "us: lb, in, lb/in, psi. metric: kg, mm, N/mm, kPa. For the whole file.",
        "invented": "true: not a real car.",
        "rear_suspension": "How the rear axle is located.",
        "wheelie_bars": "Whether bars are fitted.",
        "guesses": "Keys that were guessed and not measured, such as geometry.cg_height.",
        "masses": "Masses as raced: fuel in, driver aboard.",
        "geometry": "Lengths of the car standing as raced.",
        "front": "The front axle, per wheel.",
        "rear": "The rear axle, per wheel.",
        "launch": "What engine and tyres give at the hit.",
        "dampers": "One for each corner.",
        "levers": "Everything else that can be set.",
        "stock": "Springs and valvings the crew owns.",
    },
    "Masses": {
        "total": "The whole car.",
        "left_front": "Scale under the left front wheel.",
        "right_front": "Scale under the right front wheel.",
        "left_rear": "Scale under the left rear wheel.",
        "right_rear": "Scale under the right rear wheel.",
        "front_unsprung": "Both front wheels, brakes, hubs and half of the arms.",
        "rear_unsprung": "Both rear wheels, axle, brakes and half of the links.",
        "pitch_inertia": "Of the sprung mass about its own centre.",
    },
    "Geometry": {
        "wheelbase": "Front axle to rear axle.",
        "cg_height": "Height of the whole car's centre of gravity.",
        "sprung_cg_height": "Height of the sprung mass's centre, in place of cg_height.",
        "front_track": "Centre to centre of the front tyres.",
        "rear_track": "Centre to centre of the rear tyres.",
        "ground_clearance": "Under the lowest part, whatever meets the road first.",
        "instant_centre_height": "Where the link lines cross, seen from the side: above ground.",
        "instant_centre_ahead": "Where the link lines cross: ahead of the rear axle.",
    },
    "Axle": {
        "spring_rate": "Of the spring itself.",
        "motion_ratio": "Damper travel divided by wheel travel.",
        "spring_motion_ratio": "Spring travel over wheel travel, if off the damper; of a leaf 1.",
        "damper_angle": "Lean from the path of the lower mount, in degrees, if not in the ratio.",
        "bump_travel": "At the wheel, from ride height up to the stop.",
        "droop_travel": "At the wheel, from ride height down to stop or limiter.",
        "tyre": "Kind of tyre.",
        "tyre_diameter": "From the ground to the top, as it stands; also the ruler on a video.",
        "tyre_rate": "Of one tyre, standing, at the pressure it races with.",
    },
    "Launch": {
        "thrust": "Push of both rear tyres at the hit.",
        "peak_g": "Peak forward acceleration over gravity, in place of thrust.",
        "rise": "Time from the first move to full thrust, in seconds.",
        "power": "At the tyres.",
        "grip": "The most thrust the rear tyres hold over the load they carry.",
    },
    "Point": {
        "speed": "Of the piston.",
        "force": "Of one damper.",
    },
    "Points": {
        "soft_low": "Knob at its soft end, the slower point.",
        "soft_high": "Knob at its soft end, the faster point.",
        "firm_low": "Knob at its firm end, the slower point.",
        "firm_high": "Knob at its firm end, the faster point.",
    },
    "Damper": {
        "corner": "Where it stands.",
        "name": "What it is.",
        "knobs": "One for each knob.",
    },
    "Knob": {
        "id": "What the crew calls it; left and right with the same id make a pair.",
        "controls": "Which movement it damps; both when one knob moves both.",
        "speed": "low (bleed), high, all, or unknown when nobody has told.",
        "clicks": "From end to end, counted by hand and without force.",
        "turns": "From end to end, for a knob without clicks.",
        "marks_per_turn": "Steps in one turn, for a knob without clicks.",
        "count_from": "The end the crew counts from.",
        "start": "Today's count from that end, in clicks or turns.",
        "firmer_turn": "Which way is firmer, seen from the knob.",
        "pair": "axle: left and right turn together. none: turned alone.",
        "offset": "Right minus left, in clicks or turns, written at the right one.",
        "minutes": "What a turn costs, both sides.",
        "lift_car": "Whether the car must be lifted to reach it.",
        "compression_dyno": "Dyno table of compression: a head row with units, then rows.",
        "rebound_dyno": "Dyno table of rebound: a head row with units, then rows.",
        "compression_points": "Published points of compression at both ends of the knob.",
        "rebound_points": "Published points of rebound at both ends of the knob.",
    },
    "Lever": {
        "id": "What the crew calls it.",
        "kind": "What it sets.",
        "axle": "Where it acts.",
        "unit": "Unit of its numbers.",
        "step": "The smallest step, in its unit.",
        "low": "Lowest number.",
        "high": "Highest number.",
        "positions": "Names in place of numbers, from the lowest or softest to the highest.",
        "start": "Today's number, or today's position by its name.",
        "makers_minimum": "From the maker's sheet; never advised below.",
        "minutes": "What a change costs; what such a lever usually takes where it is left out.",
        "lift_car": "Whether the car must be lifted.",
        "tools": "What has to be at hand.",
    },
    "Stock": {
        "kind": "A spring, by its rate, or a valving, by its curves.",
        "axle": "The end of the car it fits.",
        "name": "What is written on it; the spring or valving that is on the car as well.",
        "count": "How many there are.",
        "rate": "Of one spring.",
        "free_length": "Of the spring off the car.",
        "solid_length": "Of the spring with all coils touching.",
        "compression_dyno": "Dyno table of compression: a head row with units, then rows.",
        "rebound_dyno": "Dyno table of rebound: a head row with units, then rows.",
    },
}


def car_schema() -> dict[str, Any]:
    """Return the JSON Schema of a car file.

    Quantities carry no bounds, because those depend on the file's own `units`.
    """
    schema = Car.model_json_schema(by_alias=True)
    definitions = schema.pop("$defs")
    _describe(schema, Car)
    for part in _PARTS:
        _describe(definitions[part.__name__], part)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A car of Setdown",
        **schema,
        "$defs": definitions,
    }


def schema_text() -> str:
    """Return the schema as car.schema.json holds it."""
    return json.dumps(car_schema(), indent=2, ensure_ascii=False) + "\n"


def _describe(schema: dict[str, Any], part: type[Part]) -> None:
    """Say what each key means, and drop null, which TOML cannot write."""
    del schema["title"]
    for name, field in part.model_fields.items():
        key = field.alias or name
        entry = schema["properties"][key]
        kinds = [kind for kind in entry.pop("anyOf", []) if kind != {"type": "null"}]
        entry |= kinds[0] if len(kinds) == 1 else {"anyOf": kinds} if kinds else {}
        entry.pop("title", None)
        if not isinstance(entry.get("default"), str | int | float | list):
            entry.pop("default", None)
        meaning = _MEANINGS[part.__name__][key] + _units(name)
        schema["properties"][key] = {"description": meaning, **entry}


def _units(name: str) -> str:
    """Say the unit in both systems; the model's own names end in the SI unit."""
    for suffix, quantity in SUFFIXES.items():
        if name.endswith(suffix):
            return f" In {UNITS[quantity, 'us'].name} or {UNITS[quantity, 'metric'].name}."
    return ""


if __name__ == "__main__":
    write_atomically(SCHEMA_FILE, schema_text().encode())
