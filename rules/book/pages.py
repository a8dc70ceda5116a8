"""Pages of the rule book read into one book, with every fault of every page."""

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar, get_args

from pydantic import ValidationError

from rules.book import Book, BookError
from rules.book.facts import Condition, Is, leaves
from rules.book.safety import never_written, weakened
from rules.book.schema import BookFile, InspectionText, PromptText, RuleText, SymptomText
from rules.car.body import Tyre
from rules.car.model import RearSuspension
from rules.formats import RULE_FORMAT, FormatError, told
from rules.plain_data import PlainDataError, toml
from rules.question import UNKNOWN

BUILT_IN_FACTS: dict[str, tuple[str, ...] | None] = {
    "rear suspension": get_args(RearSuspension),
    "rear tyre": (*get_args(Tyre), "not said"),
    "wheelie bars": ("yes", "no"),
    "front bleed": ("not fitted", "has room", "open"),
    "front rebound side": ("softer than middle", "middle", "firmer than middle"),
    "knob side": ("softer than middle", "middle", "firmer than middle"),
    "knob room": None,
    "session": ("test", "qualifying", "eliminations"),
    "also seen": None,
    "tried": None,
    "levers tried": None,
    "looked at": None,
    "front travel used": None,
    "landing firmed": ("yes", "no"),
}
"""Facts a condition may name beside the prompts, with their words where those are few."""


Entry = TypeVar("Entry", SymptomText, RuleText, PromptText, InspectionText)


def assemble(texts: Mapping[str, str], base: Book | None = None) -> Book:
    """Read files into a book, on top of `base` where one is given.

    Raises:
        BookError: listing every fault of every file.
    """
    faults: list[str] = []
    pages: dict[str, BookFile] = {}
    for name in sorted(texts):
        try:
            raw = toml(texts[name], ours=base is None)
            RULE_FORMAT.of(raw)
            pages[name] = BookFile.model_validate(raw)
        except FormatError as error:
            faults.append(f"{name}: {error}")
        except PlainDataError as error:
            faults.append(f"{name}: {error.fault}")
        except ValidationError as error:
            faults += [f"{name}: {fault}" for fault in _field_faults(error)]
    if faults:
        raise BookError("\n".join(faults))
    symptoms = _index(pages, lambda page: [page.symptom] if page.symptom else [], faults)
    rules = _index(pages, lambda page: page.rule, faults)
    prompts = _index(pages, lambda page: page.prompt, faults)
    inspections = _index(pages, lambda page: page.inspection, faults)
    named = frozenset({*symptoms, *rules, *prompts, *inspections})
    book = Book(symptoms, rules, prompts, inspections, digest="")
    if base is not None:
        shipped_ids = {*base.symptoms, *base.rules, *base.prompts, *base.inspections}
        book = Book(
            {**base.symptoms, **symptoms},
            {**base.rules, **rules},
            {**base.prompts, **prompts},
            {**base.inspections, **inspections},
            digest="",
            overridden=frozenset(named & shipped_ids),
            own=named,
        )
        faults += weakened(base, Book(symptoms, rules, prompts, inspections, digest=""))
    for kind, entries in (("rule", rules), ("symptom", symptoms), ("prompt", prompts)):
        faults += [f"{kind} {e.id}: {what}" for e in entries.values() for what in never_written(e)]
    faults += _cross_faults(book)
    if faults:
        raise BookError("\n".join(faults))
    return replace(book, digest=_digest(texts, base))


def shipped_texts() -> dict[str, str]:
    """Return the pages that ship with the program, TOML text by file name."""
    return {path.name: path.read_text("utf-8") for path in _toml_files(files("rules.book"))}


def _toml_files(folder: Traversable) -> Iterable[Traversable]:
    for path in folder.iterdir():
        if path.is_dir():
            yield from _toml_files(path)
        elif path.name.endswith(".toml"):
            yield path


def _digest(texts: Mapping[str, str], base: Book | None) -> str:
    sha = hashlib.sha256(base.digest.encode() if base else b"")
    for name in sorted(texts):
        sha.update(name.encode() + b"\0" + texts[name].replace("\r\n", "\n").encode() + b"\0")
    return sha.hexdigest()[:16]


def _index(
    pages: Mapping[str, BookFile], pick: Callable[[BookFile], Iterable[Entry]], faults: list[str]
) -> dict[str, Entry]:
    found: dict[str, Entry] = {}
    for name, page in pages.items():
        for entry in pick(page):
            if entry.id in found:
                faults.append(f"{name}: id {entry.id!r} stands twice; every id is used once")
            found[entry.id] = entry
    return found


def _field_faults(error: ValidationError) -> list[str]:
    faults = []
    for fault in error.errors():
        where = ".".join(str(part) for part in fault["loc"]) or "file"
        found = repr(fault["input"])
        found = found if len(found) <= 60 else found[:57] + "..."
        faults.append(f"{where}: {told(fault)}; found {found}")
    return faults


def _cross_faults(book: Book) -> list[str]:
    faults = []
    for symptom in book.symptoms.values():
        where = f"symptom {symptom.id}"
        for ask in symptom.asks:
            faults += _missing(where, "prompt", ask.prompt, book.prompts)
            faults += [f"{where}: {f}" for f in _condition_faults(ask.when, book)]
        if symptom.inspection:
            faults += _missing(where, "inspection", symptom.inspection, book.inspections)
    for rule in book.rules.values():
        where = f"rule {rule.id}"
        faults += _missing(where, "symptom", rule.symptom, book.symptoms)
        for overshoot in rule.overshoot:
            faults += _missing(where, "overshoot symptom", overshoot, book.symptoms)
        if rule.inspection:
            faults += _missing(where, "inspection", rule.inspection, book.inspections)
        faults += [f"{where}: {f}" for f in _condition_faults(rule.when, book)]
        asked = (
            {ask.prompt for ask in book.symptoms[rule.symptom].asks}
            if (rule.symptom in book.symptoms)
            else set()
        )
        for example in (*rule.fires, *rule.silent):
            for prompt, answer in example.answers.items():
                faults += _answer_faults(where, prompt, answer, asked, book)
    return faults


def _missing(where: str, what: str, wanted: str, known: Mapping[str, object]) -> list[str]:
    if wanted in known:
        return []
    return [f"{where}: {what} {wanted!r} is not in the book"]


def _condition_faults(condition: Condition, book: Book) -> list[str]:
    faults = []
    for leaf in leaves(condition):
        words: tuple[str, ...] | None
        if leaf.fact in book.prompts:
            words = (*(choice.id for choice in book.prompts[leaf.fact].choices), UNKNOWN)
        elif leaf.fact in BUILT_IN_FACTS:
            words = BUILT_IN_FACTS[leaf.fact]
        else:
            faults.append(f"condition on {leaf.fact!r}, which is neither a prompt nor a known fact")
            continue
        if isinstance(leaf, Is) and words is not None:
            faults += [
                f"condition on {leaf.fact!r} wants {word!r}; it can be {', '.join(words)}"
                for word in leaf.words
                if word not in words
            ]
    return faults


def _answer_faults(where: str, prompt: str, answer: str, asked: set[str], book: Book) -> list[str]:
    if prompt not in asked:
        return [f"{where}: an example answers {prompt!r}, which this symptom does not ask"]
    choices = (
        [choice.id for choice in book.prompts[prompt].choices] if prompt in book.prompts else []
    )
    if answer in (*choices, UNKNOWN):
        return []
    return [
        f"{where}: an example answers {prompt!r} with {answer!r}; it can be {', '.join(choices)}"
    ]
