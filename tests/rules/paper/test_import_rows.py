"""Rows read into passes: each cell in its unit, each fault named, the same slip known again."""

from datetime import UTC, datetime
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.log.events.passes import PassImported, SlipNoted
from rules.log.state import State
from rules.paper.columns import column
from rules.paper.import_rows import Row, neutral, plain, read_rows
from rules.passes.slip import Slip
from rules.units import UNITS, Quantity
from tests.support.crew import Crew, invented_car

TOLD = {
    "day": column("date in y-m-d"),
    "clock": column("time of day"),
    "60": column("60-foot"),
    "1/8": column("eighth"),
    "mph": column("eighth speed in mph"),
    "lane": column("lane"),
    "marks": column("marks"),
    "setting": column("setting"),
    "air": column("air temperature in F"),
    "baro": column("air pressure in inHg"),
    "crew": None,
}
STATE = State(car=invented_car())


def read(*rows: list[str], state: State = STATE) -> list[Row]:
    numbers = count(1)
    return read_rows(
        list(enumerate(rows, 2)),
        TOLD,
        state,
        file="invented.csv",
        new_id=lambda: f"row {next(numbers)}",
        at_home=lambda when: when.replace(tzinfo=UTC),
    )


def test_a_row_is_read_in_its_units() -> None:
    cells = ["2031-05-04", "2:05 pm", "1.312", "6,75", "104", "L", "Spun, red light", "A", "86"]
    (row,) = read([*cells, "29.92", "Jo"])
    one = row.imported
    assert one is not None
    assert one.when == datetime(2031, 5, 4, 14, 5, tzinfo=UTC)
    # A mile is exactly 1609.344 m: NIST Special Publication 811 (2008), appendix B.8.
    speed = one.slip.eighth_speed_m_s
    assert speed == pytest.approx(104 * 1609.344 / 3600, rel=1e-12)
    assert (one.slip.sixty_s, one.slip.eighth_s, one.slip.lane) == (1.312, 6.75, "left")
    assert one.slip.marks == {"spun", "red light"}
    assert one.conditions is not None
    assert one.conditions.air_temperature == pytest.approx(30, abs=1e-6)
    # The standard atmosphere at sea level: 29.92 inHg is 1013.2 hPa (ISO 2533).
    assert one.conditions.pressure == pytest.approx(1013.2, abs=0.1)
    assert (one.setting, one.file, one.row) == ("A", "invented.csv", 2)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({0: ""}, "row 2, date: found nothing; wanted the date of the pass"),
        ({0: "2031-02-30"}, "row 2, day: found '2031-02-30'; wanted a date written y-m-d"),
        ({0: "0001-01-01"}, "wanted a date written y-m-d, of 1980 to 2099"),
        ({0: "2031-05-04T99"}, "wanted a date written y-m-d"),
        ({0: "4.5.2031"}, "wanted a date written y-m-d"),
        ({1: "25:00"}, "row 2, clock: found '25:00'; wanted a time of day such as 14:05"),
        ({1: "13:00 pm"}, "wanted a time of day"),
        ({2: "fast"}, "row 2, 60: found 'fast'; wanted a number such as 1.312"),
        ({2: "1_3"}, "wanted a number"),
        ({2: "nan"}, "wanted a number"),
        ({2: "1.234,5"}, "wanted a number"),
        ({2: "11.4"}, "looks like a slipped decimal; wanted perhaps 1.14"),
        ({2: "7.1"}, "is not after"),
        ({0: "", 2: "", 3: ""}, "row 2, date: found nothing"),
        ({5: "middle"}, "row 2, lane: found 'middle'; wanted left or right"),
        ({6: "flew"}, "row 2, marks: found 'flew'; wanted any of lifted, aborted, spun"),
        ({8: "400"}, "row 2, air: found '400'; wanted a number that is -40 to 60 C"),
        ({11: "more"}, "row 2: found 12 cells; wanted 11, as the header has"),
    ],
)
def test_a_fault_names_the_row_the_column_what_was_found_and_is_wanted(
    changed: dict[int, str], says: str
) -> None:
    cells = ["2031-05-04", "", "1.312", "6.75", "", "", "", "", "", "", ""] + [""] * (11 in changed)
    for at, text in changed.items():
        cells[at] = text
    (row,) = read(cells)
    assert row.imported is None
    assert says in "; ".join(map(str, row.faults))


@pytest.mark.parametrize("changed", [{}, {4: "104"}, {6: "aborted"}])
def test_a_pass_without_a_time_is_left_out_and_is_no_fault(changed: dict[int, str]) -> None:
    cells = ["2031-05-04", *[""] * 10]
    for at, text in changed.items():
        cells[at] = text
    assert read(cells) == [Row(2, None, left_out="no times: left out")]


