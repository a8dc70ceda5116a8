"""Restore, salvage and doctor from the command line: words, statuses, and what is left alone."""

import os
import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest

from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.open_windows import open_window
from profiles.paths import DataFolder, data_folder
from tests.profiles.test_salvage import flipped
from tests.support.sample import many
from tui.cli import main
from tui.commands.mending import terminal
from tui.commands.stop import LOG_FAULTS, OK, USAGE

GOLDEN = Path(__file__).parents[2] / "golden"
# The golden logs were written by a clock that is ahead of today's.
LATER = datetime.fromisoformat("2031-05-05T10:00:00+00:00")
Run = Callable[..., int]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> DataFolder:
    """A data folder with the golden log of the demonstration car in it."""
    monkeypatch.setattr("profiles.local_time.now_here", lambda: LATER)
    folder = data_folder(tmp_path / "data")
    add_car(folder, SHIPPED_CARS / "demo.toml")
    shutil.copy(GOLDEN / "log-5.sqlite3", folder.log_file("demo"))
    return folder


@pytest.fixture
def run(folder: DataFolder) -> Run:
    return lambda *args: main(["--data", str(folder.root), *map(str, args)])


def spoil(folder: DataFolder) -> bytes:
    path = folder.log_file("demo")
    data = path.read_bytes()
    path.write_bytes(data.replace(b'{"kind": "car-described"', b'["kind": "car-described"'))
    return data


def files_of(root: Path) -> dict[str, bytes]:
    return {
        str(one.relative_to(root)): one.read_bytes() for one in root.rglob("*") if one.is_file()
    }


