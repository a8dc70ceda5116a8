"""A data folder on a disk that takes no more writes: all that only reads still works."""

import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from drive import make_desk

from profiles.files import SHIPPED_CARS, add_car
from profiles.paths import data_folder
from tui.commands.stop import LOG_FAULTS, OK

ROOT = Path(__file__).parents[2]
APART = ["unshare", "--map-root-user", "--mount"]
MOUNT = 'mount --bind -o ro "$0" "$0" && exec "$@"'


def can_mount() -> bool:
    """Tell whether a folder can be made read-only here for one program alone."""
    if shutil.which("unshare") is None:
        return False
    command = [*APART, "sh", "-c", MOUNT, str(ROOT), "true"]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


pytestmark = pytest.mark.skipif(not can_mount(), reason="no folder can be mounted here")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a car, its log and a rule page."""
    folder = data_folder(tmp_path / "data")
    add_car(folder, SHIPPED_CARS / "demo.toml")
    make_desk(folder.log_file("demo")).log.close()
    page = folder.home / "rules" / "mine.toml"
    page.parent.mkdir()
    text = (ROOT / "rules" / "book" / "front-drops-hard.toml").read_text("utf-8")
    rule = "[[rule]]" + text.split("[[rule]]")[2]
    page.write_text(rule.replace("drops-hard-big-stand-rebound", "my-own-rule"), "utf-8")
    return folder.root


def run(data: Path, *args: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a command with its data folder on a read-only mount."""
    program = [sys.executable, "-m", "tui.cli", *map(str, args), "--data", str(data)]
    command = [*APART, "sh", "-c", MOUNT, str(data), *program]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT)


def test_where_and_cars(data: Path) -> None:
    done = run(data, "where")
    assert (done.returncode, done.stderr) == (OK, "")
    done = run(data, "cars")
    assert (done.returncode, done.stdout) == (OK, "demo\n")


def test_a_backup_is_made_of_it(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "rescue.zip"
    done = run(data, "backup", file)
    assert (done.returncode, done.stderr) == (OK, "")
    assert "1 logs with 4 events, each read back." in done.stdout
    assert "real/cars/demo/log.sqlite3" in zipfile.ZipFile(file).namelist()


@pytest.mark.long
def test_consult_reads_the_rules_there(data: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text("", "utf-8")
    car = SHIPPED_CARS / "demo.toml"
    done = run(data, "consult", car, "--answers", answers, "--json")
    assert (done.returncode, done.stderr) == (OK, "")
    plain = run(tmp_path, "consult", car, "--answers", answers, "--json")
    assert json.loads(done.stdout)["book"] != json.loads(plain.stdout)["book"]


@pytest.mark.sweep
def test_an_export_and_a_sheet_are_made_of_it(data: Path, tmp_path: Path) -> None:
    done = run(data, "sheet", "demo")
    assert (done.returncode, done.stderr) == (OK, "")
    done = run(data, "export", "demo", "--json", tmp_path / "all.json")
    assert (done.returncode, done.stderr) == (OK, "")
    table = tmp_path / "invented.csv"
    table.write_text("Date,60 ft\n2031-05-04,1.312\n", "utf-8")
    done = run(data, "import", "demo", table)
    assert (done.returncode, done.stderr) == (OK, "")


def test_what_writes_says_that_it_cannot(data: Path) -> None:
    done = run(data, "add", SHIPPED_CARS / "leaf-metric.toml")
    assert done.returncode == LOG_FAULTS
    assert "cars: cannot be used (it is read-only)" in done.stderr


def test_a_card_is_written_elsewhere(data: Path, tmp_path: Path) -> None:
    done = run(data, "card", "demo", "--md", tmp_path / "card.md")
    assert (done.returncode, done.stderr) == (OK, "")
    assert (tmp_path / "card.md").read_text("utf-8")


def test_the_car_opens_to_be_looked_at(data: Path) -> None:
    """On the real thing: log and device refuse to be written, and the state says why."""
    look = (
        "import sys; from datetime import datetime, UTC; from pathlib import Path; "
        "from profiles.open_windows import Window, open_window; "
        "from profiles.opened_log import open_or_look; from profiles.paths import data_folder; "
        "from rules.book import shipped; from tui.opening import open_car; "
        "folder = data_folder(Path(sys.argv[1]), write=False); "
        "me = Window('ann on pit', datetime.now(UTC)); "
        "log = open_or_look(folder, 'demo', me); "
        "opened = open_car(folder, 'demo', log, shipped()); "
        "print(opened.desk.prompt.notice, opened.pages[0][0], log.state.events)"
    )
    command = [*APART, "sh", "-c", MOUNT, str(data), sys.executable, "-c", look, str(data)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT)
    said = "Read-only: this disk or folder takes no writes. This log can only be looked at 4\n"
    assert (done.stdout, done.stderr) == (said, "")


def test_a_full_disk_opens_to_be_looked_at(data: Path, tmp_path: Path) -> None:
    """A small disk in memory, filled up behind the log."""
    look = (
        "import sys; from datetime import datetime, UTC; from pathlib import Path; "
        "from profiles.open_windows import Window; from profiles.opened_log import open_or_look; "
        "from profiles.paths import data_folder; "
        "folder = data_folder(Path(sys.argv[1]), write=False); "
        "log = open_or_look(folder, 'demo', Window('ann on pit', datetime.now(UTC))); "
        "print(log.state.held.why, log.state.events); (Path(sys.argv[1]) / 'fill').unlink(); "
        "log.answer_here(); print(log.state.held)"
    )
    fill = (
        'mount -t tmpfs -o size=400k none "$0" && cp -r "$1/." "$0" && '
        '{ cat /dev/zero > "$0/fill" 2>/dev/null || true; } && shift && exec "$@"'
    )
    disk = tmp_path / "disk"
    disk.mkdir()
    command = [*APART, "sh", "-c", fill, str(disk), str(data), sys.executable, "-c", look]
    done = subprocess.run(
        [*command, str(disk)], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.stderr == ""
    assert done.stdout == "Read-only: the disk is full. Make room on it, then try again. 4\nNone\n"
