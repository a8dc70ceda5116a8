"""The command line. Nothing heavy is imported before it is known what is wanted."""

import argparse
import gc
import json
import os
import sys
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rules import __version__
from rules.asked import Topic
from tui.commands.carry import add_carry_commands
from tui.commands.import_passes import add_import_command
from tui.commands.mending import add_mending_commands
from tui.commands.model import add_model_commands
from tui.commands.stop import (
    ANSWER_FAULTS,
    BOOK_FAULTS,
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
    from rules.book import Book

DEMO_CAR = "demo.toml"
PRACTICE_SEED = 6
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
    parser = _parser()
    args = parser.parse_args(argv)
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


def _parser() -> argparse.ArgumentParser:
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
        _add_data(one)
        return one

    command("demo", _demo, "open the invented demonstration car; its data stays apart")
    practice = command("practice", _practice, "play a day with a simulated car of hidden numbers")
    practice.add_argument(
        "--seed", type=int, default=PRACTICE_SEED, metavar="N", help="the same number, the same day"
    )
    command("open", _open, "open one car").add_argument("car", metavar="CAR", help="its id")
    command("cars", _cars, "list the cars")
    new = command("new", _new, "describe a new car on the screen, or write a file to fill in")
    new.add_argument("file", type=Path, metavar="FILE", nargs="?")
    new.add_argument("--units", choices=("us", "metric"), default="us")
    add = command("add", _add, "check a car file and take it in, new or edited")
    add.add_argument("file", type=Path, metavar="CAR.toml")
    check = command("check", _check, "check a car file and change nothing")
    check.add_argument("file", type=Path, metavar="CAR.toml")
    command("schema", _schema, "print the JSON Schema of car files, for editors")
    command("where", _where, "print where the data is kept")
    backup = command("backup", _backup, "write one verified copy of everything")
    backup.add_argument("file", type=Path, metavar="FILE")
    add_mending_commands(command)
    consult = command("consult", _consult, "answer from a file, without a screen")
    consult.add_argument("car", type=Path, metavar="CAR.toml")
    consult.add_argument("--answers", type=Path, required=True, metavar="FILE")
    consult.add_argument("--log", type=Path, metavar="DB", help="append to this log")
    consult.add_argument("--json", action="store_true", help="print JSON")
    add_import_command(command)
    add_carry_commands(command)
    shop = command("shop", _shop, "open a car at its shop: scales, survey, fit, stock, walk")
    shop.add_argument("car", metavar="CAR", nargs="?", help="its id; needed where there are more")
    card = command("card", _card, "write a car's baseline card or a sheet of its shop, to print")
    card.add_argument("car", metavar="CAR", help="its id")
    card.add_argument("--sheet", default="", metavar="NAME", help="a sheet, as it was filled in")
    card.add_argument("--blank", action="store_true", help="that sheet, empty")
    card.add_argument("--md", type=Path, metavar="FILE", help="as Markdown")
    card.add_argument("--html", type=Path, metavar="FILE", help="as one HTML file")
    card.add_argument("--force", action="store_true", help="replace files that are there")
    add_model_commands(command)
    book = command("book", _book_help, "check rule pages")
    pages = book.add_subparsers(metavar="COMMAND")
    book_check = pages.add_parser("check", help="check a crew's own rule pages")
    book_check.add_argument("files", type=Path, nargs="+", metavar="FILE")
    book_check.set_defaults(run=_book_check)
    _add_data(book_check)
    return parser


def _add_data(command: argparse.ArgumentParser) -> None:
    """Take --data after a command too; not given there, what stands before it holds."""
    command.add_argument(
        "--data", type=Path, metavar="DIR", help=DATA_HELP, default=argparse.SUPPRESS
    )
    command.add_argument("--ascii", action="store_true", help=ASCII_HELP, default=argparse.SUPPRESS)


def _folder(args: argparse.Namespace, demo: bool = False, *, write: bool) -> "DataFolder":
    from profiles.paths import DataFolderError, data_folder

    try:
        return data_folder(args.data, demo=demo, write=write)
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def at_a_terminal() -> bool:
    """Tell whether keys come from a terminal, and what is drawn goes to one."""
    return all(map(is_terminal, (sys.stdin, sys.stdout, sys.stderr)))


def _need_a_terminal() -> None:
    if not at_a_terminal():
        raise Stop(
            USAGE,
            "there is no terminal to draw on or to take keys from; without a screen use: "
            "setdown consult CAR.toml --answers FILE",
        )


def _own_book(folder: "DataFolder") -> "Book":
    from profiles.paths import DataFolderError
    from rules.book import BookError, shipped, with_own

    try:
        pages = folder.own_rules()
        return with_own(pages) if pages else shipped()
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    except BookError as error:
        raise Stop(BOOK_FAULTS, f"your own rule pages have faults:\n{error}") from None


def _pick(args: argparse.Namespace, ask: bool = False) -> int:
    """Open the only car there is, or ask which; `ask`: in any case."""
    from tui.commands.shop import describe, draft_in

    _need_a_terminal()
    folder = _folder(args, write=False)
    cars, draft = folder.cars(), draft_in(folder)
    if len(cars) == 1 and not draft and not ask:
        return _run_car(folder, cars[0])
    from tui.pick import NEW, pick_car

    chosen = pick_car(cars, draft)
    if chosen == NEW:
        chosen = describe(_folder(args, write=True))
    if chosen is None:
        return OK
    return _demo(args) if chosen == "" else _run_car(folder, chosen)


def _demo(args: argparse.Namespace) -> int:
    from importlib.resources import as_file, files

    from profiles.files import add_car, load_car

    _need_a_terminal()
    folder = _folder(args, demo=True, write=True)
    with as_file(files("profiles") / "cars" / DEMO_CAR) as path:
        car = load_car(path)
        if car.id not in folder.cars():
            add_car(folder, path)
    return _run_car(folder, car.id, meeting="Invented event")


def _practice(args: argparse.Namespace) -> int:
    from profiles.practice import SEEDS, practice_car

    _need_a_terminal()
    if args.seed not in SEEDS:
        raise Stop(USAGE, f"--seed: found {args.seed}; wanted {SEEDS[0]} to {SEEDS[-1]}")
    folder = _folder(args, demo=True, write=True)
    car = practice_car(folder, args.seed)
    return _run_car(folder, car.id, meeting="Simulated day", seed=args.seed)


def _open(args: argparse.Namespace) -> int:
    from tui.commands.shop import known_car

    _need_a_terminal()
    folder = _folder(args, write=False)
    return _run_car(folder, known_car(folder, args.car))


def _shop(args: argparse.Namespace) -> int:
    from tui.commands.shop import known_car

    _need_a_terminal()
    folder = _folder(args, write=False)
    cars = folder.cars()
    car = cars[0] if args.car is None and len(cars) == 1 else known_car(folder, args.car)
    return _run_car(folder, car, shop=True)


def _card(args: argparse.Namespace) -> int:
    from tui.commands.shop import Wish, known_car, write_card

    folder = _folder(args, write=False)
    wish = Wish(args.sheet, args.blank, args.force)
    return write_card(folder, known_car(folder, args.car), wish, args.md, args.html)


def _run_car(
    folder: "DataFolder",
    car_id: str,
    meeting: str = "",
    shop: bool = False,
    seed: int | None = None,
) -> int:
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


def _cars(args: argparse.Namespace) -> int:
    cars = _folder(args, write=False).cars()
    print("\n".join(cars) if cars else "No cars yet. Add one with: setdown add CAR.toml")
    return OK


def _new(args: argparse.Namespace) -> int:
    from profiles.durable import write_atomically
    from profiles.starter import new_car_text
    from tui.commands.shop import describe

    if args.file is None:
        _need_a_terminal()
        folder = _folder(args, write=True)
        made = describe(folder)
        return OK if made is None else _run_car(folder, made)
    if args.file.exists():
        raise Stop(USAGE, f"{args.file}: is there already; nothing was written")
    name = args.file.stem.replace("-", " ").replace("_", " ").title() or "New car"
    try:
        write_atomically(args.file, new_car_text(name, args.units).encode())
    except ValueError as error:
        raise Stop(USAGE, f"{args.file}: {error}") from None
    except OSError as error:
        raise Stop(LOG_FAULTS, f"{args.file}: cannot be written ({error.strerror})") from None
    print(f"Wrote {args.file}. Fill it in, then: setdown add {args.file}")
    return OK


def _add(args: argparse.Namespace) -> int:
    from profiles.files import CarFileError, add_car
    from profiles.paths import DataFolderError

    folder = _folder(args, write=True)
    try:
        car = add_car(folder, args.file)
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except (DataFolderError, OSError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    print(f"Added {car.id}. Open it with: setdown open {car.id!r}")
    return OK


def _check(args: argparse.Namespace) -> int:
    from profiles.files import CarFileError, load_car

    try:
        car = load_car(args.file)
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    knobs = sum(len(damper.knobs) for damper in car.dampers)
    print(f"{args.file}: no faults. {car.name}: {knobs} knobs, {len(car.levers)} other levers.")
    return OK


def _schema(args: argparse.Namespace) -> int:
    from profiles.schema import car_schema

    print(json.dumps(car_schema(), indent=2))
    return OK


def _where(args: argparse.Namespace) -> int:
    real, demo = (_folder(args, demo, write=False) for demo in (False, True))
    print(f"everything:     {real.root}")
    print(f"your cars:      {real.home}")
    print(f"your rules:     {real.home / 'rules'}")
    print(f"demonstration:  {demo.home}")
    return OK


def _backup(args: argparse.Namespace) -> int:
    from profiles.backup import backup

    try:
        report = backup(_folder(args, write=False), args.file)
    except OSError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    print(
        f"Wrote {report.path}: {report.files} files, "
        f"{report.logs} logs with {report.events} events, each read back."
    )
    return OK


def _consult(args: argparse.Namespace) -> int:
    from profiles.files import CarFileError, load_car
    from profiles.logfile import LogError
    from profiles.reading import MOST_TOML_BYTES, FileFaultError, read_text
    from rules.launch.model import launch_model
    from tui.commands.consult import ConsultError, as_json, as_lines, consult, read_answers

    try:
        car = load_car(args.car)
        answers = read_answers(read_text(args.answers, MOST_TOML_BYTES), args.answers.name)
        book = _own_book(_folder(args, write=False))
        desk, events = consult(car, answers, book, args.log, model=launch_model)
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except ConsultError as error:
        raise Stop(ANSWER_FAULTS, str(error)) from None
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    except FileFaultError as error:
        raise Stop(ANSWER_FAULTS, f"{args.answers}: {error.fault}") from None
    with desk.log:
        print(as_json(desk, events) if args.json else as_lines(desk))
    return OK


def _book_help(args: argparse.Namespace) -> int:
    raise Stop(USAGE, "book: wanted: setdown book check FILE...")


def _book_check(args: argparse.Namespace) -> int:
    from profiles.formats import text_of_today
    from profiles.reading import MOST_TOML_BYTES, FileFaultError, read_text
    from rules.book import BookError, with_own
    from rules.crew.examples import example_faults
    from rules.formats import RULE_FORMAT

    texts = {}
    for path in args.files:
        try:
            texts[path.name] = text_of_today(read_text(path, MOST_TOML_BYTES), RULE_FORMAT)
        except FileFaultError as error:
            raise Stop(BOOK_FAULTS, f"{path}: {error.fault}") from None
    try:
        book = with_own(texts)
    except BookError as error:
        raise Stop(BOOK_FAULTS, str(error)) from None
    faults = [f for rule in book.rules.values() for f in example_faults(book, rule)]
    if faults:
        raise Stop(BOOK_FAULTS, "\n".join(faults))
    new = sorted(book.own - book.overridden)
    print(f"No faults. Adds: {', '.join(new) or 'nothing'}.")
    print(f"Overrides: {', '.join(sorted(book.overridden)) or 'nothing'}.")
    return OK


if __name__ == "__main__":
    sys.exit(main())
