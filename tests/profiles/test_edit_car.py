"""The tool's own edits of a car file: the crew's comments and the order of its lines survive."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.edit_car import edit_car, edited_text
from profiles.files import SHIPPED_CARS, CarFileError, add_car, load_car, read_car
from profiles.paths import DataFolder
from profiles.starter import new_car_text
from rules.car.edits import Edit
from rules.car.values import car_values, changes, differences
from rules.units import POUND_KG, Quantity
from tests.support.sample import examples

DEMO = SHIPPED_CARS / "demo.toml"
TEXTS = [
    DEMO.read_text("utf-8"),
    (SHIPPED_CARS / "leaf-metric.toml").read_text("utf-8"),
    new_car_text("New", "us"),
]
LENGTHS = [
    ("geometry", "wheelbase"), ("geometry", "cg_height"), ("geometry", "rear_track"),
    ("front", "bump_travel"), ("rear", "droop_travel"), ("rear", "tyre_diameter"),
    ("front", "tyre_diameter"), ("geometry", "instant_centre_ahead"),
]  # fmt: skip


def comments(text: str) -> list[str]:
    """Return what stands behind each #, words of commented-out keys left out."""
    return [
        line.split("#", 1)[1].split("#")[-1].strip() for line in text.splitlines() if "#" in line
    ]


@examples(6, 100)
@given(
    text=st.sampled_from(TEXTS),
    edits=st.lists(
        st.tuples(st.sampled_from(LENGTHS), st.floats(0.05, 2.0), st.booleans()),
        min_size=1,
        max_size=4,
    ),
)
def test_comments_and_order_survive_any_edit(
    text: str, edits: list[tuple[tuple[str, str], float, bool]]
) -> None:
    made = [
        Edit(path, value, ".".join(path), Quantity.LENGTH, guess) for path, value, guess in edits
    ]
    system = tomllib.loads(text)["units"]
    after = edited_text(text, made, system)
    raw = tomllib.loads(after)
    size = 0.0254 if system == "us" else 0.001
    last = {path: (value, guess) for path, value, guess in edits}
    for (table, key), (value, guess) in last.items():
        assert raw[table][key] * size == pytest.approx(value, rel=1e-5)
        assert (f"{table}.{key}" in raw.get("guesses", [])) is guess
    kept = comments(after)
    for words in comments(text):
        if not any(words.startswith(f"{key} =") for _, key in last):
            assert words in kept
    order = [name for name in ("[masses]", "[geometry]", "[front]", "[rear]") if name in text]
    assert [after.index(name) for name in order] == sorted(after.index(name) for name in order)


def test_an_edit_touches_its_own_line_alone() -> None:
    text = TEXTS[0]
    after = edited_text(text, [Edit(("masses", "total"), 3300 * POUND_KG, "", Quantity.MASS)], "us")
    moved = zip(text.splitlines(), after.splitlines(), strict=True)
    assert [pair for pair in moved if pair[0] != pair[1]] == [("total = 3200", "total = 3300")]


def test_a_key_that_stood_as_a_comment_is_written_there() -> None:
    edit = Edit(("rear", "tyre_rate"), 175_126.8, "", Quantity.SPRING_RATE)
    after = edited_text(TEXTS[0], [edit], "us")
    assert "\ntyre_rate = 1000         # nobody has measured it: leave it out" in after
    assert after.count("\n") == TEXTS[0].count("\n")


@pytest.mark.parametrize(("end", "mark"), [("\r\n", ""), ("\n", "\ufeff"), ("\r\n", "\ufeff")])
def test_line_ends_and_a_byte_order_mark_survive(end: str, mark: str) -> None:
    text = mark + TEXTS[0].replace("\n", end)
    after = edited_text(text, [Edit(("geometry", "wheelbase"), 2.5, "", Quantity.LENGTH)], "us")
    assert after.startswith(mark)
    assert after.count("\r\n") == text.count("\r\n")


def test_stock_and_levers_are_added_under_what_there_is() -> None:
    springs = [
        Edit(("stock", at), {"kind": "spring", "axle": "front", "name": name, "rate": 200}, "")
        for at, name in enumerate(("Blue", "Red"))
    ]
    after = edited_text(TEXTS[0], springs, "us")
    assert after.startswith(TEXTS[0][:200])
    assert [one.name for one in read_car(after.encode(), "it").stock] == ["Blue", "Red"]


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    folder = DataFolder(tmp_path)
    add_car(folder, DEMO)
    return folder


def test_an_edit_keeps_the_file_before(folder: DataFolder) -> None:
    before = folder.car_file("demo").read_bytes()
    car = edit_car(folder, "demo", [Edit(("geometry", "cg_height"), 0.6, "", Quantity.LENGTH)])
    assert car.geometry.cg_height_m == pytest.approx(0.6, rel=1e-5)
    assert load_car(folder.car_file("demo")) == car
    kept = folder.car_file("demo")
    assert kept.with_name(f"{kept.name}.previous").read_bytes() == before


@pytest.mark.parametrize(
    ("edit", "named"),
    [
        (Edit(("masses", "total"), 4000 * POUND_KG, "", Quantity.MASS), "masses.total"),
        (Edit(("geometry", "cg_height"), 9.0, "", Quantity.LENGTH), "geometry.cg_height"),
        (Edit(("dampers", 0, "knobs", 0, "clicks"), 3.0, ""), "start"),
        (Edit(("name",), "x" * 50, ""), "name"),
    ],
)
def test_an_edit_with_faults_is_refused_by_name_and_nothing_is_written(
    folder: DataFolder, edit: Edit, named: str
) -> None:
    before = folder.car_file("demo").read_bytes()
    with pytest.raises(CarFileError, match=named):
        edit_car(folder, "demo", [edit])
    assert folder.car_file("demo").read_bytes() == before


def test_a_faulty_file_takes_no_edit(folder: DataFolder) -> None:
    folder.car_file("demo").write_text("[[[", "utf-8")
    with pytest.raises(CarFileError, match="line 1"):
        edit_car(folder, "demo", [Edit(("geometry", "cg_height"), 0.6, "", Quantity.LENGTH)])


@pytest.mark.parametrize(("cars", "one_in"), [(1, 6), pytest.param(2, 1, marks=pytest.mark.sweep)])
def test_every_value_of_a_car_can_be_written_back_as_it_stands(cars: int, one_in: int) -> None:
    for text in TEXTS[:cars]:
        car = read_car(text.encode(), "it")
        edits = [
            Edit(one.path, one.now, one.name, one.quantity)
            for one in car_values(car)
            if one.now is not None
        ]
        known = [edit for edit in edits if ".".join(map(str, edit.path)) not in car.guesses]
        kept = known[::one_in]
        again = read_car(edited_text(text, kept, car.units).encode(), "it")
        assert differences(car, again) == []
        assert changes(car, kept) == []


def test_differences_are_told_before_and_after() -> None:
    car = read_car(TEXTS[0].encode(), "it")
    other = read_car(TEXTS[0].replace("cg_height = 22 ", "cg_height = 23 ").encode(), "it")
    assert differences(car, other) == ["Geometry, height of the centre of gravity: 22 in -> 23 in"]
