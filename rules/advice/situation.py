"""One pass as the rules see it."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.advice.looked_through import look_through
from rules.advice.record import Record, record
from rules.advice.safety import gates
from rules.advice.safety.firm_landing import LANDING_FIRMED, landing_was_firmed
from rules.advice.safety.pass_facts import LEVERS_TRIED, facts_of
from rules.advice.treated import treated_symptom
from rules.book import Book
from rules.book.facts import Fact
from rules.book.schema import Ask
from rules.car.adjusters import Adjuster
from rules.log.reach import as_reached
from rules.log.said import named_symptoms
from rules.log.state import Run, State
from rules.question import UNKNOWN


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
    def settled_first(self) -> str:
        """What is settled beside a danger that is treated, or nothing."""
        named = (self.book.symptoms.get(one) for one in named_symptoms(self.state, self.run))
        return next((s.id for s in named if s and s.settled_first and s.id != self.symptom), "")

    @property
    def asks(self) -> tuple[Ask, ...]:
        """What the book asks of this pass: of what is settled first, then of what is treated."""
        symptoms = filter(None, (self.settled_first, self.symptom))
        asks = (ask for symptom in symptoms for ask in self.book.symptoms[symptom].asks)
        return tuple(dict.fromkeys(asks))

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
    look_through(state, book)
    symptoms = named_symptoms(state, run)
    tried = record(state, book)
    facts: dict[str, Fact] = {
        key: value
        for key, value in run.answers.items()
        if key in book.prompts and isinstance(value, str | float)
    }
    facts["rear suspension"] = state.described_car.rear_suspension
    facts["wheelie bars"] = "yes" if state.described_car.wheelie_bars else "no"
    facts |= facts_of(state, run)
    facts["rear tyre"] = state.described_car.rear.tyre or "not said"
    facts |= _front_knobs(state)
    facts[LANDING_FIRMED] = "yes" if landing_was_firmed(state) else "no"
    facts["looked at"] = looked_at(state, run, book)
    facts["session"] = run.session or "test"
    facts |= tried_facts(tried, book)
    symptom = treated_symptom(symptoms, book)
    fitted = as_reached(state, state.fitted)
    return Situation(state, run, book, symptom, facts, tried, state.minutes_left, fitted)


def looked_at(state: State, run: Run, book: Book) -> frozenset[str]:
    """Return the lists that were ticked clean since the last reason to."""
    return frozenset(
        one
        for one in book.inspections
        if gates.is_clear(state, book, one, reason_to_look(run, book, one))
    )


def reason_to_look(run: Run, book: Book, inspection: str) -> str:
    """Return what the ticks of a list belong to: this pass, or the whole meeting."""
    lasts = book.inspections[inspection].lasts
    return run.id if lasts == "pass" or not run.meeting else run.meeting


def side(firmness: float) -> str:
    """Say on which side of its middle a knob stands, from 0 at full soft to 1 at full hard."""
    if abs(firmness - 0.5) < 0.02:
        return "middle"
    return ("firmer" if firmness > 0.5 else "softer") + " than middle"


def _front_knobs(state: State) -> dict[str, Fact]:
    """Return on which side of its middle the front rebound stands, and how the bleed does."""
    fitted = state.fitted.values()
    knobs = [one for one in fitted if one.part == "knob" and one.axle == "front"]
    rebound = [one for one in knobs if one.controls in ("rebound", "both")]
    at = [f for one in rebound if (f := one.firmness(state.settings[one.id])) is not None]
    bleeds = [one for one in knobs if one.controls == "compression" and one.speed == "low"]
    room = any(one.room(state.settings[one.id], upward=False) >= 1 for one in bleeds)
    facts: dict[str, Fact] = {"front bleed": "has room" if room else "open"}
    if not bleeds:
        facts["front bleed"] = "not fitted"
    if at:
        facts["front rebound side"] = side(sum(at) / len(at))
    return facts


def tried_facts(tried: Record, book: Book) -> dict[str, Fact]:
    """Return what the meeting's changes have shown: rule and verdict, and which levers moved."""
    rules = (book.rules.get(change.rule or "") for change in tried.changes)
    parts = frozenset(rule.lever.part for rule in rules if rule is not None and rule.lever)
    return {"tried": tried.words(), LEVERS_TRIED: parts}
