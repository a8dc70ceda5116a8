"""Text that steers a terminal, and every way for it to reach what a command prints."""

import json
import os
import unicodedata
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from profiles.durable import make_folder
from profiles.files import SHIPPED_CARS, add_car
from profiles.logbook import Logbook
from profiles.paths import data_folder
from rules.book import shipped
from rules.crew.actions import ACTION
from tui.desk import Desk

STEERING = (
    "\x1b]52;c;aGFybQ==\x07",  # Writes the clipboard (ECMA-48 OSC; 52 as terminals take it).
    "\x1b[2J\x1b]0;title\x1b\\",
    "\x9b31m\x08\x7f\r",
    "\u202egnp.\u2066\u200b\u2028\ufeff",
)
"""What a hostile text is made of: escape sequences, lone controls, direction and hidden marks."""

DEMO = SHIPPED_CARS / "demo.toml"
Prepare = Callable[[Path, str], list[str]]
WAYS: dict[str, Prepare] = {}
"""By name: puts a hostile text into a file or an argument, and returns the command line."""


def is_harmless(text: str) -> bool:
    """Tell whether nothing in a text steers a terminal (Unicode's general categories)."""
    hidden = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    return all(char == "\n" or unicodedata.category(char) not in hidden for char in text)


def quoted(text: str) -> str:
    """Return a text as a string of TOML."""
    return '"' + "".join(f"\\U{ord(char):08x}" for char in text) + '"'


def way(name: str) -> Callable[[Prepare], Prepare]:
    """Add a way to the table."""

    def added(prepare: Prepare) -> Prepare:
        WAYS[name] = prepare
        return prepare

    return added


def _file(work: Path, text: str, content: str, end: str = ".toml") -> str:
    """Write a file whose name holds a hostile text."""
    path = work / f"f{text.replace('/', '_')[:60]}{end}"
    path.write_text(content, "utf-8")
    return str(path)


def _named(work: Path, name: str, content: str) -> str:
    path = work / name
    path.write_text(content, "utf-8")
    return str(path)


def _arguments(name: str, *before: str, after: tuple[str, ...] = ()) -> None:
    WAYS[name] = lambda _, text: [*before, text, *after]


_arguments("a command")
_arguments("an option", "cars", after=())
WAYS["an option"] = lambda _, text: ["cars", f"--{text}"]
_arguments("a car to open", "open")
_arguments("a shop's car", "shop")
_arguments("a card's car", "card", after=("--md", "x.md"))
_arguments("a sheet's name", "card", "demo", "--sheet", after=("--md", "x.md"))
_arguments("a car file that is missing", "check")
_arguments("a car file to add", "add")
_arguments("units", "new", "x.toml", "--units")
_arguments("answers that are missing", "consult", str(DEMO), "--answers")
_arguments("a log that is missing", "numbers", str(DEMO), "--log")
_arguments("a knob", "numbers", str(DEMO), "--at")
_arguments("a proposal", "whatif", str(DEMO), "--set")
_arguments("a rule page that is missing", "book", "check")
_arguments("a car of an export", "export", after=("--json", "x.json"))
_arguments("a table that is missing", "import", "demo")
_arguments("another log that is missing", "merge", "demo")
_arguments("a dyno table that is missing", "crossover", after=("x.csv", "--count", "3"))
_arguments("a count", "crossover", "x.csv", "y.csv", "--count")
_arguments("a speed", "crossover", "x.csv", "y.csv", "--count", "3", "--speed", after=("1mm/s",))
WAYS["a data folder"] = lambda work, text: ["--data", str(work / f"d{text}"), "where"]
WAYS["a backup"] = lambda work, text: ["backup", str(work / f"b{text}.zip")]
WAYS["a backup's folder"] = lambda work, text: ["backup", str(work / text / "b.zip")]
WAYS["an export's folder"] = lambda work, text: ["export", "demo", "--csv", str(work / f"e{text}")]
WAYS["a page's file"] = lambda work, text: ["sheet", "demo", "--md", str(work / f"p{text}")]
WAYS["a card's file"] = lambda work, text: ["card", "demo", "--html", str(work / f"c{text}")]
WAYS["a new file"] = lambda work, text: ["new", _free(work, text)]
WAYS["a column told"] = lambda work, text: [
    "import", "demo", _named(work, "t.csv", "Date,60 ft\n2031-05-04,1.0\n"), "--column", text
]  # fmt: skip


