"""What a column is taken for by its name. The words are common practice, no source."""

import pytest

from rules.paper.columns import FIELDS, UNITS, Column, ColumnError, column, date_order, guess
from rules.paper.columns import mapping_faults as faults_of


@pytest.mark.parametrize(
    ("name", "holds"),
    [
        ("60 ft", "60-foot in s"),
        ("60'", "60-foot in s"),
        ("60-foot [s]", "60-foot in s"),
        ("Sixty", "60-foot in s"),
        ("330", "330 in s"),
        ("1/8 ET", "eighth in s"),
        ("660 ft", "eighth in s"),
        ("1/8 MPH", "eighth speed in mph"),
        ("660 speed (km/h)", "eighth speed in km/h"),
        ("Eighth speed", "eighth speed"),
        ("1000 ft", "1000 in s"),
        ("1/4 ET", "quarter in s"),
        ("Quarter kph", "quarter speed in km/h"),
        ("R/T", None),
        ("RT", "reaction in s"),
        ("Reaction time", "reaction in s"),
        ("Dial-in", "dial-in in s"),
        ("Lane", "lane"),
        ("Time of day", "time of day"),
        ("Air temp (F)", "air temperature in F"),
        ("Track temperature C", "track temperature in C"),
        ("Barometer inHg", "air pressure in inHg"),
        ("Humidity", "humidity in %"),
        ("Setup", "setting"),
        ("ET", None),
        ("MPH", None),
        ("Time", None),
        ("60 to 330", None),
        ("1000 mph", None),
        ("", None),
        ("=cmd", None),
        ("column 60", None),
        ("x (60. of this name)", None),
    ],
)
def test_what_a_name_tells(name: str, holds: str | None) -> None:
    found = guess(name, [])
    assert (str(found) if found else None) == holds


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["2031-05-04", "2031-12-31 14:00"], "y-m-d"),
        (["04.05.2031", "13.05.2031"], "d/m/y"),
        (["04/05/2031", "04/13/2031"], "m/d/y"),
        (["04/05/2031"], ""),
        (["yesterday", ""], ""),
    ],
)
def test_the_order_of_a_date_is_told_by_its_numbers_or_asked(cells: list[str], order: str) -> None:
    assert date_order(cells) == order


@pytest.mark.parametrize("name", FIELDS)
def test_every_field_is_read_as_it_is_written(name: str) -> None:
    for unit in UNITS[FIELDS[name].kind] or ("",):
        one = Column(FIELDS[name], unit)
        assert column(str(one)) == one


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("speed", "found 'speed'; wanted one of: date"),
        ("quarter speed in knots", "found the unit 'knots'; wanted mph, km/h, m/s"),
        ("lane in s", "wanted no unit"),
    ],
)
def test_a_column_that_is_told_wrongly(text: str, says: str) -> None:
    with pytest.raises(ColumnError, match=says.replace("/", ".")):
        column(text)


def test_a_mapping_needs_a_date_a_time_one_column_each_and_units() -> None:
    told = {"a": column("quarter speed"), "b": column("lane"), "c": column("lane"), "d": None}
    assert [fault.split(":")[0] for fault in faults_of(told)] == ["lane", "date", "times", "a"]
    good = {"a": column("date in y-m-d"), "b": column("60-foot"), "c": column("skip")}
    assert faults_of(good) == []
