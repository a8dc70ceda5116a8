"""Car files: read into SI, and every byte kept."""

from pathlib import Path

import pytest

from profiles.files import (
    SHIPPED_CARS,
    CarFileError,
    add_car,
    car_before,
    load_car,
    read_car,
    take_back,
)
from profiles.paths import DataFolder, DataFolderError

CORE = 'id = "c"\nname = "C"\nunits = "us"\nrear_suspension = "other"\n'


@pytest.mark.parametrize("path", sorted(SHIPPED_CARS.glob("*.toml")), ids=lambda path: path.stem)
def test_a_shipped_car_loads(path: Path) -> None:
    assert load_car(path).invented


def test_numbers_are_read_into_si() -> None:
    car = load_car(SHIPPED_CARS / "demo.toml")
    assert car.masses.total_kg == pytest.approx(3200 * 0.45359237)
    assert car.geometry.wheelbase_m == pytest.approx(108 * 0.0254)


def test_a_byte_order_mark_and_other_line_ends_are_no_fault() -> None:
    assert read_car(b"\xef\xbb\xbf" + CORE.replace("\n", "\r\n").encode(), "car.toml").id == "c"


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(CarFileError, match="the file: found no such file or directory"):
        load_car(tmp_path / "none.toml")
    with pytest.raises(CarFileError, match="the file: found is a directory"):
        load_car(tmp_path)


def test_a_car_is_kept_byte_for_byte(folder: DataFolder, tmp_path: Path) -> None:
    source = tmp_path / "mine.toml"
    source.write_bytes(b"\xef\xbb\xbf# my notes\r\n" + CORE.replace("\n", "\r\n").encode())
    car = add_car(folder, source)
    kept = folder.car_file(car.id)
    assert kept.read_bytes() == source.read_bytes()
    assert [path.name for path in kept.parent.iterdir()] == ["car.toml"]


def test_the_file_before_is_kept_once(folder: DataFolder, tmp_path: Path) -> None:
    source = tmp_path / "mine.toml"
    for note in ("one", "two", "three", "three"):
        source.write_text(f"# {note}\n{CORE}", "utf-8")
        add_car(folder, source)
    kept = folder.car_file("c")
    assert kept.read_text("utf-8").startswith("# three")
    assert kept.with_name("car.toml.previous").read_text("utf-8").startswith("# two")
    assert len(list(kept.parent.iterdir())) == 2


def test_the_file_before_comes_back_byte_for_byte_and_goes_again(
    folder: DataFolder, tmp_path: Path
) -> None:
    source = tmp_path / "mine.toml"
    for note in ("one", "two"):
        source.write_text(f"# {note}\n{CORE}", "utf-8")
        add_car(folder, source)
    kept = folder.car_file("c")
    for now, before in (("one", "two"), ("two", "one")):
        assert take_back(folder, "c").id == "c"
        assert kept.read_text("utf-8").startswith(f"# {now}")
        assert kept.with_name("car.toml.previous").read_text("utf-8").startswith(f"# {before}")


@pytest.mark.parametrize(
    ("before", "named"),
    [
        (None, "the file before: found none; wanted an edit to take back"),
        (CORE + "zz = 1", "zz"),
        ("[[[", "line 1"),
        (CORE.replace('"c"', '"other"'), "id: found other; wanted c, which its log goes by"),
    ],
    ids=["none", "faults", "no TOML", "another car"],
)
def test_a_file_before_that_cannot_be_used_stays_where_it_is(
    folder: DataFolder, tmp_path: Path, before: str | None, named: str
) -> None:
    source = tmp_path / "mine.toml"
    source.write_text(CORE, "utf-8")
    add_car(folder, source)
    kept = folder.car_file("c")
    if before is not None:
        kept.with_name("car.toml.previous").write_text(before, "utf-8")
    for asked in (car_before, take_back):
        with pytest.raises(CarFileError, match=named):
            asked(folder, "c")
    assert kept.read_text("utf-8") == CORE


def test_a_faulty_file_changes_nothing(folder: DataFolder, tmp_path: Path) -> None:
    source = tmp_path / "mine.toml"
    source.write_text(CORE, "utf-8")
    add_car(folder, source)
    source.write_text(CORE + "zz = 1", "utf-8")
    with pytest.raises(CarFileError):
        add_car(folder, source)
    kept = folder.car_file("c")
    assert kept.read_text("utf-8") == CORE
    assert [path.name for path in kept.parent.iterdir()] == ["car.toml"]


def test_a_place_that_cannot_be_written_is_named(folder: DataFolder, tmp_path: Path) -> None:
    source = tmp_path / "mine.toml"
    source.write_text(CORE, "utf-8")
    (folder.home / "cars" / "c").write_text("in the way", "utf-8")
    with pytest.raises(DataFolderError, match=r"car\.toml: cannot be written \(Not a folder\)"):
        add_car(folder, source)
