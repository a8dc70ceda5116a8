"""The command line. Nothing heavy is imported before it is known what is wanted."""

import argparse
import gc
import os
import sys
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rules import __version__
from rules.asked import Topic
from tui.commands.stop import (
    CAR_FAULTS,
    LOG_FAULTS,
    OK,
    STATUSES,
    USAGE,
    Stop,
)
from tui.outlet import is_terminal, outlet

if TYPE_CHECKING:
    from profiles.paths import DataFolder

DEMO_CAR = "demo.toml"
PRACTICE_SEED = 6
OPENERS = ("demo", "practice", "open", "shop")
DATA_HELP = "keep everything in DIR"
ASCII_HELP = "draw the screen in plain ASCII; TERM=linux and TERM=dumb do by themselves"


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return its exit status."""
    # Looking for plugins of a library reads the description of every package there is.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    with outlet():
        return _run(argv)


def _run(argv: Sequence[str] | None) -> int:
    if not sys.warnoptions:
        # A library's warning is for who writes the program, not for a crew at the line.
        warnings.simplefilter("ignore")
    words = sys.argv[1:] if argv is None else argv
    args = _parser(words).parse_args(words)
    if args.ascii:
        from tui.leaving import LeavingApp

        LeavingApp.plain_letters = True
    run: Callable[[argparse.Namespace], int] = args.run
    try:
        status = run(args)
        sys.stdout.flush()
        return status
    except Stop as stop:
        print(f"setdown: {stop}", file=sys.stderr)
        return stop.status
    except BrokenPipeError:
        # The reader has gone; what is still buffered must not fail again on the way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except OSError as error:
        # A disk that is full or gone, wherever it was met, is no error of the program.
        where = f"{error.filename}: " if error.filename else ""
        print(f"setdown: {where}{error.strerror or error}", file=sys.stderr)
        return LOG_FAULTS


def _parser(words: Sequence[str]) -> argparse.ArgumentParser:
    """Return what reads these words: of the commands those alone that open a car, if one does."""
    statuses = "\n".join(f"  {status}  {words}" for status, words in STATUSES)
    parser = argparse.ArgumentParser(
        prog="setdown",
        description="One damper or chassis change at a time, for drag-racing crews in the pits.",
        epilog=f"exit statuses:\n{statuses}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"setdown {__version__}")
    parser.add_argument("--data", type=Path, metavar="DIR", help=DATA_HELP)
    parser.add_argument("--ascii", action="store_true", help=ASCII_HELP)
    parser.set_defaults(run=_pick)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    def command(
        name: str, run: Callable[[argparse.Namespace], int], words: str
    ) -> argparse.ArgumentParser:
        one = commands.add_parser(name, help=words, description=words)
        one.set_defaults(run=run)
        add_data(one)
        return one

    command("demo", _demo, "open the invented demonstration car; its data stays apart")
    practice = command("practice", _practice, "play a day with a simulated car of hidden numbers")
    practice.add_argument(
        "--seed", type=int, default=PRACTICE_SEED, metavar="N", help="the same number, the same day"
    )
    command("open", _open, "open one car").add_argument("car", metavar="CAR", help="its id")
    every = not _opens_a_car(words)
    if every:
        from tui.commands.others import add_commands_of_files, add_commands_on_paper

        add_commands_of_files(command)
    shop = command("shop", _shop, "open a car at its shop: scales, survey, fit, stock, walk")
    shop.add_argument("car", metavar="CAR", nargs="?", help="its id; needed where there are more")
    if every:
        add_commands_on_paper(command)
    return parser


def _opens_a_car(words: Sequence[str]) -> bool:
    """Tell whether words are surely a command that opens a car: at the line, a moment counts."""
    rest = list(words)
    while rest and (rest[0] in ("--ascii", "--data") or rest[0].startswith("--data=")):
        del rest[: 2 if rest[0] == "--data" else 1]
    return not rest or rest[0] in OPENERS


def add_data(command: argparse.ArgumentParser) -> None:
    """Take --data after a command too; not given there, what stands before it holds."""
    command.add_argument(
        "--data", type=Path, metavar="DIR", help=DATA_HELP, default=argparse.SUPPRESS
    )
    command.add_argument("--ascii", action="store_true", help=ASCII_HELP, default=argparse.SUPPRESS)


def folder_of(args: argparse.Namespace, demo: bool = False, *, write: bool) -> "DataFolder":
    """Return the data folder that a command names.

    Raises:
        Stop: it cannot be used.
    """
    from profiles.paths import DataFolderError, data_folder

    try:
        return data_folder(args.data, demo=demo, write=write)
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def at_a_terminal() -> bool:
    """Tell whether keys come from a terminal, and what is drawn goes to one."""
    return all(map(is_terminal, (sys.stdin, sys.stdout, sys.stderr)))


def need_a_terminal() -> None:
    """Make sure that there is a screen.

    Raises:
        Stop: there is none.
    """
    if not at_a_terminal():
        raise Stop(
            USAGE,
            "there is no terminal to draw on or to take keys from; without a screen use: "
            "setdown consult CAR.toml --answers FILE",
        )


def _pick(args: argparse.Namespace, ask: bool = False) -> int:
    """Open the only car there is, or ask which; `ask`: in any case."""
    from tui.commands.shop import describe, draft_in

    need_a_terminal()
    folder = folder_of(args, write=False)
    cars, draft = folder.cars(), draft_in(folder)
    if len(cars) == 1 and not draft and not ask:
        return run_car(folder, cars[0])
    from tui.pick import NEW, pick_car

    chosen = pick_car(cars, draft)
    if chosen == NEW:
        chosen = describe(folder_of(args, write=True))
    if chosen is None:
        return OK
    return _demo(args) if chosen == "" else run_car(folder, chosen)


def _demo(args: argparse.Namespace) -> int:
    from importlib.resources import as_file, files

    from profiles.files import add_car, load_car

    need_a_terminal()
    folder = folder_of(args, demo=True, write=True)
    with as_file(files("profiles") / "cars" / DEMO_CAR) as path:
        car = load_car(path)
        if car.id not in folder.cars():
            add_car(folder, path)
    return run_car(folder, car.id, meeting="Invented event")


def _practice(args: argparse.Namespace) -> int:
    from profiles.practice import SEEDS, practice_car

    need_a_terminal()
    if args.seed not in SEEDS:
        raise Stop(USAGE, f"--seed: found {args.seed}; wanted {SEEDS[0]} to {SEEDS[-1]}")
    folder = folder_of(args, demo=True, write=True)
    car = practice_car(folder, args.seed)
    return run_car(folder, car.id, meeting="Simulated day", seed=args.seed)


def _open(args: argparse.Namespace) -> int:
    from tui.commands.shop import known_car

    need_a_terminal()
    folder = folder_of(args, write=False)
    return run_car(folder, known_car(folder, args.car))


def _shop(args: argparse.Namespace) -> int:
    from tui.commands.shop import known_car

    need_a_terminal()
    folder = folder_of(args, write=False)
    cars = folder.cars()
    car = cars[0] if args.car is None and len(cars) == 1 else known_car(folder, args.car)
    return run_car(folder, car, shop=True)


def run_car(
    folder: "DataFolder",
    car_id: str,
    meeting: str = "",
    shop: bool = False,
    seed: int | None = None,
) -> int:
    """Open a car on the screen until it is left; return the exit status.

    Raises:
        Stop: it cannot be opened.
    """
    # What is loaded and read now stays: a search for garbage would find none, and takes its time.
    gc.disable()
    from profiles.files import CarFileError
    from profiles.local_time import now_here
    from profiles.logfile import LogError
    from profiles.open_windows import Window, open_window, this_user
    from profiles.opened_log import open_or_look
    from profiles.paths import DataFolderError
    from tui.app import SetdownApp
    from tui.opening import open_car, practice_day, rules_page, sound_book

    try:
        book, left_out = sound_book(folder)
        notice = ""
        if left_out:
            notice = "Your own rule pages have faults and are left out: see setdown book check."
        me = Window(this_user(), now_here())
        with (
            open_window(folder.log_file(car_id).parent, me.since, me.who),
            open_or_look(folder, car_id, me) as log,
        ):
            opened = open_car(folder, car_id, log, book, notice)
            desk = opened.desk
            if meeting and desk.prompt.topic == Topic.MEETING:
                desk.answer("meeting", meeting)
                desk.answer("session", "test")
            pages = [*opened.pages, *rules_page(left_out)]
            _ = desk.prompt
            log.keep()  # What the first question asked of passes long past is not asked again.
            practising = None if seed is None else practice_day(desk, seed)
            app = SetdownApp(desk, shop=shop, pages=pages, practising=practising)
            gc.freeze()
            gc.enable()
            wanted = app.until_left()
            log.keep()
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except (LogError, DataFolderError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    finally:
        gc.enable()
    return OK if wanted is None else _pick(argparse.Namespace(data=folder.root), ask=True)


if __name__ == "__main__":
    sys.exit(main())
