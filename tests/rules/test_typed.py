"""What a crew types becomes SI, or a fault: the field, what was found, what is wanted."""

from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.typed import UnreadableError, Wanted, read, written
from rules.units import UNITS, Quantity, System, inward, show

WHEELBASE = Wanted("wheelbase", Quantity.LENGTH, 0.5, 5.0)
TOTAL = Wanted("total", Quantity.MASS, 300.0, 5000.0)
PINION = Wanted("pinion angle", None, -5.0, 20.0, "deg")
SYSTEMS: tuple[System, ...] = ("us", "metric")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("54 in", 54), ("54in", 54), ('54"', 54), ("54 3/8 in", 54.375), ("54-3/8 in", 54.375),
        ("435/8 in", 54.375), ("4'6\"", 54), ("4' 6 1/2\"", 54.5), ("4 ft 6 in", 54), ("4ft", 48),
        ("4’6”", 54), ("4' 6''", 54), ("54", 54), ("54,5", 54.5), (" 54.5  IN ", 54.5),
        ("137,16 cm", 54), ("1371.6 mm", 54), ("1.3716 m", 54), ("+54", 54),
    ],
)  # fmt: skip
def test_lengths(text: str, inches: float) -> None:
    assert read(text, WHEELBASE, "us") == pytest.approx(inches * 0.0254, rel=1e-12)


def test_a_bare_number_is_in_the_cars_units() -> None:
    assert read("1370", WHEELBASE, "metric") == pytest.approx(1.37)
    assert read("2,5", PINION, "metric") == read("2.5 deg", PINION, "us") == 2.5


@pytest.mark.parametrize("text", ["don't know", "Don’t know", "dont know", "unknown", "?", "DK"])
def test_not_knowing_is_an_answer(text: str) -> None:
    assert read(text, WHEELBASE, "us") is None


def test_a_comma_before_three_digits_is_read_where_the_bounds_leave_one_way() -> None:
    assert read("3,500 lb", TOTAL, "us") == pytest.approx(3500 * 0.45359237)
    assert read("1,370 m", WHEELBASE, "us") == pytest.approx(1.37)
    assert read("1,234.5", TOTAL, "metric") == read("1.234,5", TOTAL, "metric") == 1234.5
    assert read("0,125", Wanted("gap", Quantity.LENGTH), "metric") == pytest.approx(0.000125)
    with pytest.raises(UnreadableError) as caught:
        read("1,250", Wanted("load", Quantity.FORCE), "metric")
    assert str(caught.value) == "load: found '1,250', which reads two ways; wanted 1.25 N or 1250 N"


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "abc", "54 psi", "5 0", "1/0 in", "0/0", "1e999", "nan", "inf", "--4", "4'6'",
        "1.2.3", "1,2,3", "1,2/3", "５４", "54 in in", "3/", "/8", "'", "100000", "9" * 5000,
        "9" * 30 + "/7",
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_said(text: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read(text, WHEELBASE, "us")
    fault = caught.value.fault
    assert fault.where == "wheelbase"
    assert fault.wanted == "a number from 19.69 to 196.9 in or from 500 to 5000 mm, or don't know"
    assert (
        fault.found == "nothing"
        if not text.strip()
        else text[:5] in fault.found or "\\u" in fault.found
    )
    assert str(caught.value).isascii()


@given(st.text(max_size=50))
def test_any_text_gives_a_number_or_a_fault(text: str) -> None:
    for wanted in (WHEELBASE, PINION):
        said, value = "", None
        try:
            value = read(text, wanted, "us")
        except UnreadableError as fault:
            said = str(fault)
        assert said.isascii()
        assert value is None or (isfinite(value) and wanted.low <= value <= wanted.high * 1.01)


_NUMBERS = st.floats(min_value=1e-3, max_value=1e6)


@given(_NUMBERS, st.sampled_from(list(Quantity)), st.sampled_from(SYSTEMS), st.booleans())
def test_what_is_written_is_read_back(
    value: float, quantity: Quantity, system: System, negative: bool
) -> None:
    wanted = Wanted("value", quantity)
    si = (-value if negative else value) * UNITS[quantity, system].si
    for text, close in ((written(si, wanted, system), 6e-6), (show(si, quantity, system), 6e-4)):
        for typed_in in SYSTEMS:
            assert read(text, wanted, typed_in) == pytest.approx(si, rel=close)
    exact = f"{si / UNITS[quantity, system].si!r} {UNITS[quantity, system].name}"
    assert read(exact, wanted, system) == pytest.approx(si, rel=1e-12)


@given(st.integers(0, 300), st.integers(1, 63))
def test_tape_fractions_are_exact(whole: int, over: int) -> None:
    wanted = Wanted("gap", Quantity.LENGTH)
    expected = (whole + over / 64) * 0.0254
    for text in (f"{whole} {over}/64 in", f'{whole}-{over}/64"', f"{whole} {over} / 64"):
        assert read(text, wanted, "us") == pytest.approx(expected, rel=1e-14)
    feet = f"{whole // 12}' {whole % 12} {over}/64\""
    assert read(feet, wanted, "metric") == pytest.approx(expected, rel=1e-14)


@given(st.integers(0, 99_999), st.integers(0, 99))
def test_a_comma_is_a_decimal_sign(whole: int, hundredths: int) -> None:
    wanted = Wanted("load", Quantity.FORCE)
    assert read(f"{whole},{hundredths:02d} N", wanted, "us") == pytest.approx(
        whole + hundredths / 100
    )


def test_no_bound_is_told_with_an_exponent() -> None:
    """300 kg and 5000 kg over 0.45359237 (NIST Special Publication 811, appendix B.8)."""
    with pytest.raises(UnreadableError) as caught:
        read("29", Wanted("total", Quantity.MASS, 300.0, 5000.0), "us")
    assert caught.value.fault.wanted == (
        "a number from 661.4 to 11023 lb or from 300 to 5000 kg, or don't know"
    )
    assert show(50_000.0, Quantity.MASS, "metric") == "50000 kg"
    assert show(1e-7, Quantity.LENGTH, "metric") == "0.0001 mm"


@given(st.floats(1e-6, 1e6), st.floats(1.0, 1e6))
def test_bounds_are_told_in_few_figures_and_lie_within(low: float, wide: float) -> None:
    """A property: whoever takes a bound at its word is not refused."""
    high = low * (1.0 + wide)
    least, most = (float(one) for one in inward(low, high))
    assert low * (1.0 - 1e-8) <= least <= most <= high * (1.0 + 1e-8)


def test_a_bound_is_told_as_a_tape_shows_it() -> None:
    assert inward(0.03937007874, 39.37007874) == ("0.04", "39.3")
    assert inward(500.0, 1000.0) == ("500", "1000")
