"""What the book alone would have done after a pass, and what that truly comes to on the next one.

Both ways are run on the true car in the air of the pass that comes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.advice.advise import advise
from rules.book import Book
from rules.car.adjusters import Turn
from rules.log.advice import Advice
from rules.log.state import State
from tests.bench.virtual.cars import Air, TrueCar
from tests.bench.virtual.eyes import CLEARLY
from tests.bench.virtual.faults import clearly_worse, fault_of, faults_of
from tests.bench.virtual.truth import Outcome

CAME_TO = ("cured", "less", "same", "worse")


@dataclass(frozen=True)
class BooksWay:
    """A rule of the book's that stood after a pass.

    otherwise: whether another lever, another direction or no turn was chosen.
    book, chosen: what the rule's way and the chosen one truly come to, of `CAME_TO`.
    """

    rule: str
    otherwise: bool
    book: str
    chosen: str


def books_way(state: State, book: Book, given: Advice, car: TrueCar, air: Air) -> BooksWay | None:
    """Return the rule that the book alone goes by after the last pass; None where it has none."""
    alone = advise(state, state.runs[-1], book)
    if alone.rule is None or alone.symptom is None:
        return None
    today = dict(state.settings)
    before = car.run(today, air)
    book_word, chosen_word = (
        came_to(before, car.run({**today, **_goals(one.turns)}, air), alone.symptom)
        for one in (alone, given)
    )
    return BooksWay(alone.rule, _signs(alone.turns) != _signs(given.turns), book_word, chosen_word)


def came_to(before: Outcome, after: Outcome, symptom: str) -> str:
    """Return what became of a fault in the same air; a worse danger is worse, whatever it did."""
    key = fault_of(symptom)
    had, has = (faults_of(one).get(key, 0.0) for one in (before, after))
    if clearly_worse(before, after) or has - had > CLEARLY * max(had, 0.3):
        return "worse"
    if had > 0.0 and has == 0.0:
        return "cured"
    return "less" if had - has > CLEARLY * max(had, 0.3) else "same"


def table(ways: Iterable[BooksWay]) -> list[str]:
    """Return a row for each rule, the one most often overruled first."""
    by_rule: dict[str, list[BooksWay]] = {}
    for one in ways:
        by_rule.setdefault(one.rule, []).append(one)
    head = f"{'rule':38} stood other   {'its own way truly':23}   {'what was chosen':23}"
    words = " ".join(f"{word:>5}" for word in CAME_TO)
    rows = [head, f"{'':38} {'':5} {'':5}   {words}   {words}"]
    for rule, every in sorted(by_rule.items(), key=lambda one: (-_overruled(one[1]), one[0])):
        others = [one for one in every if one.otherwise]
        book, chosen = (
            " ".join(f"{[getattr(one, name) for one in others].count(word):5}" for word in CAME_TO)
            for name in ("book", "chosen")
        )
        rows.append(f"{rule:38} {len(every):5} {len(others):5}   {book}   {chosen}")
    return rows


def _overruled(ways: Sequence[BooksWay]) -> int:
    return sum(one.otherwise for one in ways)


def _goals(turns: Iterable[Turn]) -> Mapping[str, float]:
    return {turn.adjuster: turn.after for turn in turns}


def _signs(turns: Iterable[Turn]) -> set[tuple[str, bool]]:
    return {(turn.adjuster, turn.after > turn.before) for turn in turns}
