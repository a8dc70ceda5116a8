"""The car file's schema for text editors, so that they complete keys and underline mistakes.

``python -m profiles.schema`` writes car.schema.json again after the car's model has changed.
"""

import json
from pathlib import Path
from typing import Any

from profiles.durable import write_atomically
from rules.car.body import Axle, CarPart, Geometry, Masses
from rules.car.fact import quantity_of
from rules.car.hit import Launch
from rules.car.links import LinkPlace, RearLinks
from rules.car.model import Car, Damper, Knob, Lever, Point, Points, Stock
from rules.checked import reader_of
from rules.part import Field
from rules.units import UNITS

SCHEMA_FILE = Path(__file__).parent / "car.schema.json"

_PARTS: tuple[type[CarPart], ...] = (
    Axle,
    Damper,
    Geometry,
    Knob,
    Launch,
    Lever,
    RearLinks,
    Masses,
    LinkPlace,
    Point,
    Points,
    Stock,
)


def car_schema() -> dict[str, Any]:
    """Return the JSON Schema of a car file.

    Quantities carry no bounds, because those depend on the file's own `units`.
    """
    schema = reader_of(Car).json_schema(by_alias=True)
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


def _describe(schema: dict[str, Any], part: type[CarPart]) -> None:
    """Say what each key means, and drop null, which TOML cannot write."""
    del schema["title"]
    for field in part.fields.values():
        entry = schema["properties"][field.key]
        kinds = [kind for kind in entry.pop("anyOf", []) if kind != {"type": "null"}]
        entry |= kinds[0] if len(kinds) == 1 else {"anyOf": kinds} if kinds else {}
        entry.pop("title", None)
        if not isinstance(entry.get("default"), str | int | float | list):
            entry.pop("default", None)
        entry.pop("description", None)
        meaning = field.description + _units(field)
        schema["properties"][field.key] = {"description": meaning, **entry}


def _units(field: Field) -> str:
    """Say the unit of a field in both systems."""
    what = quantity_of(field)
    if what is None:
        return ""
    return f" In {UNITS[what, 'us'].name} or {UNITS[what, 'metric'].name}."


if __name__ == "__main__":
    write_atomically(SCHEMA_FILE, schema_text().encode())
