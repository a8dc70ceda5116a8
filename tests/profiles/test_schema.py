"""The schema that text editors read."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, ValidationError

from profiles.files import SHIPPED_CARS
from profiles.schema import SCHEMA_FILE, car_schema, schema_text
from profiles.starter import new_car_text

SHIPPED = sorted(SHIPPED_CARS.glob("*.toml"))


@pytest.fixture
def validator() -> Draft202012Validator:
    return Draft202012Validator(car_schema())


def car(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def test_the_shipped_schema_is_current() -> None:
    assert SCHEMA_FILE.read_text("utf-8") == schema_text(), "run python -m profiles.schema"


def test_the_schema_is_valid() -> None:
    Draft202012Validator.check_schema(car_schema())


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_car_fits_and_names_its_schema(
    validator: Draft202012Validator, path: Path
) -> None:
    validator.validate(car(path))
    first = path.read_text("utf-8").splitlines()[0]
    assert first.startswith("#:schema ")
    assert (path.parent / first.removeprefix("#:schema ")).resolve() == SCHEMA_FILE


def test_a_new_car_fits(validator: Draft202012Validator) -> None:
    validator.validate(tomllib.loads(new_car_text("Ours", "us")))


@pytest.mark.parametrize("part", ["", "masses", "geometry", "front", "dampers", "levers"])
def test_an_unknown_key_does_not_fit(validator: Draft202012Validator, part: str) -> None:
    raw = car(SHIPPED[0])
    place = raw[part] if part else raw
    (place[0] if isinstance(place, list) else place)["zz"] = 1
    with pytest.raises(ValidationError):
        validator.validate(raw)


@pytest.mark.parametrize(
    ("part", "key", "units"),
    [
        ("Masses", "total", "In lb or kg."),
        ("Geometry", "wheelbase", "In in or mm."),
        ("Axle", "spring_rate", "In lb/in or N/mm."),
    ],
)
def test_quantities_say_their_units_and_no_bounds(part: str, key: str, units: str) -> None:
    entry = car_schema()["$defs"][part]["properties"][key]
    assert entry["description"].endswith(units)
    assert entry["type"] == "number"
    assert not {"minimum", "maximum"} & entry.keys()


def test_every_key_is_described() -> None:
    schema = car_schema()
    for part in (schema, *schema["$defs"].values()):
        assert all(entry["description"] for entry in part["properties"].values())
