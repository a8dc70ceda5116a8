"""Knobs, dampers and levers put into a car file and taken out: every other line stays."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.edit_car import edited_text
from profiles.files import SHIPPED_CARS, read_car
from profiles.starter import new_car_text
from rules.car.edits import Edit, edited_car
from rules.car.model import Car
from rules.car.values import differences
from tests.support.sample import examples

DEMO = (SHIPPED_CARS / "demo.toml").read_text("utf-8")
METRIC = (SHIPPED_CARS / "leaf-metric.toml").read_text("utf-8")
START = new_car_text("New", "us")
KNOB = {"id": "both", "controls": "both", "clicks": 12, "count_from": "full soft", "start": 5}
LEVER: dict[str, object] = {
    "id": "arm", "kind": "anti-roll bar", "axle": "rear", "start": "holes A, low",
    "positions": ["holes A, low", 'the "B" holes'], "lift_car": False,
}  # fmt: skip
DAMPERS = [
    Edit(("dampers", at), {"corner": f"{side} front", "knobs": [KNOB, {**KNOB, "id": "two"}]}, side)
    for at, side in enumerate(("left", "right"))
]


def car(text: str) -> Car:
    return read_car(text.encode(), "it")


def knobs(at: int, number: int, value: Any = KNOB) -> list[Edit]:
    return [Edit(("dampers", side, "knobs", number), value, "knob") for side in (at, at + 1)]


def is_within(few: str, many: str) -> bool:
    """Tell whether every line of one text stands in the other, in the same order."""
    lines = iter(many.splitlines())
    return all(line in lines for line in few.splitlines())


@pytest.mark.parametrize(
    ("text", "edits"),
    [
        (DEMO, knobs(0, 3)),
        (DEMO, knobs(2, 2)),
        (DEMO, [Edit(("levers", 8), LEVER, "lever")]),
        (METRIC, [Edit(("levers", 3), LEVER, "lever")]),
        (START, DAMPERS),
        (START, [*DAMPERS, Edit(("levers", 0), LEVER, "lever")]),
    ],
    ids=["three knobs", "the last damper", "lever", "metric", "first dampers", "from nothing"],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_what_is_added_and_taken_out_again_leaves_the_file_as_it_was(
    text: str, edits: list[Edit], end: str
) -> None:
    text = text.replace("\n", end)
    system = tomllib.loads(text)["units"]
    more = edited_text(text, edits, system)
    assert car(more) == edited_car(car(text), edits)
    assert is_within(text, more)
    assert more.count("\r\n") in (0, more.count("\n"))
    undone = [Edit(edit.path, None, "out") for edit in reversed(edits)]
    less = edited_text(more, undone, system)
    assert less.split() == text.split()
    assert car(less) == car(text)


def test_a_new_knob_stands_behind_its_sisters_and_before_the_words_about_what_follows() -> None:
    more = edited_text(DEMO, knobs(2, 2), "us")
    assert more.rindex('id = "both"') < more.index("# Levers: everything else you can set.")
    assert more.index('[[dampers.knobs]]\nid = "both"') < more.index('corner = "right rear"')


def test_what_is_taken_out_takes_its_curves_along_and_leaves_the_words_behind_it() -> None:
    less = edited_text(DEMO, knobs(0, 2, None), "us")
    assert "compression_points" not in less.replace("#   compression_points", "")
    assert is_within(less, DEMO)
    after = edited_text(DEMO, [Edit(("dampers", at, "knobs", 1), None, "") for at in (2, 3)], "us")
    assert "# Levers: everything else you can set." in after


@examples(6, 100)
@given(st.lists(st.integers(0, 7), min_size=1, max_size=8, unique=True))
def test_any_levers_come_out_in_any_order(gone: list[int]) -> None:
    text, there = DEMO, list(range(8))
    for lever in gone:
        text = edited_text(text, [Edit(("levers", there.index(lever)), None, "")], "us")
        there.remove(lever)
    kept = [car(DEMO).levers[at] for at in there]
    assert list(car(text).levers) == kept
    assert is_within(text, DEMO)


@pytest.mark.parametrize(
    "levers",
    ["[]", '[{ id = "a", kind = "spring", axle = "rear", start = 1 }]'],
    ids=["empty", "in one line"],
)
def test_a_list_in_one_line_takes_one_more(levers: str) -> None:
    text = START.replace("[masses]", f"levers = {levers}\n\n[masses]", 1)
    before = tomllib.loads(text)["levers"]
    more = edited_text(text, [Edit(("levers", len(before)), LEVER, "lever")], "us")
    assert tomllib.loads(more)["levers"] == [*before, LEVER]
    assert len(more.splitlines()) == len(text.splitlines())


def test_rows_of_a_dyno_table_are_no_headers() -> None:
    rows = {"rebound_dyno": ["speed [in/s],0 [lb],12 [lb]", "2,22,38", "10,110,170"]}
    text = edited_text(START, DAMPERS, "us").replace(
        'id = "both"\ncontrols = "both"',
        'id = "both"\nrebound_dyno = [\n  "speed [in/s],0 [lb],12 [lb]",\n  "2,22,38",\n'
        '  "10,110,170",\n]\ncontrols = "both"',
    )
    assert rows["rebound_dyno"] == list(car(text).dampers[0].knobs[0].rebound_dyno or ())
    more = edited_text(text, knobs(0, 2, {**KNOB, "id": "three"}), "us")
    assert [knob.id for knob in car(more).dampers[0].knobs] == ["both", "two", "three"]
    less = edited_text(more, knobs(0, 0, None), "us")
    assert [knob.id for knob in car(less).dampers[1].knobs] == ["two", "three"]


def test_new_and_gone_are_told_in_words() -> None:
    more = car(edited_text(START, DAMPERS, "us"))
    assert "Left front both, clicks: not there -> 12" in differences(car(START), more)
    assert "Left front both, clicks: 12 -> not there" in differences(more, car(START))
