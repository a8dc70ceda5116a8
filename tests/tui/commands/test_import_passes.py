"""The command `setdown import`: shows first, stores when told, and never half of a file."""

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from drive import make_desk

from profiles.files import SHIPPED_CARS, add_car
from profiles.only_read import read_log
from profiles.paths import data_folder
from rules.log.merge import state_of
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE

Run = Callable[..., int]
Out = pytest.CaptureFixture[str]
PLAIN = "Date,60 ft,1/8 ET\n2031-05-04,1.312,6.750\n2031-05-05,1.320,6.790\n"
THEIRS = "Day;60 ft;Top end;Crew\n04.05.2031;1,312;103,4;=Jo\n13.05.2031;1,320;103,1;x\n"


@pytest.fixture(autouse=True)
def log(data: Path) -> Path:
    """The log of the demonstration car, kept among the crew's own."""
    folder = data_folder(data)
    add_car(folder, SHIPPED_CARS / "demo.toml")
    path = folder.log_file("demo")
    make_desk(path).log.close()
    return path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "invented.csv"


def imported(log: Path) -> list[float | None]:
    return [one.slip.sixty_s for one in state_of(read_log(log)).imported]


def test_without_store_it_only_shows(run: Run, file: Path, log: Path, capsys: Out) -> None:
    file.write_text(PLAIN, "utf-8")
    before = log.read_bytes()
    assert run("import", "demo", file) == OK
    told = capsys.readouterr().out
    assert '"60 ft": 60-foot in s' in told
    assert re.search(r"row 2: 2031-05-04 00:00 [-+]..:00 60 ft 1.312 s, Eighth 6.750 s", told)
    assert "2 to store, 0 faulty, 0 there already." in told
    assert "Dry run" in told
    assert log.read_bytes() == before


def test_stored_once_however_often_it_is_told(run: Run, file: Path, log: Path, capsys: Out) -> None:
    file.write_text(PLAIN, "utf-8")
    assert run("import", "demo", file, "--store") == OK
    assert run("import", "demo", file, "--store") == OK
    assert "THERE ALREADY: row 2 of invented.csv, imported before" in capsys.readouterr().out
    assert imported(log) == [1.312, 1.32]


def test_a_faulty_row_stops_all_unless_it_is_skipped(
    run: Run, file: Path, log: Path, capsys: Out
) -> None:
    file.write_text(PLAIN + "2031-05-06,11.4,6.8\n", "utf-8")
    assert run("import", "demo", file) == CAR_FAULTS
    assert run("import", "demo", file, "--store") == CAR_FAULTS
    said = capsys.readouterr()
    assert "FAULT row 4: found 60-foot 11.4 looks like a slipped decimal" in said.out
    assert "1 rows have faults; nothing was stored" in said.err
    assert imported(log) == []
    assert run("import", "demo", file, "--store", "--skip-faulty") == OK
    assert imported(log) == [1.312, 1.32]


def test_rows_without_times_are_told_and_left_out(
    run: Run, file: Path, log: Path, capsys: Out
) -> None:
    file.write_text(PLAIN + "2031-05-06,,\n", "utf-8")
    assert run("import", "demo", file) == OK
    told = capsys.readouterr().out
    assert "row 4: no times: left out" in told
    assert "2 to store, 0 faulty, 0 there already, 1 without times left out." in told
    assert run("import", "demo", file, "--store") == OK
    assert imported(log) == [1.312, 1.32]


def test_columns_told_once_are_remembered_for_their_header(
    run: Run, file: Path, log: Path, capsys: Out
) -> None:
    file.write_text(THEIRS, "utf-8")
    told = ("--column", "Top end=eighth speed in mph", "--column", "Crew=setting")
    assert run("import", "demo", file, *told) == OK
    assert "as they were told before" not in capsys.readouterr().out
    assert run("import", "demo", file, "--store") == OK
    out = capsys.readouterr().out
    assert "Columns as they were told before for this header:" in out
    assert '"Top end": eighth speed in mph' in out
    assert [one.setting for one in state_of(read_log(log)).imported] == ["=Jo", "x"]


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ((), "quarter speed in which unit? wanted one of: mph"),
        (("Top end",), "found 'Top end'; wanted NAME=FIELD"),
        (("Nose=lane",), "found 'Nose=lane'; wanted NAME=FIELD of a column: \"Day\""),
        (("Crew=driver",), "--column 'Crew': found 'driver'; wanted one of: date"),
        (("Crew=60-foot",), "60-foot: 2 columns hold it"),
        (("Day=skip",), "date: no column holds it"),
    ],
)
def test_columns_that_cannot_be_used(
    run: Run, file: Path, capsys: Out, columns: tuple[str, ...], says: str
) -> None:
    file.write_text(THEIRS.replace("Top end", "Quarter speed" if not columns else "Top end"))
    given = [part for one in columns for part in ("--column", one)]
    assert run("import", "demo", file, *given) == USAGE
    assert says in capsys.readouterr().err


