"""What the commands that carry passes in and out share: the car's folder and its log."""

import argparse
from typing import TYPE_CHECKING

from tui.stop import CAR_FAULTS, LOG_FAULTS, Stop

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.events import Event


def add_car(command: argparse.ArgumentParser) -> None:
    """Take the id of a car, and whose half of the data it is in."""
    command.add_argument("car", metavar="CAR", help="its id")
    command.add_argument("--demo", action="store_true", help="the demonstration car's own data")


def folder_of(args: argparse.Namespace, *, write: bool) -> "DataFolder":
    """Return the data folder, once it has the car that was named.

    Raises:
        Stop: if it has not, or cannot be used.
    """
    from profiles.paths import DataFolderError, data_folder

    try:
        folder = data_folder(args.data, demo=args.demo, write=write)
        cars = folder.cars()
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    if args.car not in cars:
        known = ", ".join(cars) or "none yet; add one with: setdown add CAR.toml"
        raise Stop(CAR_FAULTS, f"car: found {args.car!r}; wanted one of: {known}")
    return folder


def events_of(folder: "DataFolder", car_id: str) -> "list[Event]":
    """Return the events of a car's log, none where it has no log yet.

    Raises:
        Stop: if the log cannot be read.
    """
    from profiles.local_time import here
    from profiles.logfile import LogError
    from profiles.other_logs import read_log

    path = folder.log_file(car_id)
    if not path.exists() or path.stat().st_size == 0:
        return []
    try:
        return [one.model_copy(update={"at": here(one.at)}) for one in read_log(path)]
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def begun_events(folder: "DataFolder", car_id: str) -> "list[Event]":
    """Return the events of a car's log, which has to have some.

    Raises:
        Stop: if it has none, or cannot be read.
    """
    events = events_of(folder, car_id)
    if not events:
        raise Stop(LOG_FAULTS, f"{car_id}: found no log yet; wanted one: setdown open {car_id}")
    return events
