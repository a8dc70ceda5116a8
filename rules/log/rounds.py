"""The rounds of the shop's sheets: what they found that blocks advice, what a pass lifts again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rules.log.events.base import AnswerValue


@dataclass(frozen=True)
class Round:
    """One filling in of a sheet of the shop: answers in the order given, and when it was closed.

    `stops` says by inspection what it found that blocks advice. `of` is the round it corrects.
    """

    number: int
    began: datetime
    answers: Mapping[str, AnswerValue] = field(default_factory=dict)
    closed: datetime | None = None
    stops: Mapping[str, str] = field(default_factory=dict)
    of: int | None = None


def in_one_line(words: str) -> str:
    """Return what a round found for an inspection, a line for each finding, as one text."""
    return " ".join(words.splitlines())


def reason_of(sheet: str, number: int, item: str = "") -> str:
    """Return what ticks belong to: a round of a sheet with its corrections, or one item of it."""
    return f"{sheet} {number} {item}".rstrip()


def first_of(rounds: tuple[Round, ...], one: Round) -> int:
    """Return the number of the round that a correction corrects in the end; its own otherwise."""
    by_number = {each.number: each for each in rounds}
    while one.of in by_number:
        one = by_number[one.of]
    return one.number


def fresh(before: Mapping[str, str], after: Mapping[str, str]) -> frozenset[str]:
    """Return the inspections for which something is found that was not found before."""
    return frozenset(
        inspection
        for inspection, words in after.items()
        if not set(words.splitlines()) <= set(before.get(inspection, "").splitlines())
    )


FIT = "fit checks"


CHECK = "fit-check"