@pytest.mark.parametrize(("dew", "faulty"), [("86", False), ("86.1", True)])
def test_a_dew_point_above_the_air_temperature_is_a_fault(dew: str, faulty: bool) -> None:
    # At saturation the dew point is the air temperature, and air holds no more: by definition.
    told = {
        "day": column("date in y-m-d"),
        "60": column("60-foot"),
        "air": column("air temperature in F"),
        "dew": column("dew point in F"),
    }
    cells = ["2031-05-04", "1.312", "86", dew]
    (row,) = read_rows(
        [(2, cells)],
        told,
        STATE,
        file="invented.csv",
        new_id=lambda: "n",
        at_home=lambda when: when.replace(tzinfo=UTC),
    )
    said = "; ".join(map(str, row.faults))
    assert ("row 2, dew point: found 30.0556; wanted at most the air temperature, 30" in said) is (
        faulty
    )
    assert (row.imported is None) is faulty


def test_a_time_that_does_not_read_is_a_fault_though_no_other_is_there() -> None:
    (row,) = read(["2031-05-04", "", "fast", *[""] * 8])
    assert row.faults
    assert not row.left_out


@pytest.mark.parametrize(
    ("order", "text"),
    [
        ("y-m-d", "2031-05-04 14:05"),
        ("y-m-d", "2031/05/04 14:05:00"),
        ("y-m-d", "2031.05.04 14:05"),
        ("y-m-d", "2031-05-04T16:05:00+02:00"),
        ("d/m/y", "4.5.31 14:05"),
        ("d/m/y", "04-05-2031 2:05 PM"),
        ("m/d/y", "05/04/2031 02:05:00 p.m."),
    ],
)
def test_dates_in_every_order_with_their_time_of_day(order: str, text: str) -> None:
    told = {"day": column(f"date in {order}"), "60": column("60-foot")}
    (row,) = read_rows(
        [(2, [text, "1.3"])],
        told,
        STATE,
        file="x",
        new_id=lambda: "id",
        at_home=lambda when: when.replace(tzinfo=UTC),
    )
    assert row.imported is not None
    assert row.imported.when == THEN


def test_a_number_that_is_possible_but_odd_is_kept_and_said() -> None:
    (row,) = read(["2031-05-04", "", "1.312", "6.75", "210"])
    assert row.imported is not None
    assert "too fast" in row.doubts[0]


def with_slip(state: State, at: datetime, slip: Slip) -> State:
    known = PassImported(imported="k", when=at, slip=slip, file="old.csv", row=7)
    return State(car=state.car, imported=(known,))


SLIP = Slip(sixty_s=1.312, eighth_s=6.75)
THEN = datetime(2031, 5, 4, 14, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("cells", "same"),
    [
        (["2031-05-04", "14:05", "1.312", "6.75"], True),
        (["2031-05-04", "", "1.3120", "6.750", "104"], True),
        (["2031-05-04", "14:06", "1.312"], True),
        (["2031-05-04", "", "1.312"], False),
        (["2031-05-04", "14:05", "1.312", "6.752"], False),
        (["2031-05-14", "14:05", "1.312", "6.75"], False),
    ],
)
def test_a_slip_imported_before_is_known_by_its_day_and_times(cells: list[str], same: bool) -> None:
    (row,) = read(cells, state=with_slip(STATE, THEN, SLIP))
    assert row.same_as == ("row 7 of old.csv, imported before" if same else "")


def test_a_slip_typed_before_and_a_row_that_comes_twice_are_known() -> None:
    crew = Crew()
    crew.say(["front-bounces"])
    crew.record([SlipNoted(run=crew.run.id, slip=SLIP)])
    again = ["2031-05-04", "", "1.312", "6.75"]
    new = ["2031-05-04", "", "1.320", "6.79"]
    rows = read(again, new, new, state=crew.state)
    assert [row.same_as for row in rows] == ["pass 1", "", "row 3"]


@pytest.mark.parametrize("count", [1_000, pytest.param(10_000, marks=pytest.mark.sweep)])
def test_ten_thousand_rows_are_read(count: int) -> None:
    cells = [["2031-05-04", "", f"1.3{n:04}", f"6.7{n:04}"] for n in range(count)]
    rows = read(*cells)
    assert len(rows) == count
    assert not any(row.faults for row in rows)


def test_imported_passes_are_history_and_leave_the_loop_as_it_was() -> None:
    crew = Crew()
    before, prompt = crew.state, crew.prompt
    crew.record([PassImported(imported="k", when=THEN, slip=SLIP)])
    assert [one.slip for one in crew.state.imported] == [SLIP]
    assert crew.state.runs == before.runs
    assert crew.prompt == prompt


@given(st.text(st.sampled_from("'=+-@\t\r 1.ax"), max_size=8))
def test_no_cell_is_run_as_a_formula_and_each_is_read_back(text: str) -> None:
    # What spreadsheets run: OWASP, "CSV Injection": = + - @ tab and carriage return, from memory.
    written = neutral(text)
    assert plain(written) == text
    is_number = written.replace(".", "1").lstrip("+-").isdecimal()
    assert not written.startswith(("=", "+", "-", "@", "\t", "\r")) or is_number


def test_numbers_stay_numbers() -> None:
    assert [neutral(text) for text in ("-0.012", "+3", "=1+1", "-x")] == [
        "-0.012",
        "+3",
        "'=1+1",
        "'-x",
    ]
    assert abs(UNITS[Quantity.SPEED, "us"].si - 0.44704) < 1e-12
