"""What each page and each command costs on a log of very many passes, every one a fresh process.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_scale 1000 10000``. It reports
and asserts nothing. CPU and the most memory are the process's own, which a busy machine changes
less than the time on the wall; what it costs a pass says whether it grows faster than the log.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from itertools import islice
from pathlib import Path
from shutil import copytree
from uuid import uuid4

from profiles.files import add_car
from profiles.logbook import Logbook
from profiles.paths import data_folder
from profiles.snapshot import snapshot_file
from rules.log.events.meeting import NoteAdded
from tests.support.big_log import DEMO, START, big_log, write_log

COMMAND = "import sys; from tui.cli import main; sys.exit(main())"
PASSES = (1000, 10_000)
LATER = START + timedelta(days=40_000)


def _open(log: Path) -> None:
    Logbook.open(log, "bench", create=False).close()


def _log_page(log: Path, most: int | None) -> None:
    from rules.book import shipped
    from tui.desk import Desk
    from tui.pages.log_pages import pages

    desk = Desk(Logbook.open(log, "bench", create=False), shipped())
    rows = sum(len(page.rows) for page in islice(pages(desk), most))
    print(f"{rows} rows", file=sys.stderr)


def _verdict_page(log: Path) -> None:
    from rules.book import shipped
    from tui.pages.verdict import verdict_pages

    state = Logbook.open(log, "bench", create=False).state
    verdict_pages(state, shipped())[0].lines(80, 24)


TASKS: dict[str, Callable[[Path], None]] = {
    "opened from the start of its log": _open,
    "opened from its snapshot": _open,
    "the verdict page": _verdict_page,
    "the log's table, its first page": lambda log: _log_page(log, 1),
    "the log's table, all of it": lambda log: _log_page(log, None),
}


def _folder(root: Path, passes: int) -> Path:
    """Make a data folder with the invented car and so many passes; return where its log lies."""
    folder = data_folder(root)
    car = add_car(folder, DEMO)
    path = folder.log_file(car.id)
    write_log(path, big_log(passes, car))
    return path


def _parted(root: Path, other: Path) -> None:
    """Copy a data folder, and note something on both, so that each has what the other has not."""
    copytree(root, other)
    for which, device in ((root, "bench"), (other, "other-laptop")):
        with Logbook.open(data_folder(which).log_file("demo"), device, create=False) as log:
            log.append([NoteAdded(text=f"Noted on {device}")], now=LATER, ids=uuid4)


def _measured(name: str, passes: int, *arguments: str) -> None:
    begun = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    told = child.stderr.read().decode() if child.stderr else ""
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = status
    cpu = used.ru_utime + used.ru_stime
    print(
        f"{passes:6d}  {name:34s} CPU {cpu:7.2f} s, {1000.0 * cpu / passes:5.2f} ms a pass;  "
        f"wall {time.perf_counter() - begun:7.2f} s;  {used.ru_maxrss / 1024:5.0f} MB"
        f"{f'  FAILED: {told[-200:]}' if status else ''}",
        flush=True,
    )


def _is_named(name: str, named: list[str]) -> bool:
    return any(one in name for one in named)


def measure(passes: int, work: Path, named: list[str]) -> None:
    """Print what each costs at so many passes, those whose name has one of the `named` in it."""
    root, other = work / "ours", work / "theirs"
    log = _folder(root, passes)
    snapshot_file(log).unlink(missing_ok=True)
    for name in TASKS:
        if _is_named(name, [*named, "start of its log"]):
            task = ("--task", name, "--log", str(log))
            _measured(name, passes, "-m", "tests.bench.bench_scale", *task)
    _parted(root, other)
    demo = ("demo", "--data", str(root))
    commands = {
        "export --json": ("export", *demo, "--json", str(work / "log.json")),
        "export --csv": ("export", *demo, "--csv", str(work / "csv")),
        "sheet": ("sheet", *demo, "--md", str(work / "sheet.md")),
        "merge, only shown": ("merge", *demo, str(other)),
        "merge --store": ("merge", *demo, str(other), "--store"),
        "opened after the merge": (),
    }
    for name, command in commands.items():
        if _is_named(name, named) and command:
            _measured(name, passes, "-c", COMMAND, *command)
        elif _is_named(name, named):
            task = ("--task", "opened from its snapshot", "--log", str(log))
            _measured(name, passes, "-m", "tests.bench.bench_scale", *task)


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("passes", type=int, nargs="*", default=PASSES)
    ask.add_argument("--only", nargs="*", default=[""], help="what has one of these in its name")
    ask.add_argument("--task", choices=TASKS, help=argparse.SUPPRESS)
    ask.add_argument("--log", type=Path, help=argparse.SUPPRESS)
    told = ask.parse_args()
    if told.task is not None:
        TASKS[told.task](told.log)
        return
    print(f"load {os.getloadavg()[0]:.1f}")
    for passes in told.passes:
        with tempfile.TemporaryDirectory() as work:
            measure(passes, Path(work), told.only)


if __name__ == "__main__":
    main()
