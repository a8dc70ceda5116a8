"""One more table in a list of a car file, or one fewer: every other line stays as it is."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit

from rules.car.edits import Path

_HEAD = re.compile(r"\s*(?P<open>\[\[?)\s*(?P<names>[A-Za-z0-9_. -]+?)\s*\]\]?\s*(#.*)?$")


@dataclass(frozen=True)
class _Block:
    """The lines from a header to the last one that says something before the next header."""

    path: Path
    first: int
    last: int


def with_item(text: str, path: Path, value: Mapping[str, Any]) -> Iterator[str]:
    """Yield the text with a table behind the last of its list, or where the list belongs."""
    lines = text.splitlines(keepends=True)
    *holder, at = path
    before: Path = (*holder, int(at) - 1) if at else tuple(holder[:-1])
    ends = [block.last for block in _blocks(lines) if before and _within(block.path, before)]
    if not ends and before:
        return
    end = "\r\n" if "\r\n" in text else "\n"
    names = [step for step in holder if isinstance(step, str)]
    rows = "".join(f"{row}{end}" for row in ["", *_written(names, value)])
    place = max(ends) + 1 if ends else len(lines)
    if place and not lines[place - 1].endswith("\n"):
        lines[place - 1] += end
    yield "".join([*lines[:place], rows, *lines[place:]])


def without_item(text: str, path: Path) -> Iterator[str]:
    """Yield the text without a table of a list and all that belongs to it."""
    lines = text.splitlines(keepends=True)
    gone = [block for block in _blocks(lines) if _within(block.path, path)]
    if not gone:
        return
    first, after = gone[0].first, max(block.last for block in gone) + 1
    if first and not lines[first - 1].strip() and after < len(lines) and not lines[after].strip():
        after += 1
    yield "".join([*lines[:first], *lines[after:]])


def _within(path: Path, holder: Path) -> bool:
    return path[: len(holder)] == holder


def _blocks(lines: list[str]) -> list[_Block]:
    heads = [(at, found) for at, line in enumerate(lines) if (found := _HEAD.match(line))]
    counts: dict[Path, int] = {}
    blocks = []
    ends = [at for at, _ in heads[1:]] + [len(lines)]
    for (first, found), end in zip(heads, ends, strict=True):
        place: Path = ()
        names = [name.strip() for name in found["names"].split(".")]
        for depth, name in enumerate(names, 1):
            place = (*place, name)
            if depth == len(names) and found["open"] == "[[":
                counts[place] = counts.get(place, 0) + 1
            if place in counts:
                place = (*place, counts[place] - 1)
        says = [at for at in range(first, end) if lines[at].strip() and not _is_comment(lines[at])]
        blocks.append(_Block(place, first, says[-1]))
    return blocks


def _is_comment(line: str) -> bool:
    return line.lstrip().startswith("#")


def _written(names: list[str], value: Mapping[str, Any]) -> Iterator[str]:
    """Yield the rows of a table of a list, the lists of tables in it after its own keys."""
    yield f"[[{'.'.join(names)}]]"
    inner = {key: one for key, one in value.items() if isinstance(one, list) and _tables(one)}
    for key, one in value.items():
        if key not in inner:
            yield f"{key} = {tomlkit.item(one).as_string()}"
    for key, tables in inner.items():
        for table in tables:
            yield ""
            yield from _written([*names, key], table)


def _tables(value: list[Any]) -> bool:
    return bool(value) and all(isinstance(one, Mapping) for one in value)