def _free(work: Path, text: str) -> str:
    return str(work / f"n{text.replace('/', '_')[:60]}.toml")


@way("a car file's name")
def _(work: Path, text: str) -> list[str]:
    return ["check", _file(work, text, "id = 3\n")]


@way("a sound car file's name")
def _(work: Path, text: str) -> list[str]:
    return ["check", _file(work, text, DEMO.read_text("utf-8"))]


@way("a car file's key")
def _(work: Path, text: str) -> list[str]:
    return ["check", _named(work, "c.toml", f"{quoted(text)} = 1\nid = 2\n")]


@way("a car's name")
def _(work: Path, text: str) -> list[str]:
    lines = DEMO.read_text("utf-8").splitlines()
    lines = [f"name = {quoted(text)}" if row.startswith("name =") else row for row in lines]
    return ["check", _named(work, "c.toml", "\n".join(lines))]


@way("a car file's error of the parser")
def _(work: Path, text: str) -> list[str]:
    return ["check", _named(work, "c.toml", f"a = {text}\n")]


def _answers(name: str, content: Callable[[str], str], *more: str) -> None:
    WAYS[name] = lambda work, text: [
        "consult", str(DEMO), "--answers", _named(work, "a.toml", content(text)), *more
    ]  # fmt: skip


_answers("a key of answers", lambda text: f"{quoted(text)} = 1\n")
_answers("a session", lambda text: f"session = {quoted(text)}\n")
_answers("a key of a step", lambda text: f"[[step]]\n{quoted(text)} = 1\n")
_answers("a prompt", lambda text: f'[[step]]\nprompt = {quoted(text)}\nanswer = "x"\n')
_answers("an answer", lambda text: f'[[step]]\nprompt = "symptoms"\nanswer = {quoted(text)}\n')
_answers("an action", lambda text: f"[[step]]\naction = {quoted(text)}\n")
_answers("a key of an action", lambda t: f'[[step]]\naction = "note"\n{quoted(t)} = 1\n')
_answers(
    "an adjuster", lambda t: f'[[step]]\naction = "recount"\nadjuster = {quoted(t)}\nfound = 3\n'
)
_answers(
    "a note", lambda t: f'meeting = {quoted(t)}\n[[step]]\naction = "note"\ntext = {quoted(t)}\n'
)
_answers("a note as JSON", lambda t: f'[[step]]\naction = "note"\ntext = {quoted(t)}\n', "--json")


@way("an answers file's name")
def _(work: Path, text: str) -> list[str]:
    return ["consult", str(DEMO), "--answers", _file(work, text, "nonsense = 1\n")]


def _pages(name: str, content: Callable[[str], str]) -> None:
    WAYS[name] = lambda work, text: ["book", "check", _named(work, "r.toml", content(text))]


_pages("a key of a rule page", lambda text: f"{quoted(text)} = 1\n")
_pages("an id of a rule", lambda text: f"[[rule]]\nid = {quoted(text)}\n")
_pages("an unknown id of a rule page", lambda text: f"[symptom]\nid = {quoted(text)}\n")
_pages("a rule page's error of the parser", lambda text: f"[symptom]\nid = {text}\n")


@way("a rule page's name")
def _(work: Path, text: str) -> list[str]:
    return ["book", "check", _file(work, text, "nonsense = 1\n")]


def _condition(key: str, instead: str) -> Callable[[str], str]:
    text = _landing()
    return lambda hostile: text.replace(key, instead.format(quoted(hostile)))


def _landing() -> str:
    from importlib.resources import files

    text = files("rules.book").joinpath("front-drops-hard.toml").read_text("utf-8")
    return str(text)


_pages("a word of a condition", _condition('is = ["dangerous"]', "is = [{}]"))
_pages("a prompt of a condition", _condition('{ prompt = "stand" }', "{{ prompt = {} }}"))


def _tables(name: str, content: Callable[[str], str]) -> None:
    WAYS[name] = lambda work, text: ["import", "demo", _named(work, "t.csv", content(text))]


