"""Every file a crew keeps carries the number of its format: older ones open, newer ones say so.

The golden files `car-N.toml`, `rules-N.toml`, `answers-N.toml` and `export-N.json` are frozen: a
later version changes its reading, never these files.
"""

import json
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import pytest
import tomlkit

import profiles.edit_car
import profiles.files
from profiles.edit_car import edit_car
from profiles.exports import ExportError, read_json
from profiles.files import SHIPPED_CARS, CarFileError, add_car, load_car, read_car
from profiles.formats import text_of_today
from profiles.paths import DataFolder
from profiles.schema import car_schema
from rules import checked
from rules.book import BookError, shipped, with_own
from rules.car.edits import Edit
from rules.car.model import Car
from rules.formats import (
    ANSWERS_FORMAT,
    CAR_FORMAT,
    EXPORT_FORMAT,
    RULE_FORMAT,
    STEPS,
    Format,
    brought_up,
)
from rules.log.merge import state_of
from rules.units import Quantity
from tests.support.golden_log import what_is_kept
from tui.commands.consult import ConsultError, read_answers

GOLDEN = Path(__file__).parents[1] / "golden"
NEWER = "wanted {0.number}: a newer Setdown wrote this {0.name}; update this one first"


def golden(name: str, form: Format) -> list[Path]:
    """Return the golden file of each number there ever was."""
    paths = [GOLDEN / name.replace("N", str(number)) for number in range(1, form.number + 1)]
    assert all(path.exists() for path in paths)
    return paths


@pytest.mark.parametrize("path", golden("car-N.toml", CAR_FORMAT))
def test_a_golden_car_file_means_what_it_meant(path: Path) -> None:
    """All that the car of then had, it has."""
    read = load_car(path).model_dump(mode="json", by_alias=True)
    assert_holds(read, json.loads(path.with_suffix(".read.json").read_text()))


def assert_holds(found: Any, kept: Any, where: str = "") -> None:
    """Hold that a value still has all that was kept of it; more may have come."""
    if isinstance(kept, dict):
        for key in kept.keys() - {CAR_FORMAT.key}:
            assert_holds(found[key], kept[key], f"{where}.{key}")
    elif isinstance(kept, list):
        assert len(found) == len(kept), where
        for at, one in enumerate(kept):
            assert_holds(found[at], one, f"{where}[{at}]")
    else:
        assert found == (pytest.approx(kept) if isinstance(kept, float) else kept), where


@pytest.mark.parametrize("path", golden("rules-N.toml", RULE_FORMAT))
def test_a_golden_rule_page_is_taken_into_the_book(path: Path) -> None:
    """A crew's own rule stays in its book."""
    text = text_of_today(path.read_text("utf-8"), RULE_FORMAT)
    assert "my-own-rule" in with_own({path.name: text}).own


@pytest.mark.parametrize("path", golden("answers-N.toml", ANSWERS_FORMAT))
def test_a_golden_answers_file_is_read_whole(path: Path) -> None:
    """Every answer is still one."""
    answers = read_answers(path.read_text("utf-8"), path.name)
    assert (answers.run, answers.meeting, len(answers.step)) == ("smoke", "Invented meeting", 5)


@pytest.mark.parametrize("path", golden("export-N.json", EXPORT_FORMAT))
def test_a_golden_export_adds_up_to_what_its_log_does(path: Path) -> None:
    """The export of the first golden log folds to the state of that log."""
    state = state_of(read_json(path.read_bytes(), path.name))
    kept = json.loads((GOLDEN / "log-1.state.json").read_text())
    assert json.loads(json.dumps(what_is_kept(state))) == kept


def test_a_file_of_a_newer_program_is_refused_in_one_sentence() -> None:
    """A key that came later is never told as the crew's own fault: the number says it first."""
    car = (SHIPPED_CARS / "demo.toml").read_text("utf-8")
    today, later = (f"setdown_car = {CAR_FORMAT.number + more}" for more in (0, 1))
    newer = car.replace(today, f"{later}\nfrom_later = true")
    with pytest.raises(CarFileError) as at_the_car:
        read_car(newer.encode(), "car.toml")
    (fault,) = at_the_car.value.faults
    assert str(fault) == f"setdown_car: found {CAR_FORMAT.number + 1}; {NEWER.format(CAR_FORMAT)}"

    today, later = (f"setdown_rules = {RULE_FORMAT.number + more}" for more in (0, 1))
    rules = (GOLDEN / f"rules-{RULE_FORMAT.number}.toml").read_text("utf-8")
    rules = rules.replace(today, f"{later}\nfrom_later = true")
    with pytest.raises(BookError) as at_the_book:
        with_own({"mine.toml": rules})
    found = RULE_FORMAT.number + 1
    said = f"mine.toml: setdown_rules: found {found}; {NEWER.format(RULE_FORMAT)}"
    assert str(at_the_book.value) == said

    with pytest.raises(ConsultError) as at_the_answers:
        read_answers("setdown_answers = 2\nfrom_later = true\n", "a.toml")
    said = f"a.toml: setdown_answers: found 2; {NEWER.format(ANSWERS_FORMAT)}"
    assert str(at_the_answers.value) == said

    export = json.loads((GOLDEN / "export-1.json").read_text())
    with pytest.raises(ExportError) as at_the_export:
        read_json(json.dumps({**export, "format": 2}).encode(), "e.json")
    assert str(at_the_export.value) == f"e.json: format: found 2; {NEWER.format(EXPORT_FORMAT)}"


