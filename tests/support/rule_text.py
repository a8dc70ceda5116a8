"""Every sentence of the shipped book."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from rules.book import Book
from rules.part import FilePart


def texts_of(book: Book) -> Iterator[str]:
    """Yield every text that holds a blank: single words are names and ids."""
    for part in (book.symptoms, book.rules, book.prompts, book.inspections):
        yield from _texts(list(part.values()))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        if " " in value:
            yield value
    elif isinstance(value, FilePart):
        yield from _texts(list(value.held().values()))
    elif is_dataclass(value):
        yield from _texts([getattr(value, one.name) for one in fields(value)])
    elif isinstance(value, dict):
        yield from _texts(list(value.values()))
    elif isinstance(value, (list, tuple)):
        for one in value:
            yield from _texts(one)
