"""The text a crew starts its own car file from."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files import read_car
from profiles.starter import new_car_text
from rules.formats import CAR_FORMAT


@pytest.mark.parametrize(
    "name",
    ["a" * 40, "[bold]x[/]", "{x}", "%s \\ ' \"", "سيارة", "\u200fאב\u200f", "\U0001f3c1", "é"],
)
def test_printable_text_is_kept(name: str) -> None:
    text = new_car_text(name, "us")
    assert read_car(text.encode(), "car.toml").name == name


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_new_car_text_loads_and_holds_no_number_to_copy(units: str) -> None:
    text = new_car_text("Our car", "us" if units == "us" else "metric")
    car = read_car(text.encode(), "new.toml")
    assert (car.id, car.name, car.units) == ("our-car", "Our car", units)
    assert re.findall(r"= *\d", text) == [f"= {CAR_FORMAT.number}"]
    assert "{" not in text


@given(st.text(alphabet=st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=40))
def test_a_new_car_may_have_any_printable_name(name: str) -> None:
    assert read_car(new_car_text(name, "metric").encode(), "new.toml").name == name


@pytest.mark.parametrize("name", ["", "\x1b[1m", "a\nb", "x" * 41, "\ud800"])
def test_a_new_car_needs_a_printable_name(name: str) -> None:
    with pytest.raises(ValueError, match="wanted 1 to 40 characters"):
        new_car_text(name, "us")
