"""The car file of a practice day: the demonstration car, its levers where the day begins."""

from importlib.resources import files

from profiles.edit_car import edited_text
from profiles.files import keep_car, opened_car, read_car
from profiles.paths import SIMULATED, DataFolder
from rules.car.edits import Edit
from rules.car.model import Car
from rules.practice.hidden_car import LARGEST_SEED, misset

SEEDS = range(LARGEST_SEED + 1)
_DRAWN_FROM = "demo.toml"


def drawn_from() -> Car:
    """Return the car whose file the hidden car is drawn around."""
    return read_car(_text().encode(), _DRAWN_FROM)


def practice_car(folder: DataFolder, seed: int) -> Car:
    """Return the car of a practice day as its crew knows it, kept in `folder` from its first time.

    Raises:
        DataFolderError: if it cannot be written.
        CarFileError: if the file that is kept cannot be read any more.
    """
    kept = f"{SIMULATED}{seed}"
    if kept not in folder.cars():
        car = drawn_from()
        text = edited_text(_text(), _edits(car, kept, seed), car.units)
        keep_car(folder, kept, text.encode())
    return opened_car(folder.car_file(kept))


def _edits(car: Car, car_id: str, seed: int) -> list[Edit]:
    """Return what the file of the day says otherwise: its name, and where the levers stand."""
    settings = misset(car, seed)
    edits = [
        Edit(("id",), car_id, "id"),
        Edit(("name",), f"SIMULATED car {seed}", "name"),
    ]
    for at, damper in enumerate(car.dampers):
        for place, knob in enumerate(damper.knobs):
            start = settings[f"{damper.corner} {knob.id}"] / knob.per_unit
            if start != knob.start:
                path = ("dampers", at, "knobs", place, "start")
                edits.append(Edit(path, int(start) if start == int(start) else start, "start"))
    for at, lever in enumerate(car.levers):
        if not lever.positions and settings[lever.id] != lever.start:
            edits.append(Edit(("levers", at, "start"), settings[lever.id], "start"))
    return edits


def _text() -> str:
    return (files("profiles") / "cars" / _DRAWN_FROM).read_text(encoding="utf-8")
