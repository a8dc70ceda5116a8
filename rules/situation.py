"""One pass as the rules see it."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules import gates
from rules.adjusters import Adjuster, adjusters
from rules.book import Book
from rules.book.schema import UNKNOWN
from rules.conditions import Fact
from rules.state import Run, State
from rules.symptoms import named_symptoms, treated_symptom
from rules.tried import Record, record


@dataclass(frozen=True)
class Situation:
    """One pass as the rules see it: the treated symptom, the facts, the record so far.

    `fitted` is every adjuster of the car by id.
    """

    state: State
    run: Run
    book: Book
    symptom: str
    facts: Mapping[str, Fact]
    record: Record
    minutes_left: int | None
    fitted: Mapping[str, Adjuster]

    @property
    def danger(self) -> bool:
        """Whether the pass showed danger."""
        named = frozenset(named_symptoms(self.state, self.run))
        return gates.is_danger(named, self.run.answers, self.book)

    @property
    def unknown(self) -> list[str]:
        """Prompts that were answered with "don't know"."""
        return [
            p
            for p, value in self.run.answers.items()
            if value == UNKNOWN and p in self.book.prompts
        ]


def situation(state: State, run: Run, book: Book) -> Situation:
    """Gather what the rules may look at."""
    symptoms = named_symptoms(state, run)
    tried = record(state)
    facts: dict[str, Fact] = {
        key: value
        for key, value in run.answers.items()
        if key in book.prompts and isinstance(value, str | float)
    }
    assert state.car is not None
    facts["rear suspension"] = state.car.rear_suspension
    facts["wheelie bars"] = "yes" if state.car.wheelie_bars else "no"
    facts["also seen"] = frozenset(symptoms)
    facts["session"] = run.session or "test"
    facts["tried"] = tried.words()
    symptom = treated_symptom(symptoms, book)
    fitted = adjusters(state.car)
    return Situation(state, run, book, symptom, facts, tried, state.minutes_left, fitted)
