"""What is written is the same in every process, in whatever order its sets come there."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def written(folder: Path, seed: int) -> list[str]:
    folder.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "tests.support.written_bytes", str(folder)],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": str(seed)},
    )
    return done.stdout.splitlines()


@pytest.mark.long
def test_two_processes_write_the_same_bytes(tmp_path: Path) -> None:
    one, other = (written(tmp_path / str(seed), seed) for seed in (1, 2))
    assert any(line.startswith(".long.sqlite3.fold ") for line in one)
    assert one == other
