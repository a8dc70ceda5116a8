"""Kills and failures at every step of whatever writes, counted.

Run by ``PYTHONPATH=. python tests/bench/report_trust.py``.
Each round walks every operation through all its steps, once killed and once with a full disk.
"""

import argparse
import contextlib
import io
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.support.operations import OPERATIONS
from tests.tui.commands.test_grief import failing_at, killed_at, walked


def main() -> None:
    """Walk until so many kills and failures are counted; the first that loses anything raises."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--least", type=int, default=1000, help="kills and failures in all")
    least = parser.parse_args().least
    kills = failures = 0
    while kills + failures < least:
        for name in OPERATIONS:
            with TemporaryDirectory() as work, contextlib.redirect_stdout(io.StringIO()):
                said = io.StringIO()
                with contextlib.redirect_stderr(said):
                    walk = walked(name, Path(work))
                    for number in range(1, walk.steps + 1):
                        killed_at(walk, number)
                        failing_at(walk, number)
                assert "Traceback" not in said.getvalue(), said.getvalue()
            kills, failures = kills + walk.steps, failures + walk.steps
            print(f"{name:<14} {walk.steps:>4} steps: 0 lost, 0 doubled, 0 half", flush=True)
    print(f"{kills} kills and {failures} failures: 0 lost, 0 doubled, 0 tracebacks")


if __name__ == "__main__":
    main()
