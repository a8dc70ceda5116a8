"""Dyno tables: interpolation, reading, and everything odd refused in words."""

from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.car.dyno_tables import DynoTableError
from rules.launch.mechanics.dyno import dyno_table, read_dyno_csv
from rules.launch.mechanics.monotone import MonotoneCubic
from rules.launch.mechanics.valve import Valve
from rules.units import POUND_FORCE_N

interpolate = pytest.importorskip("scipy.interpolate")

GOOD = """speed [mm/s],0 [N],4 [N],8 [N]
25,100,150,220
50,210,300,430
100,330,470,660
250,560,800,1150
"""


@given(st.integers(2, 12), st.integers(0, 2**32 - 1), st.booleans())
def test_the_cubic_is_that_of_a_general_purpose_library(n: int, seed: int, rising: bool) -> None:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.01, 1.0, n))
    y = np.cumsum(rng.uniform(0.0 if rising else -0.5, 1.0, n))
    at = np.linspace(x[0], x[-1], 101)
    ours = MonotoneCubic(x, y)(at)
    assert np.allclose(ours, interpolate.PchipInterpolator(x, y)(at), rtol=1e-12, atol=1e-12)
    if rising:
        assert (np.diff(ours) >= -1e-12).all()


def test_a_table_goes_through_its_points_and_straight_on() -> None:
    curve = read_dyno_csv(GOOD).curve(4)
    assert curve.force([0.0, 0.025, 0.05, 0.1, 0.25]) == pytest.approx([0, 150, 300, 470, 800])
    last = (curve.force(0.25) - curve.force(0.2499)) / 0.0001
    assert curve.force(0.35) == pytest.approx(800 + 0.1 * last, rel=1e-3)


def test_between_settings_the_force_changes_by_equal_factors() -> None:
    table = read_dyno_csv(GOOD)
    assert table.curve(2).force(0.1) == pytest.approx(np.sqrt(330 * 470))
    with pytest.raises(ValueError, match="no other was measured"):
        table.curve(9)


def test_speed_undoes_force_on_a_table() -> None:
    curve = read_dyno_csv(GOOD).curve(8)
    at = np.array([0.01, 0.03, 0.2, 0.4])
    assert curve.speed(curve.force(at)) == pytest.approx(at, rel=1e-9)


def test_units_and_separators_and_order_of_columns() -> None:
    text = "Speed [in/s];8 [lb];0 [lb]\n1;50;20\n\n10;250;120\n"
    table = read_dyno_csv("\ufeff" + text)
    assert table.settings == (0.0, 8.0)
    assert table.speeds == pytest.approx([0.0254, 0.254])
    assert table.forces[0] == pytest.approx([20 * POUND_FORCE_N, 50 * POUND_FORCE_N])


def test_a_table_fits_the_family_that_made_it() -> None:
    valve = Valve(kb=3e5, f0=400.0, chs=1800.0)
    speeds = [0.01, 0.02, 0.05, 0.1, 0.2, 0.4]
    table = dyno_table([0], speeds, [[float(valve.force(v))] for v in speeds])
    fit = table.fit(0)
    assert fit.worst < 1e-6
    assert fit.valve.kb == pytest.approx(3e5, rel=1e-4)


