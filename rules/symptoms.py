"""Which symptoms a pass showed, which of them is treated, and what else had changed."""

from rules.book import Book
from rules.book.schema import UNKNOWN
from rules.state import Run, State

SYMPTOMS = "symptoms"
WHAT_ELSE = "what-else"
GOOD = "it-is-good"
VERDICT = "verdict"

HARMLESS_CHANGES = frozenset({"nothing", "lane-or-air", "unknown"})


def named_symptoms(state: State, run: Run) -> tuple[str, ...]:
    """Return the symptoms of a pass: those named, or the treated one that is still there."""
    named = run.answers.get(SYMPTOMS)
    if isinstance(named, tuple):
        return named
    if run.change is None:
        return ()
    change = state.change(run.change)
    if change.verdict == "gone":
        return (GOOD,)
    if change.verdict in ("better", "same", "worse") and change.symptom is not None:
        return (change.symptom,)
    return ()


def treated_symptom(symptoms: tuple[str, ...], book: Book) -> str:
    """Return the symptom to treat: safety first, then cause before effect; empty if unknown."""
    known = [book.symptoms[symptom] for symptom in symptoms if symptom in book.symptoms]
    return min(known, key=lambda s: (-s.safety, s.cause, s.id)).id if known else ""


def order_reason(symptoms: tuple[str, ...], book: Book) -> str:
    """Say which of several symptoms is treated first, and why; empty for a single one."""
    if len([s for s in symptoms if s in book.symptoms]) < 2:
        return ""
    first = book.symptoms[treated_symptom(symptoms, book)]
    others = [book.symptoms[s] for s in symptoms if s != first.id and s in book.symptoms]
    safer = any(other.safety < first.safety for other in others)
    reason = (
        "safety comes first" if safer else "it comes earlier in the pass, and may cause the rest"
    )
    return f"Treated first: {first.name}, because {reason}."


def confounders(run: Run) -> tuple[str, ...]:
    """Return what else had changed that makes the pass say little about a damper."""
    changed = run.answers.get(WHAT_ELSE, ())
    if not isinstance(changed, tuple):
        return ()
    return tuple(one for one in changed if one not in HARMLESS_CHANGES)


def parts_changed(run: Run) -> frozenset[str]:
    """Return the kinds of lever that the crew said were changed before a pass."""
    return frozenset(one.replace("-", " ") for one in confounders(run))


def is_unjudged(run: Run) -> bool:
    """Tell whether the pass says too little: something else changed, or the crew cannot tell."""
    if run.control_skipped:
        return False
    return bool(confounders(run)) or run.answers.get(VERDICT) == UNKNOWN
