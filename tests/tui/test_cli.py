"""Every command, its exit status, and what it leaves on the disk."""

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.files import SHIPPED_CARS
from profiles.logbook import Logbook
from rules import __version__
from rules.book import shipped
from tui.app import SetdownApp
from tui.cli import main
from tui.commands.stop import BOOK_FAULTS, CAR_FAULTS, LOG_FAULTS, OK, STATUSES, USAGE
from tui.pick import PickApp

Run = Callable[..., int]
pytestmark = pytest.mark.usefixtures("a_terminal")
DEMO_FILE = SHIPPED_CARS / "demo.toml"
METRIC_FILE = SHIPPED_CARS / "leaf-metric.toml"
ROOT = Path(__file__).parents[2]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out == f"setdown {__version__}\n"


def test_help_names_every_command_and_status(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--help"])
    assert left.value.code == 0
    out = capsys.readouterr().out
    rows = out.splitlines()
    commands = (
        "demo", "open", "cars", "new", "add", "check", "schema", "where", "backup", "consult",
        "restore", "salvage", "doctor", "shop", "card", "whatif", "crossover", "book",
    )  # fmt: skip
    for command in commands:
        assert any(row.split()[:1] == [command] for row in rows if row.startswith("    "))
    for status, words in STATUSES:
        assert f"{status}  {words}" in out


@pytest.mark.parametrize(
    "args", [["nonsense"], ["open"], ["consult"], ["--nonsense"], ["new", "x", "--units", "stone"]]
)
def test_a_wrong_command_line(args: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(args)
    assert left.value.code == USAGE
    assert "usage: setdown" in capsys.readouterr().err


@pytest.mark.parametrize("before", [True, False])
def test_data_stands_before_or_after_the_command(
    data: Path, capsys: pytest.CaptureFixture[str], before: bool
) -> None:
    given = ["--data", str(data)]
    assert main([*given, "where"] if before else ["where", *given]) == OK
    assert str(data / "real") in capsys.readouterr().out


def test_where(run: Run, data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("where") == OK
    out = capsys.readouterr().out
    assert str(data / "real") in out
    assert str(data / "demo") in out
    assert str(data / "real" / "rules") in out


def test_demo_stays_apart(run: Run, data: Path, opened: list[SetdownApp]) -> None:
    assert run("demo") == OK
    assert opened[0].desk.state.meeting is not None
    assert opened[0].desk.state.meeting.name == "Invented event"
    assert opened[0].desk.prompt.id == "symptoms"
    assert not opened[0].desk.resumed
    assert run("demo") == OK
    assert opened[1].desk.resumed
    assert (data / "demo" / "cars" / "demo" / "log.sqlite3").is_file()
    assert list((data / "real").rglob("*.toml")) == []
    assert list((data / "real").rglob("*.sqlite3")) == []


def test_add_open_and_list(
    run: Run, opened: list[SetdownApp], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("cars") == OK
    assert "No cars yet" in capsys.readouterr().out
    assert run("add", DEMO_FILE) == OK
    assert "Added demo" in capsys.readouterr().out
    assert run("add", METRIC_FILE) == OK
    assert run("cars") == OK
    assert capsys.readouterr().out.splitlines()[-2:] == ["demo", "leaf-metric"]
    assert run("open", "leaf-metric") == OK
    assert opened[0].desk.car.id == "leaf-metric"
    assert opened[0].desk.prompt.id == "meeting"


def test_without_a_command_the_only_car_opens(run: Run, opened: list[SetdownApp]) -> None:
    assert run("add", DEMO_FILE) == OK
    assert run() == OK
    assert opened[0].desk.car.id == "demo"


@pytest.mark.parametrize("chosen", ["leaf-metric", "", None])
def test_without_a_command_one_is_picked(
    run: Run, opened: list[SetdownApp], monkeypatch: pytest.MonkeyPatch, chosen: str | None
) -> None:
    run("add", DEMO_FILE)
    run("add", METRIC_FILE)
    monkeypatch.setattr(PickApp, "run", lambda app, **_: chosen)
    assert run() == OK
    cars = [app.desk.car.id for app in opened]
    assert cars == {"leaf-metric": ["leaf-metric"], "": ["demo"], None: []}[chosen]


async def test_the_pick_screen() -> None:
    app = PickApp(["coupe", "wagon"])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.3)
        await pilot.press("2")
    assert app.return_value == "wagon"
    app = PickApp([])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("Q")
    assert app.return_value is None


def test_opening_a_car_that_is_not_there(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("open", "nobody") == CAR_FAULTS
    assert "found 'nobody'; wanted one of: none yet" in capsys.readouterr().err
    run("add", DEMO_FILE)
    assert run("open", "../demo") == CAR_FAULTS
    assert "wanted one of: demo" in capsys.readouterr().err


def test_new_writes_a_file_that_add_takes(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "my-car.toml"
    assert run("new", file, "--units", "metric") == OK
    first = file.read_bytes()
    assert run("check", file) == OK
    assert "no faults" in capsys.readouterr().out
    assert run("new", file) == USAGE
    assert file.read_bytes() == first
    assert "is there already" in capsys.readouterr().err
    assert run("new", tmp_path / "no folder" / "car.toml") == LOG_FAULTS


def test_a_car_file_with_faults_changes_nothing(
    run: Run, data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    kept = (data / "real" / "cars" / "demo" / "car.toml").read_bytes()
    bad = tmp_path / "bad.toml"
    text = DEMO_FILE.read_text("utf-8")
    bad.write_text(text.replace("wheelbase = 108", "wheelbase = 0"), encoding="utf-8")
    for command in ("check", "add"):
        assert run(command, bad) == CAR_FAULTS
        assert "wheelbase" in capsys.readouterr().err
    assert (data / "real" / "cars" / "demo" / "car.toml").read_bytes() == kept
    assert run("check", tmp_path / "not there.toml") == CAR_FAULTS


def test_an_edited_car_file_that_is_faulty_is_not_opened(
    run: Run, data: Path, opened: list[SetdownApp]
) -> None:
    run("add", DEMO_FILE)
    (data / "real" / "cars" / "demo" / "car.toml").write_text("[[[", encoding="utf-8")
    assert run("open", "demo") == CAR_FAULTS
    assert opened == []


@pytest.mark.parametrize("content", [b"not a database at all, and long enough to be read as one"])
def test_a_log_that_is_none(
    run: Run, data: Path, content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    log = data / "real" / "cars" / "demo" / "log.sqlite3"
    log.write_bytes(content)
    assert run("open", "demo") == LOG_FAULTS
    assert str(log) in capsys.readouterr().err
    assert log.read_bytes() == content


def test_a_data_folder_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "file"
    file.write_text("x", encoding="utf-8")
    for command in ("where", "cars", "demo"):
        assert main(["--data", str(file), command]) == LOG_FAULTS
        assert str(file) in capsys.readouterr().err


def test_own_rules_with_faults(
    run: Run, data: Path, opened: list[SetdownApp], capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    rules = data / "real" / "rules"
    rules.mkdir(parents=True, exist_ok=True)
    (rules / "mine.toml").write_text("[symptom]\nid = 3\n", encoding="utf-8")
    assert run("open", "demo") == OK
    assert opened[0].desk.book == shipped()
    assert "own rule pages have faults and are left out" in opened[0].desk.notice
    assert run("book", "check", rules / "mine.toml") == BOOK_FAULTS
    assert "symptom.id" in capsys.readouterr().err


def test_every_page_with_a_fault_is_named_as_the_car_opens(
    run: Run, data: Path, opened: list[SetdownApp]
) -> None:
    """A page that is no text, a folder, or a steering key: the car opens, the page is named."""
    run("add", DEMO_FILE)
    rules = data / "real" / "rules"
    (rules / "folder.toml").mkdir(parents=True)
    (rules / "bytes.toml").write_bytes(b"\xff\xfe")
    (rules / "deep.toml").write_text("a = " + "[" * 5000, encoding="utf-8")
    (rules / "key\x1b]52;c;eA==\x07.toml").write_text('"\\u001b[2J" = 1', encoding="utf-8")
    assert run("open", "demo") == OK
    (title, lines), *_ = opened[0].pages
    assert title == "Rule pages are left out"
    for name in ("folder.toml", "bytes.toml", "deep.toml", "key?]52"):
        assert any(name in line for line in lines), name
    assert all(line.isprintable() and len(line) <= 80 for line in lines)


def test_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == OK
    assert "properties" in json.loads(capsys.readouterr().out)


def test_backup(run: Run, data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Logbook.open(data / "real" / "cars" / "demo" / "log.sqlite3", "tests"):
        run("add", DEMO_FILE)
    file = tmp_path / "copy.zip"
    assert run("backup", file) == OK
    out = capsys.readouterr().out
    assert f"Wrote {file}: " in out
    assert "1 logs with 0 events, each read back." in out
    assert "real/cars/demo/log.sqlite3" in zipfile.ZipFile(file).namelist()
    assert run("backup", file) == LOG_FAULTS
    assert "exists already" in capsys.readouterr().err


@pytest.mark.sweep
def test_book_check(run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shipped_page = ROOT / "rules" / "book" / "front-drops-hard.toml"
    page = tmp_path / "mine.toml"
    rule = "[[rule]]" + shipped_page.read_text("utf-8").split("[[rule]]")[2]
    page.write_text(rule.replace("drops-hard-big-stand-rebound", "my-own-rule"), encoding="utf-8")
    assert run("book", "check", page) == OK
    assert "Adds: my-own-rule." in capsys.readouterr().out
    page.write_text(rule, encoding="utf-8")
    assert run("book", "check", page) == OK
    assert "Overrides: drops-hard-big-stand-rebound." in capsys.readouterr().out
    page.write_text(rule.replace('stand = "big"', 'stand = "none"'), encoding="utf-8")
    assert run("book", "check", page) == BOOK_FAULTS
    assert "stays silent" in capsys.readouterr().err


def test_book_check_refuses_what_is_no_page(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "mine.toml"
    page.write_text("[[[", encoding="utf-8")
    assert run("book", "check", page) == BOOK_FAULTS
    assert run("book", "check", tmp_path / "none.toml") == BOOK_FAULTS
    assert run("book") == USAGE
    assert "setdown book check FILE" in capsys.readouterr().err


SCREEN_COMMANDS = [[], ["demo"], ["open", "demo"]]


@pytest.mark.parametrize("command", SCREEN_COMMANDS)
def test_without_a_terminal_no_screen_is_drawn(tmp_path: Path, command: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tui.cli", *command, "--data", str(tmp_path / "data")],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert (done.returncode, done.stdout) == (USAGE, "")
    assert "setdown consult CAR.toml --answers FILE" in done.stderr
    assert not (tmp_path / "data").exists()


def test_a_name_the_console_has_no_letters_for_is_no_error(tmp_path: Path) -> None:
    file = tmp_path / "car.toml"
    text = DEMO_FILE.read_text("utf-8").replace("Invented door car", "Erfunden \u8eca")
    file.write_text(text, "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "tui.cli", "check", str(file)],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "cp1252"},
        cwd=ROOT,
        check=False,
    )
    assert (done.returncode, done.stderr) == (OK, b"")
    assert b"Erfunden \\u8eca" in done.stdout


@pytest.mark.parametrize("command", ["schema", "where"])
def test_a_reader_that_has_gone_is_no_error(tmp_path: Path, command: str) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "tui.cli", "--data", str(tmp_path / "data"), command],
        stdout=write,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        check=False,
    )
    os.close(write)
    assert done.stderr == b""
    assert done.returncode == OK