_tables("a head of a table", lambda text: f"Date,60 ft,{text}\n2031-05-04,1.0,x\n")
_tables("a cell of a table", lambda text: f"Date,60 ft\n2031-05-04,{text}\n")
_tables("a date of a table", lambda text: f"Date,60 ft\n2031-05-04,1.0\n{text},1.0\n")


@way("a table's name")
def _(work: Path, text: str) -> list[str]:
    return ["import", "demo", _file(work, text, "Date,60 ft\n", ".csv")]


def _exports(name: str, change: Callable[[dict[str, Any], str], None]) -> None:
    def prepare(work: Path, text: str) -> list[str]:
        event: dict[str, Any] = {
            "id": "00000000-0000-0000-0000-000000000001", "device": "d", "seq": 1,
            "at": "2031-05-04T09:00:00+00:00", "body": {"kind": "note-added", "text": "x"},
        }  # fmt: skip
        whole = {"program": "setdown", "format": 1, "events": [event]}
        change(event, text)
        return ["merge", "demo", _named(work, "e.json", json.dumps(whole))]

    WAYS[name] = prepare


_exports("a kind of an event", lambda event, text: event["body"].update(kind=text))
_exports("a key of an event", lambda event, text: event["body"].update({text: 1}))
_exports("a version of an event", lambda event, text: event["body"].update(version=text))
_exports("a device", lambda event, text: event.update(device=text))
_exports("a time", lambda event, text: event.update(at=text))
_exports("an id of an event", lambda event, text: event.update(id=text))
_exports("a note of another log", lambda event, text: event["body"].update(text=text))


@way("an export that is no JSON")
def _(work: Path, text: str) -> list[str]:
    return ["import", "demo", _file(work, text, '{"a": ' + text, ".json")]


@way("a dyno table's head")
def _(work: Path, text: str) -> list[str]:
    table = _named(work, "d.csv", f"speed [mm/s],{text} [N]\n50,100\n250,300\n")
    return ["crossover", table, table, "--count", "3"]


@way("a dyno table's unit")
def _(work: Path, text: str) -> list[str]:
    table = _named(work, "d.csv", f"speed [mm/s],3 [{text}]\n50,100\n250,300\n")
    return ["crossover", table, table, "--count", "3"]


@way("a dyno table's name")
def _(work: Path, text: str) -> list[str]:
    table = _file(work, text, "speed [mm/s],3 [N]\n50,100\n250,300\n", ".csv")
    return ["crossover", table, table, "--count", "9"]


@way("a folder of a car")
def _(work: Path, text: str) -> list[str]:
    car = work / "data" / "real" / "cars" / f"k{text}"
    car.mkdir(parents=True, exist_ok=True)
    (car / "car.toml").write_text("id = 1", "utf-8")
    return ["cars"]


@way("a log of words")
def _(work: Path, text: str) -> list[str]:
    folder = data_folder(work / "data")
    with Logbook.open(folder.log_file("demo"), text) as log:
        Desk(log, shipped()).act(ACTION.validate_python({"action": "note", "text": text}))
    return ["sheet", "demo"]


@cache
def _kept() -> dict[str, bytes]:
    """Return the files of a car with a log."""
    with TemporaryDirectory() as work:
        folder = data_folder(Path(work))
        car = add_car(folder, DEMO)
        with Logbook.open(folder.log_file("demo"), "tests") as log:
            desk = Desk(log, shipped())
            desk.describe(car)
            desk.answer("meeting", "Invented meeting")
            desk.answer("session", "test")
        return {path.name: path.read_bytes() for path in folder.car_file("demo").parent.iterdir()}


def prepared(work: Path, name: str, text: str) -> list[str]:
    """Make a data folder with a car and its log, and put a hostile text where `name` says."""
    folder = data_folder(work / "data")
    if not folder.log_file("demo").exists():
        make_folder(folder.log_file("demo").parent)
        for path, data in _kept().items():
            (folder.home / "cars" / "demo" / path).write_bytes(data)
    # No argument and no name of a file can hold these.
    text = "".join(char for char in text if char not in "\0/")
    text = text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    while len(os.fsencode(text)) > 120:
        text = text[:-1]
    return ["--data", str(work / "data"), *WAYS[name](work, text)]