def test_a_crashed_season_comes_back_in_three_commands(
    folder: DataFolder, run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = tmp_path / "b.zip"
    assert run("backup", kept) == OK
    spoil(folder)
    assert run("restore", kept) == OK
    out = capsys.readouterr().out
    assert "kept whole in" in out
    damaged = next(tmp_path.glob("data-before-restore-*")) / "real/cars/demo/log.sqlite3"
    assert f"setdown salvage '{damaged}' --with BACKUP" in out
    assert run("salvage", damaged, "--with", kept, "--json", tmp_path / "s.json") == OK
    assert run("merge", "demo", tmp_path / "s.json", "--store") == OK
    assert run("doctor") == OK


@pytest.mark.parametrize("file", ["none.zip", "text.zip"])
def test_what_is_no_backup_is_one_sentence(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str
) -> None:
    (tmp_path / "text.zip").write_text("hello")
    assert run("restore", tmp_path / file) == LOG_FAULTS
    assert capsys.readouterr().err.count("\n") == 1


def test_a_damaged_log_is_told_salvaged_and_opens(
    folder: DataFolder, run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spoil(folder)
    before = files_of(folder.root)
    assert run("doctor") == LOG_FAULTS
    assert "damaged: 36 events can be read, 1 not" in capsys.readouterr().out
    assert run("salvage", "demo") == OK
    assert "not read: event 1, car-described" in capsys.readouterr().out
    assert files_of(folder.root) == before
    assert run("salvage", "demo", "--json", tmp_path / "s.json") == OK
    assert run("salvage", "demo", "--json", tmp_path / "s.json") == LOG_FAULTS
    assert run("salvage", "demo", "--store") == OK
    with Logbook.open(folder.log_file("demo"), "pit", create=False) as log:
        assert log.state.to_recount
    assert run("salvage", "demo", "--store") == LOG_FAULTS
    assert "sound and stays as it is" in capsys.readouterr().err


def test_a_wrong_name_is_one_sentence(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("salvage", "nobody") == LOG_FAULTS
    assert run("salvage", "nobody", "--store") == USAGE
    assert capsys.readouterr().err.count("\n") == 2


def test_a_log_that_somebody_has_open_is_not_made_anew(
    folder: DataFolder, run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    spoil(folder)
    with open_window(folder.log_file("demo").parent, LATER, "Ann on pit-1"):
        assert run("salvage", "demo", "--store") == LOG_FAULTS
        assert "open in a window of Ann on pit-1" in capsys.readouterr().err
        run("doctor")
        assert "open in a window of Ann on pit-1" in capsys.readouterr().out


def test_the_doctor_says_first_and_does_only_when_asked(
    folder: DataFolder, run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("doctor") == OK
    stray = folder.log_file("demo").with_name("log.sqlite3-wal")
    stray.write_bytes(b"of another file")
    before = files_of(folder.root)
    assert run("doctor") == LOG_FAULTS
    assert "would set it aside" in capsys.readouterr().out
    assert files_of(folder.root) == before
    assert run("doctor", "--repair") == OK
    after = files_of(folder.root)
    assert sorted(after.values()) == sorted(before.values())
    assert "real/cars/demo/stray-wal-1.kept" in after
    assert run("doctor") == OK


@pytest.mark.parametrize("what", ["car file", "rule page", "clock", "disk", "little room"])
def test_the_doctor_names_what_it_cannot_put_right(
    folder: DataFolder,
    run: Run,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    what: str,
) -> None:
    wanted = f"LOOK {what}"
    if what == "car file":
        folder.car_file("demo").write_text("setdown_car = 3\n")
    elif what == "rule page":
        (folder.home / "rules").mkdir()
        (folder.home / "rules" / "own.toml").write_text("x = 1\n")
        wanted = "LOOK your rule pages"
    elif what == "clock":
        early = LATER.replace(year=2030)
        monkeypatch.setattr("profiles.local_time.now_here", lambda: early)
    elif what == "disk":
        monkeypatch.setattr("profiles.doctor.os.access", lambda *_: False)
    else:
        usage = shutil.disk_usage(folder.root)._replace(free=1_000_000)
        monkeypatch.setattr("profiles.doctor.shutil.disk_usage", lambda _: usage)
        wanted = "LOOK disk: only 1 MB free"
    before = files_of(folder.root)
    assert run("doctor", "--repair") == LOG_FAULTS
    assert wanted in capsys.readouterr().out
    assert files_of(folder.root) == before


@pytest.mark.parametrize(
    "seeds",
    [
        pytest.param(range(4), id="some"),
        pytest.param(range(4, many(24, 200)), id="many", marks=pytest.mark.sweep),
    ],
)
def test_no_command_falls_over_a_flipped_log(
    folder: DataFolder, run: Run, tmp_path: Path, seeds: range
) -> None:
    path = folder.log_file("demo")
    whole = path.read_bytes()
    for seed in seeds:
        path.write_bytes(whole)
        flipped(path, seed)
        for number, command in enumerate(
            (
                ("doctor",),
                ("salvage", "demo"),
                ("export", "demo", "--force", "--json", tmp_path / "e.json"),
                ("sheet", "demo"),
                ("card", "demo", "--md", tmp_path / "card.md"),
                ("backup", tmp_path / f"{seed}.zip"),
            )
        ):
            assert run(*command) in (OK, LOG_FAULTS), (seed, number)


@pytest.mark.parametrize(
    ("size", "name", "grade"),
    [((80, 24), "xterm", "ok"), ((79, 24), "xterm", "look"), ((80, 24), "dumb", "look")],
)
def test_a_terminal_is_looked_at(
    size: tuple[int, int], name: str, grade: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = SimpleNamespace(isatty=lambda: True, fileno=lambda: 1, encoding="utf-8")
    monkeypatch.setattr("tui.commands.mending.sys.stdout", screen)
    monkeypatch.setattr("tui.commands.mending.sys.stdin", screen)
    monkeypatch.setattr(
        "tui.commands.mending.os.get_terminal_size", lambda _: os.terminal_size(size)
    )
    monkeypatch.setenv("TERM", name)
    found = terminal()
    assert found.grade == grade
    monkeypatch.undo()
