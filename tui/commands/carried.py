"""What the commands that carry passes in and out share: the car's folder and its log."""

import argparse
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.car_names import car_named
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, USAGE, Stop

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.log.events.event import Event
    from rules.log.state import State

NO_LOG = "{car}: found no log yet; wanted one: setdown open {car!r}"
DEMO_CAR = "demo"
"""The id of the demonstration car, which stands beside those of practice days."""


class _Demo(argparse.Action):
    """Means the demonstration car, which then need not be named."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: object,
        option_string: str | None = None,
    ) -> None:
        namespace.demo = True
        for action in parser._get_positional_actions():
            action.required = False


def add_car(command: argparse.ArgumentParser) -> None:
    """Take the id of a car, and whose half of the data it is in."""
    command.add_argument("car", metavar="CAR", help="its id; with --demo it can be left out")
    command.add_argument(
        "--demo", action=_Demo, nargs=0, default=False, help="the demonstration car's own data"
    )


def car_left_out(args: argparse.Namespace, last: str) -> None:
    """Read what stands alone after --demo as the last argument, not as the car.

    Raises:
        Stop: if that is missing too.
    """
    if getattr(args, last) is None:
        if args.car is None:
            raise Stop(USAGE, f"{last}: found none; wanted one")
        setattr(args, last, Path(args.car))
        args.car = None


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
    wanted = DEMO_CAR if args.demo and args.car is None else str(args.car)
    if args.demo and wanted == DEMO_CAR not in cars:
        raise Stop(CAR_FAULTS, "car: the demonstration car was never opened; first: setdown demo")
    named = car_named(wanted, cars)
    if named is None:
        known = ", ".join(cars) or "none yet; add one with: setdown add CAR.toml"
        raise Stop(CAR_FAULTS, f"car: found {args.car!r}; wanted one of: {known}")
    args.car = named
    return folder


@contextmanager
def events_at(folder: "DataFolder", car_id: str) -> "Iterator[Sequence[Event]]":
    """Open the events of a car's log, each read when it is wanted; none where it has no log yet.

    Raises:
        profiles.logfile.LogError: if the log cannot be read.
    """
    from profiles.only_read import only_events

    path = folder.log_file(car_id)
    if not _is_begun(path):
        yield []
        return
    with only_events(path) as events:
        yield events


def state_at(folder: "DataFolder", car_id: str) -> "State | None":
    """Return where the log of a car stands, None where it has no log yet.

    Raises:
        Stop: if the log cannot be read.
    """
    from profiles.logfile import LogError
    from profiles.only_read import read_state

    path = folder.log_file(car_id)
    if not _is_begun(path):
        return None
    try:
        state = read_state(path)
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    return state if state.events else None


def begun_log(folder: "DataFolder", car_id: str) -> Path:
    """Return where the log of a car lies, which has to have some events.

    Raises:
        Stop: if it has none.
    """
    path = folder.log_file(car_id)
    if not _is_begun(path):
        raise Stop(LOG_FAULTS, NO_LOG.format(car=car_id))
    return path


def _is_begun(path: Path) -> bool:
    return path.exists() and path.stat().st_size > 0
