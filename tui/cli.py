"""The command line. Nothing heavy is imported before it is known what is wanted."""

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rules import __version__

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.book import Book

OK, USAGE, CAR_FAULTS, ANSWER_FAULTS, LOG_FAULTS, BOOK_FAULTS = 0, 2, 3, 4, 5, 6
STATUSES = (
    (OK, "done"),
    (1, "an error of the program itself"),
    (USAGE, "the command line is wrong"),
    (CAR_FAULTS, "the car file or a dyno table has faults, or there is no such car"),
    (ANSWER_FAULTS, "the answers do not fit; the steps before the fault are kept"),
    (LOG_FAULTS, "the log or the data folder cannot be used"),
    (BOOK_FAULTS, "a rule page has faults"),
)
DEMO_CAR = "demo.toml"


class Stop(Exception):  # noqa: N818 - a way out, not an error of the program
    """Leave with a message and a status."""

    def __init__(self, status: int, message: str) -> None:
        super().__init__(message)
        self.status = status


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return its exit status."""
    parser = _parser()
    args = parser.parse_args(argv)
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
        from profiles.paths import DataFolderError

        if not isinstance(error, DataFolderError):
            raise
        print(f"setdown: {error}", file=sys.stderr)
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
    parser.add_argument("--data", type=Path, metavar="DIR", help="keep everything in DIR")
    parser.set_defaults(run=_pick)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    def command(
        name: str, run: Callable[[argparse.Namespace], int], words: str
    ) -> argparse.ArgumentParser:
        one = commands.add_parser(name, help=words, description=words)
        one.set_defaults(run=run)
        return one

    command("demo", _demo, "open the invented demonstration car; its data stays apart")
    command("open", _open, "open one car").add_argument("car", metavar="CAR", help="its id")
    command("cars", _cars, "list the cars")
    new = command("new", _new, "write a commented car file to fill in")
    new.add_argument("file", type=Path, metavar="FILE")
    new.add_argument("--units", choices=("us", "metric"), default="us")
    add = command("add", _add, "check a car file and take it in, new or edited")
    add.add_argument("file", type=Path, metavar="CAR.toml")
    check = command("check", _check, "check a car file and change nothing")
    check.add_argument("file", type=Path, metavar="CAR.toml")
    command("schema", _schema, "print the JSON Schema of car files, for editors")
    command("where", _where, "print where the data is kept")
    backup = command("backup", _backup, "write one verified copy of everything")
    backup.add_argument("file", type=Path, metavar="FILE")
    consult = command("consult", _consult, "answer from a file, without a screen")
    consult.add_argument("car", type=Path, metavar="CAR.toml")
    consult.add_argument("--answers", type=Path, required=True, metavar="FILE")
    consult.add_argument("--log", type=Path, metavar="DB", help="append to this log")
    consult.add_argument("--json", action="store_true", help="print JSON")
    what_if = command("whatif", _what_if, "draw what a turn would do; nothing is recorded")
    what_if.add_argument("car", type=Path, metavar="CAR.toml")
    what_if.add_argument(
        "--set",
        nargs="+",
        action="extend",
        default=[],
        metavar="KNOB=N",
        help='the proposal, such as "left front rebound=11"; a pair is set side by side',
    )
    what_if.add_argument(
        "--today",
        nargs="+",
        action="extend",
        default=[],
        metavar="KNOB=N",
        help="where the car stands, if not at the file's counts; those are the baseline",
    )
    what_if.add_argument("--json", action="store_true", help="print JSON, in SI")
    crossover = command("crossover", _crossover, "from old valving to new, off two dyno tables")
    crossover.add_argument("old", type=Path, metavar="OLD.csv")
    crossover.add_argument("new", type=Path, metavar="NEW.csv")
    crossover.add_argument(
        "--count", type=float, required=True, metavar="N", help="the setting on the old valving"
    )
    crossover.add_argument(
        "--speed", nargs=2, metavar=("LOW", "HIGH"), help="piston speeds, such as 50mm/s 250mm/s"
    )
    crossover.add_argument("--units", choices=("us", "metric"), default="us")
    crossover.add_argument("--json", action="store_true", help="print JSON, in SI")
    book = command("book", _book_help, "check rule pages")
    pages = book.add_subparsers(metavar="COMMAND")
    book_check = pages.add_parser("check", help="check a crew's own rule pages")
    book_check.add_argument("files", type=Path, nargs="+", metavar="FILE")
    book_check.set_defaults(run=_book_check)
    return parser


def _folder(args: argparse.Namespace, demo: bool = False) -> "DataFolder":
    from profiles.paths import DataFolderError, data_folder

    try:
        return data_folder(args.data, demo=demo)
    except DataFolderError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


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


def _pick(args: argparse.Namespace) -> int:
    folder = _folder(args)
    cars = folder.cars()
    if len(cars) == 1:
        return _run_car(folder, cars[0])
    from tui.pick import pick_car

    chosen = pick_car(cars)
    if chosen is None:
        return OK
    return _demo(args) if chosen == "" else _run_car(folder, chosen)


def _demo(args: argparse.Namespace) -> int:
    from importlib.resources import as_file, files

    from profiles.files import add_car, load_car

    folder = _folder(args, demo=True)
    with as_file(files("profiles") / "cars" / DEMO_CAR) as path:
        car = load_car(path)
        if car.id not in folder.cars():
            add_car(folder, path)
    return _run_car(folder, car.id, meeting="Invented meeting")


def _open(args: argparse.Namespace) -> int:
    folder = _folder(args)
    if args.car not in folder.cars():
        known = ", ".join(folder.cars()) or "none yet; add one with: setdown add CAR.toml"
        raise Stop(CAR_FAULTS, f"car: found {args.car!r}; wanted one of: {known}")
    return _run_car(folder, args.car)


def _run_car(folder: "DataFolder", car_id: str, meeting: str = "") -> int:
    from profiles.files import CarFileError, load_car
    from profiles.logbook import Logbook
    from profiles.logfile import LogError
    from profiles.paths import DataFolderError
    from rules.expected import launch_model
    from tui.desk import Desk

    book = _own_book(folder)
    try:
        car = load_car(folder.car_file(car_id))
        log = Logbook.open(folder.log_file(car_id), folder.device_id())
        desk = Desk(log, book, model=launch_model)
        desk.describe(car)
        if meeting and desk.prompt.id == "meeting":
            desk.answer("meeting", meeting)
            desk.answer("session", "test")
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except (LogError, DataFolderError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    from tui.app import SetdownApp

    with log:
        SetdownApp(desk).run(mouse=False)
    return OK


def _cars(args: argparse.Namespace) -> int:
    cars = _folder(args).cars()
    print("\n".join(cars) if cars else "No cars yet. Add one with: setdown add CAR.toml")
    return OK


def _new(args: argparse.Namespace) -> int:
    from profiles.starter import new_car_text

    if args.file.exists():
        raise Stop(USAGE, f"{args.file}: is there already; nothing was written")
    name = args.file.stem.replace("-", " ").replace("_", " ").title() or "New car"
    try:
        args.file.write_text(new_car_text(name, args.units), encoding="utf-8")
    except OSError as error:
        raise Stop(LOG_FAULTS, f"{args.file}: cannot be written ({error.strerror})") from None
    print(f"Wrote {args.file}. Fill it in, then: setdown add {args.file}")
    return OK


def _add(args: argparse.Namespace) -> int:
    from profiles.files import CarFileError, add_car
    from profiles.paths import DataFolderError

    folder = _folder(args)
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
    real, demo = _folder(args), _folder(args, demo=True)
    print(f"everything:     {real.root}")
    print(f"your cars:      {real.home}")
    print(f"your rules:     {real.home / 'rules'}")
    print(f"demonstration:  {demo.home}")
    return OK


def _backup(args: argparse.Namespace) -> int:
    from profiles.backup import backup

    try:
        report = backup(_folder(args), args.file)
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
    from rules.expected import launch_model
    from tui.consult import ConsultError, as_json, as_lines, consult, read_answers

    try:
        car = load_car(args.car)
        answers = read_answers(args.answers.read_text("utf-8-sig"), args.answers.name)
        book = _own_book(_folder(args)) if args.data else _shipped_book()
        desk, events = consult(car, answers, book, args.log, model=launch_model)
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except ConsultError as error:
        raise Stop(ANSWER_FAULTS, str(error)) from None
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    except (OSError, UnicodeError) as error:
        raise Stop(ANSWER_FAULTS, f"{args.answers}: cannot be read ({error})") from None
    with desk.log:
        print(as_json(desk, events) if args.json else as_lines(desk))
    return OK


def _what_if(args: argparse.Namespace) -> int:
    from profiles.files import CarFileError, load_car
    from rules.adjusters import starts
    from rules.what_if import what_if
    from tui.what_if_pages import SettingError, as_json, paper, with_settings

    try:
        car = load_car(args.car)
        baseline = starts(car)
        today = with_settings(car, baseline, args.today)
        proposed = with_settings(car, today, args.set)
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except SettingError as error:
        raise Stop(USAGE, str(error)) from None
    found = what_if(car, today, proposed, baseline)
    print(as_json(car.id, found) if args.json else paper(found, car.units))
    return OK


def _crossover(args: argparse.Namespace) -> int:
    from tui.valving import TableError, ValvingError, as_json, as_lines, ask, read_speed

    try:
        speeds = [read_speed(text) for text in args.speed or ()]
        asked = ask(args.old, args.new, args.count, *speeds)
    except TableError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except ValvingError as error:
        raise Stop(USAGE, str(error)) from None
    print(as_json(asked) if args.json else as_lines(asked, args.units))
    return OK


def _shipped_book() -> "Book":
    from rules.book import shipped

    return shipped()


def _book_help(args: argparse.Namespace) -> int:
    raise Stop(USAGE, "book: wanted: setdown book check FILE...")


def _book_check(args: argparse.Namespace) -> int:
    from rules.book import BookError, with_own
    from rules.book.examples import example_faults

    texts = {}
    for path in args.files:
        try:
            texts[path.name] = path.read_text("utf-8-sig")
        except (OSError, UnicodeError) as error:
            raise Stop(BOOK_FAULTS, f"{path}: cannot be read ({error})") from None
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
