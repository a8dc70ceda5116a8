"""A car that is being described: kept as a draft with its own log until it has a file."""

from profiles.durable import sync_folder
from profiles.files import keep_car, read_car
from profiles.paths import DataFolder, DataFolderError
from profiles.starter import car_text, id_for
from rules.car.model import Car
from rules.crew.sheets.describe.new_car import ID, car_tables
from rules.crew.sheets.sheet import Filling
from rules.log.state import State


def draft_car(state: State, car_id: str = "car") -> tuple[Car, str]:
    """Return the car that a draft describes so far, and the text of its file.

    Raises:
        ValueError: if its name cannot be the name of a car.
        CarFileError: with every fault, where the answers do not go together.
    """
    answers = state.sheets[ID][-1].answers if state.sheets.get(ID) else {}
    text = car_text(car_tables(Filling(State(), answers)), car_id)
    return read_car(text.encode(), "the new car"), text


def draft_name(state: State) -> str:
    """Return what the car of a draft is called; empty where there is no draft."""
    rounds = state.sheets.get(ID, ())
    return str(rounds[-1].answers.get("name", "")) if rounds else ""


def is_finished(state: State) -> bool:
    """Tell whether a draft was finished, though its files may not have been moved."""
    rounds = state.sheets.get(ID, ())
    return bool(rounds) and rounds[-1].closed is not None


def take_in(folder: DataFolder, state: State) -> str:
    """Make a car of a finished draft, its log along with it; return the car's id.

    Stopped at any point and called again, it goes on from there. The draft's log must be closed.

    Raises:
        CarFileError: with every fault, where the answers do not go together.
        DataFolderError: if a file could not be written or moved.
    """
    name = draft_name(state)
    taken = [one for one in folder.cars() if not _is_half_taken_in(folder, state, one)]
    car_id = id_for(name, taken)
    car, text = draft_car(state, car_id)
    keep_car(folder, car.id, text.encode())
    try:
        target = folder.log_file(car.id)
        folder.draft_log().replace(target)
        sync_folder(target.parent)
        sync_folder(folder.draft_log().parent)
    except OSError as error:
        raise DataFolderError(f"{folder.draft_log()}: cannot be moved ({error})") from error
    return car.id


def _is_half_taken_in(folder: DataFolder, state: State, car_id: str) -> bool:
    """Tell whether a car is this draft's own, its file written and its log not yet moved."""
    if folder.log_file(car_id).exists():
        return False
    _, text = draft_car(state, car_id)
    return folder.car_file(car_id).read_bytes() == text.encode()
