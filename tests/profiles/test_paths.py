"""Where things live."""

import os
from pathlib import Path

import pytest

from profiles.files import SHIPPED_CARS, add_car
from profiles.paths import DataFolder, DataFolderError, data_folder


def test_the_users_own_folder_is_the_default(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("profiles.paths.user_data_path", lambda *_, **__: tmp_path / "own")
    assert data_folder().home == tmp_path / "own" / "real"


def test_real_and_demonstration_data_never_mix(tmp_path: Path) -> None:
    real, demo = data_folder(tmp_path), data_folder(tmp_path, demo=True)
    add_car(demo, SHIPPED_CARS / "demo.toml")
    assert demo.cars() == ["demo"]
    assert real.cars() == []
    assert real.log_file("demo") != demo.log_file("demo")


def test_each_car_has_its_file_and_its_log(folder: DataFolder) -> None:
    assert folder.car_file("my-car") == folder.home / "cars" / "my-car" / "car.toml"
    assert folder.log_file("my-car") == folder.home / "cars" / "my-car" / "log.sqlite3"


def test_a_folder_without_a_car_file_is_no_car(folder: DataFolder) -> None:
    (folder.home / "cars" / "empty").mkdir()
    assert folder.cars() == []


@pytest.mark.parametrize("car_id", ["", "..", "../x", "a/b", "A", "a\n", "/", "a\x00"])
def test_an_id_cannot_lead_out_of_the_folder(folder: DataFolder, car_id: str) -> None:
    with pytest.raises(DataFolderError, match="not the id of a car"):
        folder.car_file(car_id)


@pytest.mark.parametrize("car_id", ["con", "nul", "com1", "lpt9"])
def test_an_id_is_no_device_of_windows(folder: DataFolder, car_id: str) -> None:
    with pytest.raises(DataFolderError, match="Windows can have no folder of this name"):
        folder.log_file(car_id)
    assert folder.car_file(f"{car_id} 2").parent.name == f"{car_id} 2"


def test_what_only_reads_makes_nothing(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "none", write=False)
    assert folder.cars() == []
    assert folder.own_rules() == {}
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").write_text("in the way", "utf-8")
    with pytest.raises(DataFolderError, match=r"file: cannot be used \(Not a folder\)"):
        data_folder(tmp_path / "file", write=False)


def test_a_file_in_place_of_the_cars_is_named(folder: DataFolder) -> None:
    (folder.home / "cars").rmdir()
    (folder.home / "cars").write_text("in the way", "utf-8")
    with pytest.raises(DataFolderError, match="cars: cannot be used"):
        folder.cars()


def test_the_device_keeps_its_name(folder: DataFolder) -> None:
    device = folder.device_id()
    assert len(device) == 32
    assert DataFolder(folder.root, demo=True).device_id() == device


@pytest.mark.parametrize("content", [b"", b"not hex\n", b"\xff\xfe"])
def test_a_spoilt_device_file_is_made_anew(folder: DataFolder, content: bytes) -> None:
    (folder.root / "device").write_bytes(content)
    device = folder.device_id()
    assert folder.device_id() == device


def test_devices_differ(tmp_path: Path) -> None:
    one, other = DataFolder(tmp_path / "a"), DataFolder(tmp_path / "b")
    assert one.device_id() != other.device_id()


def test_own_rules_are_the_pages_of_their_folder(folder: DataFolder) -> None:
    assert folder.own_rules() == {}
    rules = folder.home / "rules"
    rules.mkdir()
    (rules / "b.toml").write_text("b = 1", "utf-8")
    (rules / "a.toml").write_bytes(b"\xef\xbb\xbfa = 'gr\xc3\xbcn'")
    (rules / "notes.txt").write_text("no page", "utf-8")
    assert folder.own_rules() == {"a.toml": "a = 'grün'", "b.toml": "b = 1"}


def test_a_rule_page_that_is_not_text_is_named(folder: DataFolder) -> None:
    (folder.home / "rules").mkdir()
    page = folder.home / "rules" / "bad.toml"
    page.write_bytes(b"\xff")
    with pytest.raises(DataFolderError, match=r"bad\.toml: line 1: found bytes that are not UTF-8"):
        folder.own_rules()


def test_a_file_in_place_of_the_folder_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", "utf-8")
    with pytest.raises(DataFolderError, match=r"file: cannot be used \(Not a folder\)"):
        data_folder(tmp_path / "file")


def test_a_folder_in_place_of_the_device_file_is_named(folder: DataFolder) -> None:
    (folder.root / "device").mkdir()
    with pytest.raises(DataFolderError, match="device: cannot be used"):
        folder.device_id()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="may write anywhere")
def test_a_read_only_folder_is_named(tmp_path: Path) -> None:
    data_folder(tmp_path)
    cars = tmp_path / "real" / "cars"
    cars.chmod(0o500)
    try:
        with pytest.raises(DataFolderError, match=r"cars: cannot be used \(it is read-only\)"):
            data_folder(tmp_path)
    finally:
        cars.chmod(0o700)
