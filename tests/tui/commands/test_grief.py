"""Whatever writes, killed or failing at any step: nothing is lost, doubled, or left half.

Long: ``LONG_RUN=1 pytest -m sweep tests/tui/commands/test_grief.py``; with its figures:
``PYTHONPATH=. python tests/bench/report_trust.py``.
"""

import multiprocessing
import os
import shutil
import zipfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.support.grief import DIED, die, disk_full, grief_at
from tests.support.operations import (
    OPERATIONS,
    Operation,
    Refused,
    files_of,
    folder,
    logs_of,
    prepared,
)
from tests.support.sample import many

SOME, ALL = 3, 0
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is made by fork")
every = pytest.mark.parametrize("name", OPERATIONS)
how_many = pytest.mark.parametrize(
    "most",
    [pytest.param(SOME, id="some"), pytest.param(many(6, ALL), id="more", marks=pytest.mark.sweep)],
)


@dataclass(frozen=True)
class Stands:
    """What a work folder holds: every log's events, and every other file."""

    logs: dict[str, tuple[str, ...]]
    files: dict[str, bytes]

    @classmethod
    def of(cls, work: Path) -> "Stands":
        """Read it as the next start does."""
        folder(work)
        return cls(logs_of(work / "data"), files_of(work))


@dataclass(frozen=True)
class Walk:
    """One operation, the folder it begins in, and what stands before it and after it."""

    operation: Operation
    fresh: Path
    before: Stands
    after: Stands
    steps: int

    def begin(self, name: str) -> Path:
        """Return a work folder of its own."""
        work = self.fresh.with_name(name)
        shutil.copytree(self.fresh, work)
        return work


@pytest.fixture
def walk(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Walk:
    return walked(name, tmp_path)


def walked(name: str, folder: Path) -> Walk:
    """Prepare an operation, do it once in a copy, and count its steps."""
    fresh, done = folder / "fresh", folder / "done"
    fresh.mkdir()
    prepared(fresh)
    before = Stands.of(fresh)
    shutil.copytree(fresh, done)
    with grief_at(0, die) as steps:
        OPERATIONS[name].run(done)
    return Walk(OPERATIONS[name], fresh, before, Stands.of(done), steps[0])


def numbers(most: int, steps: int) -> list[int]:
    """Return at which steps to come to grief: all of them, or a few spread over them."""
    return (
        [round(1 + n * (steps - 1) / (most - 1)) for n in range(most)]
        if most
        else [*range(1, steps + 1)]
    )


def is_nothing_lost(walk: Walk, work: Path) -> None:
    """Check that all of the operation is there or nothing of it, log by log and file by file."""
    now = Stands.of(work)
    for log in walk.before.logs.keys() | walk.after.logs.keys():
        old, new = (stands.logs.get(log, ()) for stands in (walk.before, walk.after))
        found = now.logs.get(log, ())
        assert found[: len(old)] == old or found == new, f"{log}: lost"
        assert len(set(found)) == len(found), f"{log}: doubled"
        assert len(found) in (len(old), len(new)), f"{log}: half"
    for file in walk.before.files.keys() | now.files.keys():
        old_file, found_file = walk.before.files.get(file), now.files.get(file)
        if file.endswith(".zip") and found_file != old_file:
            with zipfile.ZipFile(work / file) as whole:
                assert whole.testzip() is None
        elif file.startswith("data-before-restore") or file not in walk.after.files:
            continue
        elif found_file != old_file:
            assert found_file == walk.after.files[file], f"{file}: half"


def done_again(walk: Walk, work: Path) -> None:
    if walk.operation.again:
        walk.operation.run(work)
        now = Stands.of(work)
        assert now.logs.keys() == walk.after.logs.keys()


def child(run: Callable[[Path], None], work: Path, number: int) -> None:
    with grief_at(number, die):
        run(work)
    os._exit(0)


@pytest.mark.long
@needs_fork
@every
@how_many
def test_killed(walk: Walk, most: int, capsys: pytest.CaptureFixture[str]) -> None:
    for number in numbers(most, walk.steps):
        killed_at(walk, number)


def killed_at(walk: Walk, number: int) -> None:
    """Kill the operation before a step, start again, and look."""
    work = walk.begin(f"k{number}")
    killed = multiprocessing.get_context("fork").Process(
        target=child, args=(walk.operation.run, work, number)
    )
    killed.start()
    killed.join()
    assert killed.exitcode in (0, DIED)
    is_nothing_lost(walk, work)
    done_again(walk, work)
    shutil.rmtree(work)


@pytest.mark.long
@every
@how_many
def test_a_disk_that_fills(walk: Walk, most: int, capsys: pytest.CaptureFixture[str]) -> None:
    """It is told in words and with a status, and can be done once there is room."""
    for number in numbers(most, walk.steps):
        failing_at(walk, number)
        assert "Traceback" not in capsys.readouterr().err


def failing_at(walk: Walk, number: int) -> None:
    """Let the disk be full at a step, then make room, and look."""
    work = walk.begin(f"f{number}")
    with grief_at(number, disk_full), suppress(Refused):
        walk.operation.run(work)
    is_nothing_lost(walk, work)
    done_again(walk, work)
    shutil.rmtree(work)
