"""From the command to the first prompt, beside a hello-world of the same framework in the same run.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_start``. It reports and asserts
nothing. Every start is a fresh process in a terminal of its own; it ends when the wanted words are
drawn. CPU is the process's own, which a busy machine changes less than the time on the wall.
"""

import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from dataclasses import dataclass
from pathlib import Path

from profiles.files import add_car
from profiles.paths import data_folder
from tests.support.big_log import DEMO, big_log, write_log

STARTS = int(os.environ.get("STARTS", "9"))
PASSES = 10_000
LONGEST_S = 100.0
HELLO = """
from textual.app import App
from textual.widgets import Static

class Hello(App):
    def compose(self):
        yield Static("hello, world")

Hello().run(mouse=False)
"""
SETDOWN = "import sys; from tui.cli import main; sys.exit(main())"


@dataclass(frozen=True)
class Start:
    """One start: CPU of the process [s], time on the wall [s], the most memory it held [MB]."""

    cpu_s: float
    wall_s: float
    memory_mb: float


def started(code: str, wanted: bytes, *arguments: str) -> Start:
    """Start a program in a terminal of 80x24 and end it once the wanted words are drawn.

    Raises:
        RuntimeError: they were not drawn.
    """
    begun = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm-256color"
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # An installed program is compiled.
        os.execv(sys.executable, [sys.executable, "-c", code, *arguments])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    drawn = b""
    try:
        while wanted not in drawn and time.perf_counter() - begun < LONGEST_S:
            if select.select([terminal], [], [], 1.0)[0]:
                drawn += os.read(terminal, 65536)
        wall = time.perf_counter() - begun
    except OSError:
        wall = LONGEST_S
    finally:
        os.kill(child, signal.SIGKILL)
        _, _, used = os.wait4(child, 0)
        os.close(terminal)
    if wanted not in drawn:
        raise RuntimeError(f"not drawn: {wanted!r} in {drawn[-2000:]!r}")
    return Start(used.ru_utime + used.ru_stime, wall, used.ru_maxrss / 1024)


def folder_with(root: Path, passes: int) -> tuple[str, str, str, str]:
    """Make a data folder with the invented car and so many passes; return how it is opened."""
    folder = data_folder(root)
    car = add_car(folder, DEMO)
    path = folder.log_file(car.id)
    whole = list(big_log(max(passes, 1), car))
    write_log(path, whole if passes else whole[:4])
    return "--data", str(root), "open", car.id


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as work:
        empty = folder_with(Path(work) / "empty", 0)
        full = folder_with(Path(work) / "full", PASSES)
        first = started(SETDOWN, b"Next: a pass", *full)
        print(f"{PASSES} passes, read from the log: {first.cpu_s:.2f} s of CPU,", end=" ")
        print(f"{first.memory_mb:.0f} MB")
        rows = {
            "hello, world": lambda: started(HELLO, b"hello, world"),
            "first prompt, no pass yet": lambda: started(SETDOWN, b"what did the car do", *empty),
            f"first prompt, {PASSES} passes": lambda: started(SETDOWN, b"Next: a pass", *full),
        }
        found: dict[str, list[Start]] = {name: [] for name in rows}
        for _ in range(STARTS):
            for name, start in rows.items():
                found[name].append(start())
    print(f"load {os.getloadavg()[0]:.1f}; the median of {STARTS} starts, and against hello, world")
    base = found["hello, world"]
    for name, ones in found.items():
        cpu, wall = (
            statistics.median(getattr(o, key) for o in ones) for key in ("cpu_s", "wall_s")
        )
        by_cpu = cpu / statistics.median(one.cpu_s for one in base)
        by_wall = wall / statistics.median(one.wall_s for one in base)
        print(
            f"{name:32s} CPU {cpu * 1000:6.0f} ms {by_cpu:5.2f}   wall {wall * 1000:6.0f} ms "
            f"{by_wall:5.2f}   {max(one.memory_mb for one in ones):5.0f} MB"
        )


if __name__ == "__main__":
    main()
