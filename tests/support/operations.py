"""What a crew does that writes, each on a data folder of its own, and what must hold afterwards."""

import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from profiles.backup import backup
from profiles.edit_car import edit_car
from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.logfile import LogError
from profiles.only_read import read_log
from profiles.paths import DataFolder, DataFolderError, data_folder
from rules.book import shipped
from rules.car.edits import Edit
from rules.crew.actions import ACTION
from rules.units import Quantity
from tui.cli import main
from tui.desk import Desk

GOLDEN = Path(__file__).parents[1] / "golden"
# The golden logs were written by a clock that is ahead of today's.
LATER = datetime.fromisoformat("2031-05-05T10:00:00+00:00")
CSV = "date,60-foot\n2026-05-04,1.412\n2026-05-05,1.418\n"
Run = Callable[[Path], None]


class Refused(Exception):  # noqa: N818 - what a crew is told, not an error of the tests
    """The operation said in words that it could not be done."""


@dataclass(frozen=True)
class Operation:
    """One thing that writes.

    run: does it in a work folder that holds `data` and what `prepared` lays beside it.
    again: whether it can be done once more after it was done.
    """

    run: Run
    again: bool = True


def prepared(work: Path) -> None:
    """Lay out a data folder with a car, a golden log and a backup, and files to take in."""
    folder = data_folder(work / "data")
    folder.device_id()
    add_car(folder, SHIPPED_CARS / "demo.toml")
    shutil.copy(GOLDEN / "log-5.sqlite3", folder.log_file("demo"))
    for side in ("left", "right"):
        knob = f"{side} front rebound"
        _noted({"action": "recount", "adjuster": knob, "found": "11"})(work)
    (folder.home / "rules").mkdir()
    backup(folder, work / "kept.zip")
    (work / "passes.csv").write_text(CSV)
    shutil.copy(GOLDEN / "log-5.sqlite3", work / "other.sqlite3")
    with Logbook.open(work / "other.sqlite3", "other") as log:
        desk = Desk(log, shipped(), clock=lambda: LATER)
        desk.act(ACTION.validate_python({"action": "note", "text": "from the other laptop"}))


def _command(*words: str) -> Run:
    def run(work: Path) -> None:
        filled = [word.replace("WORK", str(work)) for word in words]
        if main(["--data", str(work / "data"), *filled]):
            raise Refused(" ".join(words))

    return run


def _noted(action: Mapping[str, object]) -> Run:
    def run(work: Path) -> None:
        path = data_folder(work / "data").log_file("demo")
        try:
            with Logbook.open(path, "tests") as log:
                desk = Desk(log, shipped(), clock=lambda: LATER)
                desk.act(ACTION.validate_python(action))
        except LogError as error:
            raise Refused(str(error)) from None

    return run


def _edited(work: Path) -> None:
    edit = Edit(("geometry", "wheelbase"), 2.75, "wheelbase", quantity=Quantity.LENGTH)
    try:
        edit_car(data_folder(work / "data"), "demo", [edit])
    except DataFolderError as error:
        raise Refused(str(error)) from None


OPERATIONS: Mapping[str, Operation] = {
    "note": Operation(_noted({"action": "note", "text": "wind"})),
    "recount": Operation(
        _noted({"action": "recount", "adjuster": "left front rebound", "found": "12"})
    ),
    "baseline": Operation(_noted({"action": "declare baseline", "name": "Friday"})),
    "put back": Operation(_noted({"action": "put back to baseline", "knowing": True}), again=False),
    "add a car": Operation(_command("add", str(SHIPPED_CARS / "leaf-metric.toml"))),
    "edit the car": Operation(_edited),
    "import": Operation(
        _command("import", "demo", "WORK/passes.csv", "--column", "date=date", "--store")
    ),
    "merge": Operation(_command("merge", "demo", "WORK/other.sqlite3", "--store")),
    "export": Operation(
        _command("export", "demo", "--csv", "WORK/out", "--json", "WORK/all.json", "--force")
    ),
    "card": Operation(_command("card", "demo", "--html", "WORK/card.html", "--force")),
    "backup": Operation(_command("backup", "WORK/new.zip"), again=False),
    "restore": Operation(_command("restore", "WORK/kept.zip")),
}
"""By name, whatever writes; the screens write by the first three."""


def logs_of(root: Path) -> dict[str, tuple[str, ...]]:
    """Return the ids of every log's events, in order; reading it as a crew's next start would."""
    found = {}
    for path in sorted(root.rglob("log.sqlite3")):
        if path.stat().st_size:
            found[str(path.relative_to(root))] = tuple(one.id.hex for one in read_log(path))
    return found


def files_of(root: Path) -> dict[str, bytes]:
    """Return what every other file holds; hidden ones are nobody's but the program's."""
    return {
        str(one.relative_to(root)): one.read_bytes()
        for one in sorted(root.rglob("*"))
        if one.is_file() and not one.name.startswith(".") and ".sqlite3" not in one.name
    }


def folder(work: Path) -> DataFolder:
    """Return the data folder as the next start finds it, which finishes what was cut off."""
    return data_folder(work / "data")
