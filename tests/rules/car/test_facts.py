"""A number of the car says once, where it is declared, all that is known of it beside its value."""

from pathlib import Path

import pytest

from profiles.starter import new_car_text
from rules.car.fact import Fact, fact_of, quantity_of
from rules.car.model import TABLES, Car
from rules.car.usual import FACTS, QUANTITIES, TYPICAL
from rules.crew.sheets.describe.new_car import NARROWING
from rules.crew.sheets.describe.rank import HOW
from rules.part import Field
from rules.units import Quantity
from tests.support.crew import invented_car

ROOT = Path(__file__).parents[3]
NUMBERS = [
    (f"{table}.{field.key}", field)
    for table in TABLES
    for field in Car.fields[table].default.fields.values()
]


@pytest.mark.parametrize(("key", "info"), NUMBERS, ids=[key for key, _ in NUMBERS])
def test_every_number_declares_its_fact_and_its_meaning(key: str, info: Field) -> None:
    assert isinstance(fact_of(info), Fact)
    assert info.description
    assert key in FACTS


def test_a_quantity_is_its_types_and_not_guessed_from_a_name() -> None:
    ends = {
        "_n_per_m": Quantity.SPRING_RATE, "_kg": Quantity.MASS, "_kg_m2": Quantity.INERTIA,
        "_n": Quantity.FORCE, "_w": Quantity.POWER, "_m": Quantity.LENGTH,
    }  # fmt: skip
    for key, info in NUMBERS:
        table, _, name = key.partition(".")
        attribute = Car.fields[table].default.attributes()[name]
        wanted = next((what for end, what in ends.items() if attribute.endswith(end)), None)
        assert quantity_of(info) is QUANTITIES[key] is wanted, key


def test_what_is_ranked_is_declared_and_what_is_declared_to_be_measured_is_ranked() -> None:
    declared = {key for key, fact in FACTS.items() if fact.how}
    assert declared == {key for key in HOW if key in FACTS}
    assert set(HOW) - declared == {"front damper curve", "rear damper curve"}


def test_what_a_form_asks_first_says_within_what_it_takes_it() -> None:
    for key in ("masses.total", "geometry.wheelbase", *NARROWING):
        span = FACTS[key].asked
        assert span is not None
        usual = TYPICAL[key]
        assert span[0] <= usual.low < usual.high <= span[1], key


def test_a_rear_axle_differs_only_where_it_says_so() -> None:
    told = Fact("travel", how="Front.", usual=(1, 2), typical=1.0, rear_how="Rear.")
    assert told.at("front", "x").how == "Front."
    rear = told.at("rear", "x")
    assert (rear.name, rear.how, rear.usual, rear.typical) == ("rear travel", "Rear.", (1, 2), 1.0)


def test_the_starter_file_has_the_notes_that_the_numbers_declare() -> None:
    rows = new_car_text("Ours", "us").split("[geometry]")[1].split("[front]")[0]
    for key, fact in FACTS.items():
        table, _, name = key.partition(".")
        if table == "geometry":
            assert (f"# {name} =" in rows) == (fact.note is not None), key


def test_no_other_module_lists_the_tables_of_numbers() -> None:
    listed = '"masses", "geometry", "front", "rear", "launch"'
    found = [
        str(path.relative_to(ROOT))
        for room in ("rules", "profiles", "tui")
        for path in (ROOT / room).rglob("*.py")
        if listed in " ".join(path.read_text("utf-8").split())
    ]
    assert found == ["rules/car/model.py"]


def test_cars_are_alike_where_all_they_hold_is_a_copy_too() -> None:
    one, other = invented_car(), invented_car()
    assert one is not other
    assert one == other
    assert hash(one) == hash(other)
    renamed = one.model_copy(update={"name": "Another invented car"})
    assert renamed != one
    assert renamed.model_copy(update={"name": one.name}) == one
