"""The crew's own pages that can be used: one with a fault is left out and named, the rest stand."""

from collections.abc import Mapping

from rules.book import Book, BookError, shipped, with_own


def with_sound(texts: Mapping[str, str]) -> tuple[Book, dict[str, str]]:
    """Return the shipped book with the crew's sound pages, and the faults of each page left out.

    Pages may lean on one another: a page is left out only where the others stand without it, or
    where no page of those that are left can be taken in.

    Args:
        texts: TOML text by file name.
    """
    pages, faults = dict(texts), dict[str, str]()
    while pages:
        together = _faults(pages)
        if not together:
            return with_own(pages), faults
        left_out = _without(pages, together)
        for name in left_out:
            faults[name] = _faults({name: pages[name]}) or together
        pages = {name: text for name, text in pages.items() if name not in left_out}
    return shipped(), faults


def _without(pages: Mapping[str, str], together: str) -> list[str]:
    """Return the pages to leave out next: those named, else one that spoils the rest, else all."""
    rows = together.split("\n")
    named = [name for name in pages if any(row.startswith(f"{name}: ") for row in rows)]
    # A page whose own text is at fault is named; the others are looked at once it is gone.
    if named:
        return named
    spoiling = [
        name
        for name in pages
        if not _faults({other: text for other, text in pages.items() if other != name})
    ]
    if spoiling:
        return spoiling[:1]
    alone = [name for name, text in pages.items() if _faults({name: text})]
    return alone or list(pages)


def _faults(pages: Mapping[str, str]) -> str:
    """Return the faults of some pages, taken together; empty where they have none."""
    try:
        with_own(pages)
    except BookError as error:
        return str(error)
    return ""
