"""`setdown crossover`: two tables in, counts out, and every way it can be asked wrongly.

Both tables are invented.
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from rules.launch.mechanics.crossover import EveryCount
from rules.launch.mechanics.dyno import read_dyno_csv
from tui.cli import main
from tui.commands.stop import CAR_FAULTS, OK, USAGE

Run = Callable[..., int]
OLD = """speed [in/s],0 [lb],6 [lb],12 [lb]
1,10,18,30
2,22,38,64
5,60,100,160
10,110,170,260
20,190,280,410
"""
NEW = """speed [in/s],0 [lb],4 [lb],8 [lb]
1,14,25,44
2,30,52,90
5,66,108,170
10,100,150,220
20,150,210,300
"""


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run the command on both tables, or on what is named instead."""
    (tmp_path / "old.csv").write_text(OLD, encoding="utf-8")
    (tmp_path / "new.csv").write_text(NEW, encoding="utf-8")

    def go(*args: str, old: str = "old.csv", new: str = "new.csv") -> int:
        return main(["crossover", str(tmp_path / old), str(tmp_path / new), *args])

    return go


def test_low_and_high_speed_are_answered_apart(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--count", "6") == OK
    out = capsys.readouterr().out
    assert "low speed,  2 in/s: old force 38 lb; set 2 (exactly 1.7)" in out
    assert "high speed, 10 in/s: old force 170 lb; set 5 (exactly 5.3)" in out
    assert "no one setting gives the old curve back" in out


def test_json_is_in_si_and_says_what_is_not_reachable(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--count", "12", "--json", "--speed", "2 in/s", "800mm/s") == OK
    found = json.loads(capsys.readouterr().out)
    assert found["low"]["speed_m_s"] == pytest.approx(0.0508)
    assert found["low"]["wanted_n"] == pytest.approx(64 * 4.4482216, rel=1e-6)
    assert (found["low"]["setting"], found["low"]["reachable"]) == (6, True)
    assert found["high"]["setting"] is None
    assert found["high"]["reachable"] is False
    assert found["high"]["beyond_measured"] is True
    assert found["low"]["beyond_measured"] is False


def test_the_same_valving_gives_the_same_count(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--count", "6", "--units", "metric", new="old.csv") == OK
    out = capsys.readouterr().out
    assert "Both answers are 6" in out
    assert "0.0508 m/s: old force 169 N" in out


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--count", "13"), "found setting 13, wanted one from 0 to 12"),
        (("--count", "nan"), "found setting nan"),
        (("--count", "6", "--speed", "2", "10"), "wanted a speed with its unit"),
        (("--count", "6", "--speed", "2 furlong/s", "1m/s"), "wanted a speed with its unit"),
        (("--count", "6", "--speed", "nanm/s", "1m/s"), "wanted a speed with its unit"),
        (("--count", "6", "--speed", "1m/s", "1m/s"), "wanted LOW HIGH"),
    ],
)
def test_a_question_that_is_none(
    run: Run, capsys: pytest.CaptureFixture[str], args: tuple[str, ...], said: str
) -> None:
    assert run(*args) == USAGE
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "cannot be read"),
        ("", "found no text"),
        ("speed [in/s],1 [lb]\n1,5\n", "wanted at least two speeds"),
        ("speed [in/s],1 [lb]\n2,5\n1,6\n", "wanted rising speeds"),
        ("speed [in/s],1 [lb],2 [N]\n1,5,6\n2,7,8\n", "mixed units"),
        ("speed [in/s],1 [lb]\n1,\n2,x\n", "an empty cell"),
        ("speed [in/s]," + ",".join(f"{n} [lb]" for n in range(1000)), "1001 columns"),
    ],
)
def test_a_table_that_is_none(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str | None, said: str
) -> None:
    if text is not None:
        (tmp_path / "bad.csv").write_text(text, encoding="utf-8")
    assert run("--count", "6", new="bad.csv") == CAR_FAULTS
    told = capsys.readouterr().err
    assert "bad.csv" in told
    assert said in told


def test_bytes_that_are_no_text(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "bad.csv").write_bytes(b"\xff\xfe\x00")
    assert run("--count", "6", old="bad.csv") == CAR_FAULTS
    assert "UTF-8" in capsys.readouterr().err


def test_counts_between_measured_ones_can_be_set_too() -> None:
    table = read_dyno_csv(NEW)
    every = EveryCount(table)
    assert every.settings == tuple(float(count) for count in range(9))
    assert float(every.curve(2).force(0.0508)) == float(table.curve(2).force(0.0508))


@pytest.mark.parametrize("slow", ["old.csv", "new.csv"])
def test_far_past_the_fastest_point_the_answer_is_withheld(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str], slow: str
) -> None:
    """Figures in in/s under a head in mm/s end at 20 mm/s: even the low speed is too far past."""
    text = (tmp_path / slow).read_text(encoding="utf-8").replace("[in/s]", "[mm/s]")
    (tmp_path / slow).write_text(text, encoding="utf-8")
    assert run("--count", "6") == OK
    out = capsys.readouterr().out
    assert "low speed,  2 in/s: no answer, measured only to 20 mm/s" in out
    assert "high speed, 10 in/s: no answer, measured only to 20 mm/s" in out
    assert "Is the unit of speed" in out
    assert "set " not in out
    assert run("--count", "6", "--json", "--speed", "20mm/s", "31mm/s") == OK
    found = json.loads(capsys.readouterr().out)
    assert found["low"]["measured_to_m_s"] is None
    assert found["high"]["measured_to_m_s"] == pytest.approx(0.02)
    assert [found["high"][key] for key in ("setting", "force_n", "wanted_n")] == [None] * 3


METRIC = """speed [mm/s],0 [N],6 [N],12 [N]
25,44,80,133
250,490,756,1157
500,845,1246,1824
"""


def test_units_are_those_of_the_table_unless_others_are_asked_for(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A table in newtons is answered in newtons; the old table's where the two differ."""
    (tmp_path / "metric.csv").write_text(METRIC, encoding="utf-8")
    assert run("--count", "6", old="metric.csv", new="metric.csv") == OK
    out = capsys.readouterr().out
    assert " N;" in out
    assert " lb" not in out
    assert "in/s" not in out
    assert run("--count", "6", old="metric.csv") == OK
    assert " lb" not in capsys.readouterr().out
    assert run("--count", "6", "--units", "us", old="metric.csv", new="metric.csv") == OK
    assert " lb;" in capsys.readouterr().out
    assert run("--count", "6") == OK
    assert " lb;" in capsys.readouterr().out


def test_the_rise_is_answered_too_and_never_by_the_low_speed_count(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    """At 20 in/s 280 lb lies between 210 at count 4 and 300 at 8: 4 + 4 ln(280/210)/ln(300/210),
    by hand 7.2."""
    assert run("--count", "6") == OK
    out = capsys.readouterr().out
    assert "the rise,   20 in/s: old force 280 lb; set 7 (exactly 7.2)" in out
    assert "low-speed one for the rise" not in out
    assert "a front rises at 12 to 25 in/s" in out
    assert run("--count", "6", "--json") == OK
    assert json.loads(capsys.readouterr().out)["rise"]["setting"] == 7
    assert run("--count", "6", "--json", "--speed", "2in/s", "10in/s") == OK
    assert json.loads(capsys.readouterr().out)["rise"] is None
