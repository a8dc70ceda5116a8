"""What came of every change, in the crew's word and by the clock: as a table and in few words."""

from rules.advice.change_evidence import ChangeVerdict, verdict_of
from rules.advice.decision import follow_up
from rules.book import Book
from rules.evidence.verdict_words import effect_words, headline
from rules.log.changes import Change
from rules.log.state import State
from rules.once import once_for_each
from rules.paper.tables import Cell, Table, change_verdict, system_of
from rules.wording import say

HEADER = (
    "change",
    "title",
    "symptom",
    "passes",
    "crew's word",
    "60-foot says",
    "effect [s]",
    "effect, low [s]",
    "effect, high [s]",
    "chance quicker",
    "worth having from [s]",
    "order of passes",
    "decision",
    "reason",
)


def judged(state: State, book: Book, change: Change) -> ChangeVerdict | None:
    """Return what is known of a change; None where it is no change to judge, or had no pass."""
    if not change.runs or change.origin == "put back":
        return None
    return verdict_of(state, book, change)


@once_for_each(1)
def verdicts_table(state: State, book: Book) -> Table:
    """Return the verdict of every change that a pass was made with. An effect below 0 is quicker.

    The effect is drawn towards nothing; low and high hold it nine times in ten.
    """
    system = system_of(state)
    rows: list[tuple[Cell, ...]] = []
    for number, change in enumerate(state.one_by_one(state.changes), 1):
        if not change.runs:
            continue
        passes = "; ".join(str(run.number) for run in state.runs_of(change))
        found = judged(state, book, change)
        rows.append(
            (
                number,
                say(change.title, system),
                _symptom(book, change, state),
                passes,
                change_verdict(state, change),
                *_timed(found),
                *_decided(state, book, change, found),
            )
        )
    return Table(HEADER, tuple(rows))


def _symptom(book: Book, change: Change, state: State) -> str:
    symptom = book.symptoms.get(change.symptom or "")
    return say(symptom.name, system_of(state)) if symptom else change.symptom or ""


def _timed(found: ChangeVerdict | None) -> tuple[Cell, ...]:
    if found is None or found.times is None or not has_both(found):
        return (by_the_clock(found), None, None, None, None, None, "")
    times = found.times
    low, high = times.effect.range
    return (
        by_the_clock(found),
        round(times.effect.mean, 4),
        round(low, 4),
        round(high, 4),
        round(times.quicker, 3),
        found.worth_s,
        "-".join(times.design.letters),
    )


def _decided(
    state: State, book: Book, change: Change, found: ChangeVerdict | None
) -> tuple[Cell, Cell]:
    """Return what follows for a change, and why; no act where something else goes first."""
    decided = follow_up(state, book, change) if found is not None else None
    if decided is None:
        return ("", "")
    return (decided.act or "", say(decided.text, system_of(state)))


def has_both(found: ChangeVerdict) -> bool:
    """Tell whether a clean 60-foot stands on either side of the change."""
    return all(any(run.sixty_s is not None for run in runs) for runs in (found.before, found.after))


def by_the_clock(found: ChangeVerdict | None) -> str:
    """Say what the 60-foot times say of a change; empty where none stands on both sides."""
    if found is None or found.times is None or not has_both(found):
        return ""
    return headline(found.times, found.more, found.names).rstrip(".")


def word_and_clock(state: State, change: Change, found: ChangeVerdict | None) -> str:
    """Say the crew's word, and beside it the times, their effect and the order they were run in."""
    word = change_verdict(state, change)
    if found is None or found.times is None or not by_the_clock(found):
        return word
    clock = headline(found.times).rstrip(".")
    order = found.times.design.label.split(":")[0]
    said = f"{clock[0].lower()}{clock[1:]}, {effect_words(found.times)}"
    return f"{word}; 60-foot: {said} ({order})"