def wide(columns: int) -> str:
    head = "speed [mm/s]," + ",".join(f"{i} [N]" for i in range(columns))
    rows = [f"{v}," + ",".join(str(v + i) for i in range(columns)) for v in (25, 50)]
    return "\n".join([head, *rows])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "found no text"),
        ("speed [mm/s]\n25\n", "found 1 column, wanted at least 2"),
        ("speed [mm/s],0 [N]\n25,100\n", "found 1 row, wanted at least two"),
        ("speed [mm/s],0 [N]\n", "found 0 rows"),
        ("speed,0 [N]\n25,100\n50,200\n", "column 1: found no unit"),
        ("speed [mm/s],0\n25,100\n50,200\n", "column 2: found no unit"),
        ("speed [knots],0 [N]\n25,100\n50,200\n", "found 'knots'"),
        ("speed [mm/s],0 [N],4 [lb]\n25,100,3\n50,200,4\n", "mixed units of force: N, lb"),
        ("force [mm/s],0 [N]\n25,100\n50,200\n", "wanted 'speed'"),
        ("speed [mm/s],soft [N]\n25,100\n50,200\n", "column 2: setting: found 'soft'"),
        ("speed [mm/s],0 [N]\n50,100\n25,200\n", "wanted rising speeds"),
        ("speed [mm/s],0 [N]\n50,100\n50,200\n", "wanted rising speeds"),
        ("speed [mm/s],0 [N]\n-5,100\n50,200\n", "speed of -5 mm/s"),
        ("speed [mm/s],0 [N]\n25,\n50,200\n", "row 2 column 2: found an empty cell"),
        ("speed [mm/s],0 [N]\n25,nan\n50,200\n", "row 2 column 2: found 'nan'"),
        ("speed [mm/s],0 [N]\n25,1e999\n50,200\n", "found '1e999'"),
        ("speed [mm/s],0 [N]\n25,ten\n50,200\n", "found 'ten'"),
        ("speed [mm/s],0 [N]\n25,100,3\n50,200\n", "row 2: found 3 cells, wanted 2"),
        ("speed [mm/s],0 [N]\n25,200\n50,100\n", "force falls from 200 N to 100 N"),
        ("speed [mm/s],0 [N]\n25,-200\n50,100\n", "found -200 N"),
        ("speed [mm/s],0 [N]\n25,0\n50,0\n", "no force at all"),
        ("speed [mm/s],0 [N],0 [N]\n25,100,100\n50,200,200\n", "setting 0 comes twice"),
        ("speed [mm/s],-1 [N]\n25,100\n50,200\n", "not below 0"),
        ('speed [mm/s],0 [N]\n"25,100\n50,200\n', "not a CSV table"),
        (wide(1000), "found 1001 columns, wanted at most 202"),
        ("speed [mm/s],0 [N]\n" + "1,1\n" * 5000, "rows, wanted at most"),
    ],
)
def test_odd_tables_are_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(DynoTableError) as caught:
        read_dyno_csv(text)
    assert words in str(caught.value)


def test_all_faults_of_a_table_are_named_together() -> None:
    with pytest.raises(DynoTableError) as caught:
        read_dyno_csv("speed [mm/s],0 [N]\nx,100\n50,y\n")
    assert len(caught.value.faults) == 2


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(DynoTableError):
        read_dyno_csv(text)


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("50, 10\n\n40, 20", "row 4: found 40 mm/s after 50 mm/s"),
        ("50, 10\n\n60, 5", "setting 0, row 4: force falls from 10 N to 5 N"),
        ("\n-50, 10\n60, 20", "row 3: found a speed of -50 mm/s"),
        ("50, -10\n\n60, 20", "setting 0, row 2: found -10 N, wanted none below 0"),
        ("\n50, 10\n\n60, 1e30", "setting 0, row 5: found 1e+30 N, wanted at most 200000"),
        ("50, 10\n\n60000, 20", "row 4: found a speed of 60000 mm/s, wanted at most 20000 mm/s"),
        ('\n"50\n", 10\n\n60, 5', "setting 0, row 6: force falls from 10 N to 5 N"),
    ],
)
def test_rows_are_counted_as_a_spreadsheet_counts_them_and_bounded(rows: str, says: str) -> None:
    with pytest.raises(DynoTableError) as caught:
        read_dyno_csv(f"speed [mm/s], 0 [N]\n{rows}")
    assert says in str(caught.value)


def test_a_table_may_lie_at_its_bounds() -> None:
    table = dyno_table([0], [0.05, 20.0], [[100.0], [200_000.0]])
    assert table.forces[-1, 0] == 200_000.0
