"""A half-described car: kept as a draft, and taken in whole however often it was stopped."""

from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from profiles.backup import backup
from profiles.drafts import draft_name, is_finished, take_in
from profiles.files import load_car
from profiles.logbook import Logbook
from profiles.paths import LOG_FILE, DataFolder
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.rounds import answered, closed, filling, open_field
from rules.log.state import State

NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
ANSWERS = (
    "Invented coupe", "us", "unknown", "no", "unknown", "3200", "108", "full soft", "unknown",
    ("rebound",), "18", "8", ("none",), "no",
)  # fmt: skip


def drafted(folder: DataFolder, answers: int = len(ANSWERS), finish: bool = True) -> State:
    with Logbook.open(folder.draft_log(), "tests") as log:
        for value in ANSWERS[:answers]:
            one = open_field(NEW_CAR, filling(NEW_CAR, log.state))
            assert one is not None
            log.append(answered(NEW_CAR, log.state, one.key, value), now=NOW, ids=uuid4)
        if finish:
            log.append(closed(NEW_CAR, log.state, lambda: "n"), now=NOW, ids=uuid4)
        return log.state


@pytest.fixture
def folder(tmp_path: Path) -> DataFolder:
    return DataFolder(tmp_path / "data")


def test_a_draft_is_not_yet_a_car(folder: DataFolder) -> None:
    state = drafted(folder, 5, finish=False)
    assert draft_name(state) == "Invented coupe"
    assert not is_finished(state)
    assert folder.cars() == []


def test_a_finished_draft_becomes_a_car_with_its_log(folder: DataFolder) -> None:
    state = drafted(folder)
    assert take_in(folder, state) == "invented-coupe"
    assert load_car(folder.car_file("invented-coupe")).name == "Invented coupe"
    assert not folder.draft_log().exists()
    with Logbook.open(folder.log_file("invented-coupe"), "tests", create=False) as log:
        assert log.state.sheets == state.sheets


def test_a_second_car_of_the_same_name_gets_an_id_of_its_own(folder: DataFolder) -> None:
    take_in(folder, drafted(folder))
    first = folder.car_file("invented-coupe").read_bytes()
    assert take_in(folder, drafted(folder)) == "invented-coupe-2"
    assert folder.car_file("invented-coupe").read_bytes() == first


def test_stopped_between_file_and_log_it_goes_on(
    folder: DataFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    state = drafted(folder)

    whole = Path.replace

    def pulled(path: Path, target: Path) -> Path:
        if path.name == LOG_FILE:
            raise KeyboardInterrupt
        return whole(path, target)

    monkeypatch.setattr(Path, "replace", pulled)
    with pytest.raises(KeyboardInterrupt):
        take_in(folder, state)
    monkeypatch.undo()
    assert folder.cars() == ["invented-coupe"]
    assert folder.draft_log().exists()
    assert take_in(folder, state) == "invented-coupe"
    assert folder.cars() == ["invented-coupe"]
    assert folder.log_file("invented-coupe").exists()


def test_a_draft_is_in_the_backup(folder: DataFolder, tmp_path: Path) -> None:
    drafted(folder, 5, finish=False)
    report = backup(folder, tmp_path / "all.zip")
    assert (report.logs, report.events) == (1, 5)