@pytest.mark.parametrize("number", ['"1"', "0", "true", "1.0"])
def test_a_number_that_is_none_is_a_fault(number: str) -> None:
    """The number is a whole one from 1."""
    with pytest.raises(CarFileError, match=rf"setdown_car: found .*; wanted {CAR_FORMAT.number}$"):
        read_car(f'setdown_car = {number}\nid = "x"\nname = "X"\nunits = "us"\n'.encode(), "c")


@pytest.mark.parametrize("text", ["colour = 1\n", 'setdown_answers = 1\ncolour = "red"\n'])
def test_an_unknown_key_is_told_in_plain_words(text: str) -> None:
    """A crew sees whether it is its own slip or a newer program's key."""
    with pytest.raises(ConsultError, match="colour: a key that this Setdown does not know"):
        read_answers(text, "a.toml")


TODAY = CAR_FORMAT._replace(number=CAR_FORMAT.number + 1)


def weight_for_mass(data: MutableMapping[str, Any]) -> None:
    """Let the masses of the format before have been called weights."""
    data["masses"]["total"] = data["masses"].pop("weight")


@pytest.fixture
def of_then(monkeypatch: pytest.MonkeyPatch) -> str:
    """A car file of the format before, with a key of another name, in a program of the next."""
    monkeypatch.setitem(STEPS, ("setdown_car", CAR_FORMAT.number), weight_for_mass)
    for module in (profiles.files, profiles.edit_car):
        monkeypatch.setattr(module, "CAR_FORMAT", TODAY)
    # The model of today stands in for the next format's, which it does not yet know by number.
    monkeypatch.setattr(Car.fields["format"], "declared", int)
    monkeypatch.setattr(Car.fields["format"], "default", TODAY.number)
    for built in ("_MODELS", "_READERS"):
        monkeypatch.setattr(checked, built, {})
    text = (SHIPPED_CARS / "demo.toml").read_text("utf-8")
    return text.replace("\ntotal = ", "\nweight = ")


def comments(text: str) -> list[str]:
    return [line.partition("#")[2].strip() for line in text.splitlines() if "#" in line]


def test_an_older_file_is_brought_up_with_its_comments_and_order(of_then: str) -> None:
    """Only what the step changes moves; a file of today is not touched."""
    text = text_of_today(of_then, TODAY)
    assert comments(text) == comments(of_then)
    assert f"setdown_car = {TODAY.number}" in text
    changed = set(text.splitlines()) ^ set(of_then.splitlines())
    assert {line.split(" = ")[0] for line in changed} == {"setdown_car", "total", "weight"}
    assert text_of_today(text, TODAY) == text
    assert text_of_today("\ufeff" + of_then, TODAY) == "\ufeff" + text


def test_a_file_without_a_number_is_of_format_one(of_then: str) -> None:
    """The number goes before the first table."""
    bare = of_then.replace(f"setdown_car = {CAR_FORMAT.number}", "")
    raw = tomlkit.parse(text_of_today(bare, TODAY)).unwrap()
    assert raw["setdown_car"] == TODAY.number


def test_text_that_cannot_be_read_is_left_to_its_reader() -> None:
    """A migration hides no fault."""
    today, newer = (f"setdown_car = {TODAY.number + more}\n" for more in (0, 1))
    for text in ("setdown_car = ", newer, today):
        assert text_of_today(text, TODAY) == text


def test_an_export_and_a_stored_car_are_brought_up_by_the_same_step(of_then: str) -> None:
    """What is no text has no comments to keep: the step works on any table."""
    raw = tomlkit.parse(of_then).unwrap()
    total = raw["masses"]["weight"]
    brought_up(raw, TODAY)
    assert (raw["setdown_car"], raw["masses"]["total"]) == (TODAY.number, total)


def test_an_edit_brings_the_kept_file_up_and_keeps_the_one_before(
    folder: DataFolder, of_then: str
) -> None:
    """The file moves to the format of today when the tool first writes it, comments kept."""
    path = folder.car_file("demo")
    path.parent.mkdir(parents=True)
    path.write_text(of_then, "utf-8")
    edit = Edit(("geometry", "cg_height"), 0.6, "Height", Quantity.LENGTH)
    edit_car(folder, "demo", [edit])
    text = path.read_text("utf-8")
    assert f"setdown_car = {TODAY.number}" in text
    assert "\ntotal = " in text
    assert comments(text) == comments(of_then)
    assert path.with_name(f"{path.name}.previous").read_text("utf-8") == of_then


def test_the_model_and_the_starter_say_the_number_of_today(folder: DataFolder) -> None:
    """One number: in the format, in the model, and in every file that is written."""
    assert Car.fields["format"].default == CAR_FORMAT.number
    assert f"{CAR_FORMAT.key} = {CAR_FORMAT.number}" in (SHIPPED_CARS / "demo.toml").read_text()
    assert car_schema()["properties"][CAR_FORMAT.key]["default"] == CAR_FORMAT.number
    assert add_car(folder, SHIPPED_CARS / "demo.toml").format == CAR_FORMAT.number


def test_every_older_format_has_its_step() -> None:
    """A number goes up together with the way to it."""
    for form in (CAR_FORMAT, RULE_FORMAT, ANSWERS_FORMAT, EXPORT_FORMAT):
        assert {(form.key, number) for number in range(1, form.number)} <= STEPS.keys()


def test_the_shipped_book_is_of_today() -> None:
    """Shipped pages need no number: they are what number 1 is."""
    assert shipped().rules