def test_at_a_terminal_the_rest_is_asked_in_digits(
    run: Run, file: Path, capsys: Out, monkeypatch: pytest.MonkeyPatch
) -> None:
    file.write_text(THEIRS, "utf-8")
    keys = iter(["99", "8", "0", "1"])
    monkeypatch.setattr("tui.commands.import_passes.may_ask", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(keys))
    assert run("import", "demo", file) == OK
    out = capsys.readouterr().out
    assert 'Column "Top end" ("103,4", "103,1"): what does it hold?' in out
    assert "found '99'; wanted a number from 0 to" in out
    assert '"Top end": quarter speed in mph' in out
    assert list(keys) == []
    assert run("import", "demo", file) == OK
    assert "as they were told before" in capsys.readouterr().out


def test_a_thousand_columns_are_left_out_with_one_key(
    run: Run, file: Path, capsys: Out, monkeypatch: pytest.MonkeyPatch
) -> None:
    more = "x," * 500 + "," * 499
    file.write_text(f"Date,60 ft,{more}\n2031-05-04,1.3\n", "utf-8")

    def keys() -> Iterator[str]:
        yield ""

    typed = keys()
    monkeypatch.setattr("tui.commands.import_passes.may_ask", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(typed))
    assert run("import", "demo", file) == OK
    assert "and 992 more" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("raw", "says"),
    [(b"", "found an empty file"), (b"Date,60 ft\n", "a header and no rows"), (b"{", "not JSON")],
)
def test_a_file_that_is_none(run: Run, file: Path, capsys: Out, raw: bytes, says: str) -> None:
    file.write_bytes(raw)
    assert run("import", "demo", file) == CAR_FAULTS
    assert says in capsys.readouterr().err
    file.unlink()
    assert run("import", "demo", file) == CAR_FAULTS
    assert run("import", "nobody", file) == CAR_FAULTS
    assert "found 'nobody'; wanted one of: demo" in capsys.readouterr().err


@pytest.mark.parametrize("count", [1_000, pytest.param(10_000, marks=pytest.mark.sweep)])
def test_ten_thousand_rows_are_stored_in_one_go(
    run: Run, file: Path, log: Path, count: int
) -> None:
    days = [date.fromordinal(date(2001, 1, 1).toordinal() + n // 2) for n in range(count)]
    rows = "".join(f"{day},1.3{n % 2},6.7{n % 2}\n" for n, day in enumerate(days))
    file.write_text("Date,60 ft,1/8 ET\n" + rows, "utf-8")
    assert run("import", "demo", file, "--store") == OK
    assert len(imported(log)) == count


def test_an_export_goes_into_an_empty_log_only(
    run: Run, tmp_path: Path, log: Path, capsys: Out
) -> None:
    exported = tmp_path / "log.json"
    assert run("export", "demo", "--json", exported) == OK
    assert run("import", "demo", exported, "--store") == LOG_FAULTS
    assert "found a log with 4 events; wanted none yet" in capsys.readouterr().err
    before = state_of(read_log(log))
    log.unlink()
    assert run("import", "demo", exported) == OK
    assert not log.exists()
    assert run("import", "demo", exported, "--store") == OK
    assert state_of(read_log(log)) == before


def test_an_export_of_another_car_is_refused(
    run: Run, data: Path, tmp_path: Path, capsys: Out
) -> None:
    exported = tmp_path / "log.json"
    assert run("export", "demo", "--json", exported) == OK
    add_car(data_folder(data), SHIPPED_CARS / "leaf-metric.toml")
    assert run("import", "leaf-metric", exported, "--store") == CAR_FAULTS
    assert "car: found 'demo'; wanted 'leaf-metric'" in capsys.readouterr().err
