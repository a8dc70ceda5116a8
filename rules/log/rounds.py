"""What the rounds of the shop's sheets found that blocks advice, and what a pass lifts again."""

from collections.abc import Mapping

from rules.log.state import Round


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
