"""Whatever statement a program dies or fails at, what was committed is there and nothing else."""

import multiprocessing
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from profiles.logbook import Logbook
from profiles.logfile import LogError, copy_log
from rules.log.events.meeting import NoteAdded

Ids = Callable[[], UUID]
ANSWERS = 3
TEXT = "x" * 9000
DIED = 86

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is made by fork")


class Doomed(sqlite3.Connection):
    """A connection that comes to grief at one of its statements."""

    left = 0
    grief: Callable[[], None] = os.abort

    def execute(self, *arguments: Any) -> sqlite3.Cursor:
        Doomed.left -= 1
        if Doomed.left == 0:
            Doomed.grief()
        return super().execute(*arguments)


def doom(patch: pytest.MonkeyPatch, statement: int, grief: Callable[[], None]) -> None:
    patch.setattr(Doomed, "left", statement)
    patch.setattr(Doomed, "grief", staticmethod(grief))
    patch.setattr(sqlite3, "connect", partial(sqlite3.connect, factory=Doomed))


def answer(log: Logbook, number: int, now: datetime) -> None:
    """Write one answer of two events, larger than the cache is kept at below."""
    numbers = iter((2 * number + 1, 2 * number + 2))
    bodies = [NoteAdded(text=f"{number} {part} {TEXT}") for part in "ab"]
    log.append(bodies, now=now, ids=lambda: UUID(int=next(numbers)))


def work(path: Path, statement: int, now: datetime) -> None:
    """Write answers and die at a statement; pages reach the disk before the commit does."""
    with pytest.MonkeyPatch.context() as patch:
        doom(patch, statement, lambda: os._exit(DIED))
        with Logbook.open(path, "pit") as log:
            log.connection.execute("PRAGMA cache_size = 1")
            for number in range(ANSWERS):
                answer(log, number, now)
                with path.with_name("said").open("a") as said:
                    said.write(f"{number}\n")
    os._exit(0)


def numbers_in(log: Logbook) -> list[str]:
    return [note.text[:3] for note in log.state.notes]


def wanted(answers: int) -> list[str]:
    return [f"{number} {part}" for number in range(answers) for part in "ab"]


@needs_fork
def test_after_a_crash_at_any_statement_whole_answers_are_there(
    tmp_path: Path, now: datetime
) -> None:
    half_written = 0
    for statement in count(1):
        path = tmp_path / str(statement) / "log.sqlite3"
        path.parent.mkdir()
        child = multiprocessing.get_context("fork").Process(
            target=work, args=(path, statement, now)
        )
        child.start()
        child.join()
        assert child.exitcode in (0, DIED)
        said = path.with_name("said")
        half_written += path.with_name("log.sqlite3-journal").exists()
        kept = len(said.read_text().splitlines()) if said.exists() else 0
        with Logbook.open(path, "pit") as log:
            assert numbers_in(log) == wanted(kept)
            for number in range(ANSWERS):
                answer(log, number, now)
            assert numbers_in(log) == wanted(ANSWERS)
        if child.exitcode == 0:
            assert half_written > ANSWERS
            return


def leave_half_written(path: Path) -> None:
    """Leave file and journal as a power cut does: rows on the disk and no commit."""
    live = path.with_name("live")
    path.rename(live)
    with closing(sqlite3.connect(live, isolation_level=None)) as database:
        database.execute("PRAGMA cache_size = 1")
        database.execute("BEGIN")
        for number in range(20):
            database.execute("INSERT INTO other VALUES (?, ?)", (number, TEXT))
        header = bytearray(live.read_bytes())
        header[28:32] = (10_000).to_bytes(4, "big")  # The number of pages.
        path.write_bytes(header)
        path.with_name(f"{path.name}-journal").write_bytes(
            live.with_name("live-journal").read_bytes()
        )
        database.execute("ROLLBACK")
    live.unlink()


def test_a_log_torn_by_a_power_cut_opens_as_of_its_last_commit(
    tmp_path: Path, now: datetime
) -> None:
    path = tmp_path / "log.sqlite3"
    with Logbook.open(path, "pit") as log:
        answer(log, 0, now)
        log.connection.execute("CREATE TABLE other (a, b)")
    leave_half_written(path)
    with Logbook.open(path, "pit") as log:
        assert numbers_in(log) == wanted(1)
        assert log.connection.execute("SELECT count(*) FROM other").fetchone() == (0,)


def test_a_torn_log_is_copied_as_of_its_last_commit_and_left_as_it_is(
    tmp_path: Path, now: datetime
) -> None:
    path = tmp_path / "data" / "log.sqlite3"
    path.parent.mkdir()
    with Logbook.open(path, "pit") as log:
        answer(log, 0, now)
        log.connection.execute("CREATE TABLE other (a, b)")
    leave_half_written(path)
    before = {file.name: file.read_bytes() for file in path.parent.iterdir()}
    assert copy_log(path, tmp_path / "copy.sqlite3") == 2
    assert {file.name: file.read_bytes() for file in path.parent.iterdir()} == before
    with Logbook.open(tmp_path / "copy.sqlite3", "pit", create=False) as copy:
        assert numbers_in(copy) == wanted(1)
        assert copy.connection.execute("SELECT count(*) FROM other").fetchone() == (0,)


def test_a_torn_database_of_another_program_is_left_to_it(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE other (a, b)")
    leave_half_written(path)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    with pytest.raises(LogError, match="this is not a log of Setdown"):
        Logbook.open(path, "pit")
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_after_a_failure_at_any_statement_the_answer_can_be_given_again(
    tmp_path: Path, now: datetime
) -> None:
    def fail() -> None:
        raise sqlite3.OperationalError("the disk failed")

    for statement in count(1):
        path = tmp_path / f"{statement}.sqlite3"
        with pytest.MonkeyPatch.context() as patch:
            doom(patch, 0, fail)
            with Logbook.open(path, "pit") as log:
                answer(log, 0, now)
                before = log.state
                Doomed.left = statement
                failed = False
                try:
                    answer(log, 1, now)
                except LogError:
                    failed = True
                    unchanged = log.state is before
                    answer(log, 1, now)
                    assert unchanged
                assert numbers_in(log) == wanted(2)
        with Logbook.open(path, "pit") as again:
            assert numbers_in(again) == wanted(2)
        if not failed:
            assert statement > 2
            return
