"""What a sheet of the shop says, in lines: its procedure, its answers, and what they come to."""

from collections.abc import Callable
from textwrap import wrap
from typing import NamedTuple

from rules.car.edits import Edit
from rules.crew.sheets.rounds import faults, lines_of
from rules.crew.sheets.sheet import Filling, Result, Sheet
from rules.shop.findings import WORDS, gravest_first
from tui.pages.rows import beside

Changes = list[tuple[Edit, str, str]]
"""What goes into the car file: each value with its words before and after."""
LABEL = 40


class SheetLines(NamedTuple):
    """Lays a sheet out in lines of so many cells; `spoken` has the crew's wording and units."""

    sheet: Sheet
    spoken: Callable[[str], str]
    width: int

    def answers(self, now: Filling) -> list[str]:
        """Return what was answered, the latest last."""
        given = lines_of(self.sheet, now)
        return [row for label, words in given for row in self.answer(label, words)]

    def answer(self, label: str, words: str) -> list[str]:
        """Lay out one answer beside what was asked."""
        return beside(self.spoken(label), self.spoken(words), self.width, LABEL)

    def procedure(self) -> list[str]:
        """Return how it is done, numbered."""
        return [
            row
            for number, text in enumerate(self.sheet.procedure, 1)
            for row in wrap(f"{number}. {self.spoken(text)}", self.width, subsequent_indent="   ")
        ]

    def texts(self, says: tuple[str, ...]) -> list[str]:
        """Return texts wrapped."""
        return [row for text in says for row in wrap(self.spoken(text), self.width)]

    def result(self, result: Result) -> list[str]:
        """Return what came of the sheet, the gravest finding first."""
        found = [
            row
            for one in gravest_first(result.findings)
            for row in wrap(
                self.spoken(f"{WORDS[one.level]:<5}{one.name}: {one.words}"),
                self.width,
                subsequent_indent="     ",
            )
        ]
        return [*self.texts(result.lines), *found]

    def edits(self, rows: Changes) -> list[str]:
        """Return what there is to put into the car file."""
        return ["For the car file:"] + [
            row
            for edit, was, after in rows
            for row in wrap(
                self.spoken(f"{edit.label}: {was} -> {after}"),
                self.width,
                initial_indent="  ",
                subsequent_indent="    ",
            )
        ]

    def misfits(self, now: Filling) -> list[str]:
        """Return what of the answers does not fit."""
        return self.texts(
            tuple(f"Does not fit: {one}. F5 says it again." for one in faults(self.sheet, now))
        )


def fitted(lines: list[str], last: list[str], room: int, key: str) -> list[str]:
    """Keep the first lines, of which a key shows the rest, or the last of answers where none does.

    last: stands below them, in half the room at most.
    """
    if len(lines) + len(last) <= room:
        return [*lines, *last]
    if room < 2:
        return []
    if key:
        kept = last[: room // 2]
        return [*lines[: room - 1 - len(kept)], f"... {key} shows the rest of it.", *kept]
    return [f"... {len(lines) - room + 1} more above: F4", *lines[-(room - 1) :]]
