"""The shipped book as an earlier start read it; a part of it is read when it is asked for."""

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from profiles.worked_out import worked_out
from rules.book import Book, shipped

BOOK_FILE = ".book"
"""Hidden, so that no backup takes it along; each part of the book lies in one of its own."""
T = TypeVar("T")


class ReadWhenAsked(Mapping[str, T]):
    """A mapping that is read when it is first asked."""

    def __init__(self, read: Callable[[], Mapping[str, T]]) -> None:
        self._read = read

    @cached_property
    def _whole(self) -> Mapping[str, T]:
        return self._read()

    def __getitem__(self, key: str) -> T:
        return self._whole[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._whole)

    def __len__(self) -> int:
        return len(self._whole)


def kept_book(folder: Path) -> Book:
    """Return the shipped book, kept in a folder for the next start."""
    # The program that keeps it is known by its pages, too.
    digest = worked_out(folder / BOOK_FILE, b"", str, lambda: shipped().digest)
    return Book(
        symptoms=ReadWhenAsked(lambda: _kept(folder, "symptoms")),
        rules=ReadWhenAsked(lambda: _kept(folder, "rules")),
        prompts=ReadWhenAsked(lambda: _kept(folder, "prompts")),
        inspections=ReadWhenAsked(lambda: _kept(folder, "inspections")),
        digest=digest,
        kept_names=ReadWhenAsked(lambda: _kept(folder, "names")),
    )


def _kept(folder: Path, kind: str) -> dict[str, Any]:
    path = folder / f"{BOOK_FILE}-{kind}"
    return worked_out(path, b"", dict, lambda: dict(getattr(shipped(), kind)))
