"""The commands that ask the launch model and record nothing. What they use is imported late."""

import argparse
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE, Stop

if TYPE_CHECKING:
    from rules.car.model import Car
    from rules.log.state import State


NOT_AT_START = "where the car stands, if not at the file's counts"


class AddCommand(Protocol):
    """Adds one command to the command line."""

    def __call__(
        self, name: str, run: Callable[[argparse.Namespace], int], words: str
    ) -> argparse.ArgumentParser: ...


def add_model_commands(command: AddCommand) -> None:
    """Add `whatif`, `numbers` and `crossover`."""
    what_if = command("whatif", _what_if, "draw what a turn would do; nothing is recorded")
    what_if.add_argument("car", type=Path, metavar="CAR.toml")
    proposal = 'the proposal, such as "left front rebound=11"; a pair is set side by side'
    _add_counts(what_if, "--set", proposal)
    _add_counts(what_if, "--today", f"{NOT_AT_START}; those are the baseline")
    _add_log(what_if, "its counts, its baseline, and what its passes showed")
    _add_json(what_if)
    numbers = command("numbers", _numbers, "the numbers of a car; nothing is recorded")
    numbers.add_argument("car", type=Path, metavar="CAR.toml")
    _add_counts(numbers, "--at", NOT_AT_START)
    _add_log(numbers, "its counts, and what its passes showed")
    _add_json(numbers)
    crossover = command("crossover", _crossover, "from old valving to new, off two dyno tables")
    crossover.add_argument("old", type=Path, metavar="OLD.csv")
    crossover.add_argument("new", type=Path, metavar="NEW.csv")
    crossover.add_argument(
        "--count", type=float, required=True, metavar="N", help="the setting on the old valving"
    )
    crossover.add_argument(
        "--speed", nargs=2, metavar=("LOW", "HIGH"), help="piston speeds, such as 50mm/s 250mm/s"
    )
    crossover.add_argument("--units", choices=("us", "metric"), help="those of OLD.csv if left out")
    _add_json(crossover)


def _add_counts(command: argparse.ArgumentParser, option: str, words: str) -> None:
    command.add_argument(
        option, nargs="+", action="extend", default=[], metavar="KNOB=N", help=words
    )


def _add_log(command: argparse.ArgumentParser, what: str) -> None:
    words = f"the car's log, only read: {what}"
    command.add_argument("--log", type=Path, metavar="DB", help=words)


def _add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print JSON, in SI")


def _what_if(args: argparse.Namespace) -> int:
    from profiles.files import load_car
    from rules.advice.earlier_passes import passes_that_speak
    from rules.car.adjusters import starts
    from rules.launch.what_if import what_if
    from tui.pages.what_if import as_json, paper, with_settings

    with _input_faults():
        car = load_car(args.car)
        state = _state_of(car, args.log) if args.log else None
        baseline = dict(state.baseline.settings) if state and state.baseline else starts(car)
        today = with_settings(car, dict(state.settings) if state else baseline, args.today)
        proposed = with_settings(car, today, args.set)
    seen = passes_that_speak(state) if state else ()
    with _launch_faults(args.car):
        found = what_if(car, today, proposed, baseline, seen=seen)
    print(as_json(car.id, found) if args.json else paper(found, car.units))
    return OK


def _numbers(args: argparse.Namespace) -> int:
    from profiles.files import load_car
    from rules.advice.earlier_passes import passes_that_speak
    from rules.car.adjusters import starts
    from rules.launch.car_numbers import car_numbers
    from tui.pages.car_numbers import as_json, paper
    from tui.pages.what_if import with_settings

    with _input_faults():
        car = load_car(args.car)
        state = _state_of(car, args.log) if args.log else None
        settings = with_settings(car, dict(state.settings) if state else starts(car), args.at)
    with _launch_faults(args.car):
        found = car_numbers(car, settings, passes_that_speak(state) if state else ())
    print(as_json(car.id, found) if args.json else paper(found, car.units))
    return OK


@contextmanager
def _input_faults() -> Iterator[None]:
    """Tell faults of the car file, and of the settings asked for, each with its status."""
    from profiles.files import CarFileError
    from tui.pages.what_if import SettingError

    try:
        yield
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except SettingError as error:
        raise Stop(USAGE, str(error)) from None


@contextmanager
def _launch_faults(car: Path) -> Iterator[None]:
    """Tell the first number that no car can have as a fault of its file."""
    try:
        yield
    except ValueError as error:
        first = getattr(error, "faults", (str(error),))[0]
        raise Stop(CAR_FAULTS, f"{car.name}: no launch of it: {first}") from None


def _state_of(car: "Car", log: Path) -> "State":
    """Return where the log of a car stands."""
    from profiles.logfile import LogError
    from profiles.only_read import read_state
    from rules.log.log_format import unread_text

    try:
        state = read_state(log)
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    if state.unread:
        raise Stop(LOG_FAULTS, f"{log}: {unread_text(state.unread)}")
    if state.car != car:
        found = "no car" if state.car is None else f"{state.car.id!r} as it was described then"
        raise Stop(
            LOG_FAULTS,
            f"{log}: found the log of {found}; wanted that of {car.id!r} as its file is now",
        )
    return state


def _crossover(args: argparse.Namespace) -> int:
    from tui.commands.crossover import TableError, ValvingError, as_json, as_lines, ask, read_speed

    try:
        speeds = [read_speed(text) for text in args.speed or ()]
        asked = ask(args.old, args.new, args.count, *speeds)
    except TableError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except ValvingError as error:
        raise Stop(USAGE, str(error)) from None
    print(as_json(asked) if args.json else as_lines(asked, args.units))
    return OK
