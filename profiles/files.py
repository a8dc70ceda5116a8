"""Car files: read with all their faults together, and kept byte for byte."""

from pathlib import Path
from typing import TYPE_CHECKING

from profiles.durable import make_folder, write_atomically
from profiles.paths import DataFolder, DataFolderError
from profiles.reading import MOST_TOML_BYTES, FileFaultError, read_bytes, text_of
from profiles.worked_out import worked_out
from rules.car.model import Car
from rules.faults import Fault
from rules.formats import CAR_FORMAT, FormatError, brought_up
from rules.plain_data import PlainDataError, toml

if TYPE_CHECKING:
    from profiles.car_faults import Raw

SHIPPED_CARS = Path(__file__).parent / "cars"
"""The folder of the demonstration cars."""


class CarFileError(ValueError):
    """A car file cannot be used. `faults` holds everything wrong with it."""

    def __init__(self, name: str, faults: list[Fault]) -> None:
        super().__init__("\n".join([f"{name}:", *(f"  {fault}" for fault in faults)]))
        self.name = name
        self.faults = faults


def load_car(path: Path) -> Car:
    """Read a car file.

    Raises:
        CarFileError: with every fault found, or saying why the file cannot be read.
    """
    return read_car(bytes_of(path), path.name)


def opened_car(path: Path) -> Car:
    """Read a kept car file, as it was read before where not a byte of it changed since.

    Raises:
        CarFileError: with every fault found, or saying why the file cannot be read.
    """
    data = bytes_of(path)
    kept = path.with_name(f".{path.name}.read")
    return worked_out(kept, data, Car, lambda: read_car(data, path.name))


def read_car(data: bytes, name: str) -> Car:
    """Read the content of a car file; `name` is what to call it in a message.

    Raises:
        CarFileError: with every fault found.
    """
    # A file that did not change since it was read needs none of this.
    from profiles.car_faults import read_fields
    from profiles.car_stand_in import stand_in
    from rules.car.checks import cross_faults

    raw = _parse(data, name)
    reading = read_fields(raw)
    car = stand_in(raw, reading.spoilt, reading.system)
    faults = reading.faults + (cross_faults(car) if car else [])
    if car is None or faults:
        raise CarFileError(name, faults)
    return car


def add_car(folder: DataFolder, path: Path) -> Car:
    """Check a car file and keep it unchanged in the data folder, with the one before beside it.

    Raises:
        CarFileError: with every fault found; nothing is written.
        DataFolderError: if the folder cannot be written; the car kept there still stands.
    """
    data = bytes_of(path)
    car = read_car(data, path.name)
    keep_car(folder, car.id, data)
    return car


def keep_car(folder: DataFolder, car_id: str, data: bytes) -> None:
    """Keep a checked car file in the data folder, with the one before beside it.

    Raises:
        DataFolderError: if the folder cannot be written; the car kept there still stands.
    """
    target = folder.car_file(car_id)
    try:
        make_folder(target.parent)
        before = target.read_bytes() if target.exists() else data
        if before != data:
            write_atomically(_previous(target), before)
        if before != data or not target.exists():
            write_atomically(target, data)
    except OSError as error:
        reason = error.strerror or error
        raise DataFolderError(f"{target}: cannot be written ({reason})") from error


def car_before(folder: DataFolder, car_id: str) -> Car:
    """Read the car file that stood before the last edit.

    Raises:
        CarFileError: if there is none, with every fault of it, or if it is another car's.
    """
    return _before(folder, car_id)[0]


def take_back(folder: DataFolder, car_id: str) -> Car:
    """Put the file before in place of the kept car file, which is the file before from then on.

    Raises:
        CarFileError: if there is no file before, or it has faults; nothing is written.
        DataFolderError: if the folder cannot be written; the car kept there still stands.
    """
    car, data = _before(folder, car_id)
    keep_car(folder, car_id, data)
    return car


def _before(folder: DataFolder, car_id: str) -> tuple[Car, bytes]:
    path = _previous(folder.car_file(car_id))
    if not path.exists():
        raise CarFileError(path.name, [Fault("the file before", "none", "an edit to take back")])
    data = bytes_of(path)
    car = read_car(data, path.name)
    if car.id != car_id:
        raise CarFileError(path.name, [Fault("id", car.id, f"{car_id}, which its log goes by")])
    return car, data


def _previous(path: Path) -> Path:
    return path.with_name(f"{path.name}.previous")


def bytes_of(path: Path) -> bytes:
    """Return the content of a car file.

    Raises:
        CarFileError: saying why it cannot be read.
    """
    try:
        return read_bytes(path, MOST_TOML_BYTES)
    except FileFaultError as error:
        raise CarFileError(path.name, [error.fault]) from None


def _parse(data: bytes, name: str) -> "Raw":
    from profiles.car_faults import fields_of

    try:
        # A number too large is told at its field, with every other fault.
        raw = toml(text_of(data), any_number=True)
        told = fields_of(Car).keys() & raw.keys()
        brought_up(raw, CAR_FORMAT)
    except (FileFaultError, PlainDataError) as error:
        fault = error.fault
    except FormatError as error:
        fault = Fault(error.where, error.found, error.wanted)
    else:
        if told:
            return raw
        fault = Fault("the file", "none of a car's keys", "setdown_car, id, name, units and so on")
    raise CarFileError(name, [fault])
