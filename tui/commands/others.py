"""The commands beside those that open a car; what they use is imported late."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from tui.cli import add_data, folder_of, need_a_terminal, run_car
from tui.commands.carry import add_carry_commands
from tui.commands.import_passes import add_import_command
from tui.commands.mending import add_mending_commands
from tui.commands.model import AddCommand, add_model_commands
from tui.commands.stop import (
    ANSWER_FAULTS,
    BOOK_FAULTS,
    CAR_FAULTS,
    LOG_FAULTS,
    OK,
    USAGE,
    Stop,
)

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.book import Book


def add_commands_of_files(command: AddCommand) -> None:
    """Add what makes, checks, copies, takes in and writes files."""
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


def add_commands_on_paper(command: AddCommand) -> None:
    """Add what prints, computes and checks, without a screen."""
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
    add_data(book_check)


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


def _card(args: argparse.Namespace) -> int:
    from tui.commands.shop import Wish, known_car, write_card

    folder = folder_of(args, write=False)
    wish = Wish(args.sheet, args.blank, args.force)
    return write_card(folder, known_car(folder, args.car), wish, args.md, args.html)


def _cars(args: argparse.Namespace) -> int:
    cars = folder_of(args, write=False).cars()
    print("\n".join(cars) if cars else "No cars yet. Add one with: setdown add CAR.toml")
    return OK


def _new(args: argparse.Namespace) -> int:
    from profiles.durable import write_atomically
    from profiles.starter import new_car_text
    from tui.commands.shop import describe

    if args.file is None:
        need_a_terminal()
        folder = folder_of(args, write=True)
        made = describe(folder)
        return OK if made is None else run_car(folder, made)
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

    folder = folder_of(args, write=True)
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
    real, demo = (folder_of(args, demo, write=False) for demo in (False, True))
    print(f"everything:     {real.root}")
    print(f"your cars:      {real.home}")
    print(f"your rules:     {real.home / 'rules'}")
    print(f"demonstration:  {demo.home}")
    return OK


def _backup(args: argparse.Namespace) -> int:
    from profiles.backup import backup

    try:
        report = backup(folder_of(args, write=False), args.file)
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
        book = _own_book(folder_of(args, write=False))
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
