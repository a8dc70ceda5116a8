"""The car in sight: every knob with its count, what is off, and what is open of it."""

import pytest
from drive import DEMO, METRIC, make_desk
from hypothesis import given
from hypothesis import strategies as st
from roads import BY_NAME

from rules.car.adjusters import adjusters
from rules.car.model import Car
from tui.drawn.car_rows import car_rows
from tui.drawn.car_view import CORNERS, SHORT, CarView, car_view
from tui.drawn.corner import NO_KNOB, NOT_KNOWN, corner_rows
from tui.drawn.plan import NARROW, WIDE, corner_at, plan


def view_at(road: str) -> CarView:
    desk = BY_NAME[road].desk()
    view = car_view(desk.state, desk.prompt)
    assert view is not None
    return view


@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
@pytest.mark.parametrize(("width", "height"), [(NARROW, 19), (NARROW, 16), (WIDE, 33)])
def test_every_knob_stands_at_its_corner_with_its_count(car: Car, width: int, height: int) -> None:
    state = make_desk(car=car).state
    view = car_view(state)
    assert view is not None
    rows = plan(view, width, height).plain.split("\n")
    assert [len(row) for row in rows] == [width] * height
    drawn = "\n".join(rows)
    for one in adjusters(car).values():
        if one.part == "knob":
            assert one.show(state.settings[one.id]) in drawn
    assert all(corner.upper() in drawn for corner in CORNERS)
    assert drawn.count("╉") >= sum(map(len, view.knobs.values()))


@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
def test_short_names_are_short_and_differ_at_each_corner(car: Car) -> None:
    view = car_view(make_desk(car=car).state)
    assert view is not None
    for knobs in view.knobs.values():
        names = [one.short for one in knobs]
        assert len(set(names)) == len(names)
        assert all(len(name) <= SHORT for name in names)


def test_an_open_advice_marks_both_sides_with_what_is_to_be_turned() -> None:
    drawn = plan(view_at("advice"), NARROW, 19).plain
    assert drawn.count("8→11") == 2
    assert drawn.count("► 3 TIGHTER") == 2


def test_the_side_that_is_done_differs_by_word_and_shape_from_the_one_to_turn() -> None:
    drawn = plan(view_at("work order"), NARROW, 19).plain
    assert "■ DONE" in drawn
    assert "► TURN NOW" in drawn
    assert "11 +3" in drawn
    assert "8→11" in drawn


@pytest.mark.parametrize("width", [58, 78])
def test_two_rows_tell_the_same(width: int) -> None:
    rows = car_rows(view_at("work order"), width).plain.split("\n")
    assert [row[:5] for row in rows] == ["FRONT", "REAR "]
    assert "►ext L11 +3 R8→11" in rows[0]
    assert all(len(row) <= width for row in rows)


@given(st.integers(0, NARROW - 1), st.integers(0, 18))
def test_a_click_anywhere_on_the_plan_means_one_corner(x: int, y: int) -> None:
    view = car_view(make_desk().state)
    assert view is not None
    assert corner_at(view, NARROW, 19, x, y) in CORNERS


def test_a_click_on_the_name_of_a_corner_means_that_corner() -> None:
    view = car_view(make_desk().state)
    assert view is not None
    rows = plan(view, NARROW, 19).plain.split("\n")
    for corner in CORNERS:
        y = next(at for at, row in enumerate(rows) if corner.upper() in row)
        assert corner_at(view, NARROW, 19, rows[y].index(corner.upper()), y) == corner


@pytest.mark.long
@given(st.integers(24, 120))
def test_two_rows_cut_no_number_and_count_what_has_no_room(width: int) -> None:
    view = view_at("settle")
    for row in car_rows(view, width).plain.split("\n"):
        assert len(row) <= width
        assert "…" not in row


def test_a_damper_without_a_knob_is_drawn_otherwise_than_one_that_nobody_described() -> None:
    dampers = [{"corner": f"{side} front"} for side in ("left", "right")]
    car = Car.model_validate(DEMO.model_dump(by_alias=True) | {"dampers": dampers})
    state = make_desk(car=car).state
    view = car_view(state)
    assert view is not None
    drawn = plan(view, NARROW, 20).plain
    assert drawn.count("no knob") == drawn.count("none in file") == 2
    told = {
        corner: "\n".join(row.plain for row in corner_rows(state, view, corner, 38))
        for corner in ("left front", "left rear")
    }
    assert NO_KNOB in told["left front"]
    assert NOT_KNOWN in told["left rear"]
